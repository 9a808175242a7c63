//! The vehicle as a circuit graph: points where a probe can go, parts between
//! them, and what a hand can set. No files, no matrices.

mod aid;
mod aids;
pub mod check;
mod circuit;
mod control;
mod id;
mod instrument;
mod load;
mod mains;
mod part;
mod place;
mod relay;
pub mod returns;
pub mod sides;
mod state;
mod supply;
pub mod trace;

pub use aid::{Aid, NoAid};
pub use circuit::{Run, Vehicle, VehicleParts};
pub use control::{Control, ControlKind, NamedState, Position};
pub use id::{BundleId, ControlId, PartId, PlaceId, PointId};
pub use instrument::{FittedInstrument, Shows};
pub use load::{Conversion, CutOut, Load, LoadBehaviour, LoadKind, Sleep};
pub use part::{Cable, Part, PartKind, Role};
pub use place::{Caution, Disturbance, Hazard, Markings, Place, Point, Reach};
pub use relay::{Coil, Contact, ContactRest};
pub use state::State;
pub use supply::{Battery, BatteryChemistry, Eased, Need, Protection, Regulated, Supply};
