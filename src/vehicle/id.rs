//! Numbers of the things of a vehicle: positions in its lists.

use petgraph::graph::NodeIndex;

macro_rules! identifier {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
        #[serde(transparent)]
        pub struct $name(u32);

        impl $name {
            /// From a position in its list.
            pub fn new(index: usize) -> Self {
                Self(u32::try_from(index).expect("a vehicle has fewer than 2^32 of anything"))
            }

            /// Position in its list.
            pub fn index(self) -> usize {
                self.0 as usize
            }
        }
    };
}

identifier!(
    /// A point: where a probe can go.
    PointId
);
identifier!(
    /// A place: where parts live.
    PlaceId
);
identifier!(
    /// What a hand can set.
    ControlId
);
identifier!(
    /// A part: an edge of the graph.
    PartId
);
identifier!(
    /// A plug or multi-core cable: what fails as one thing.
    BundleId
);

impl PointId {
    /// The same number as a node of the graph.
    pub fn node(self) -> NodeIndex {
        NodeIndex::new(self.index())
    }
}
