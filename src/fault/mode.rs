//! ModeFacts of the failure modes, whatever their size and place: one row each.

use crate::tables::rates::FailureMode;

/// What holds of a failure mode.
#[derive(Clone, Copy)]
struct ModeFacts {
    /// Takes a neighbour in the same plug or cable.
    takes_two: bool,
    /// Is more resistance where current is to flow, of some size or without end:
    /// opening the part does at least as much.
    is_in_series: bool,
    /// Of those, is a resistance in series with its part and nothing else.
    is_plain_series: bool,
    /// Has a size that is part of the resistance of its part.
    is_at_part: bool,
    /// Is a further path for current, of some resistance.
    adds_path: bool,
    /// Has a size in ohms.
    is_in_ohms: bool,
    /// Lets a load that has it do nothing, whatever voltage it has.
    stops_load: bool,
    /// Makes more current flow than should.
    draws_more: bool,
    /// May open a fuse.
    may_blow: bool,
    /// May feed something that should have nothing.
    may_feed: bool,
    /// Leaves a battery weak.
    weakens_battery: bool,
    /// May come of water or corrosion, and show it.
    may_be_green: bool,
}

/// A mode of which nothing holds but that its load does nothing.
const PLAIN: ModeFacts = ModeFacts {
    takes_two: false,
    is_in_series: false,
    is_plain_series: false,
    is_at_part: false,
    adds_path: false,
    is_in_ohms: false,
    stops_load: true,
    draws_more: false,
    may_blow: false,
    may_feed: false,
    weakens_battery: false,
    may_be_green: false,
};

/// A resistance in series.
const SERIES: ModeFacts =
    ModeFacts { is_in_series: true, is_at_part: true, is_in_ohms: true, may_be_green: true, ..PLAIN };

/// A path beside what is drawn.
const PATH: ModeFacts = ModeFacts { adds_path: true, is_in_ohms: true, ..PLAIN };

impl FailureMode {
    fn facts(self) -> ModeFacts {
        match self {
            Self::OpenCircuit => ModeFacts { is_plain_series: true, is_at_part: false, is_in_ohms: false, ..SERIES },
            Self::HighResistance => ModeFacts { is_plain_series: true, weakens_battery: true, ..SERIES },
            Self::CommonCause => ModeFacts { takes_two: true, ..SERIES },
            Self::Undersized => ModeFacts { is_in_ohms: false, may_be_green: false, ..SERIES },
            Self::ContactWelded => ModeFacts { may_feed: true, ..PLAIN },
            Self::ShortAcross => ModeFacts { may_blow: true, may_feed: true, ..PLAIN },
            Self::ShortToGround => ModeFacts { draws_more: true, may_blow: true, may_be_green: true, ..PATH },
            Self::ShortBetweenCircuits => ModeFacts {
                takes_two: true,
                draws_more: true,
                may_blow: true,
                may_feed: true,
                may_be_green: true,
                ..PATH
            },
            Self::Leakage => PATH,
            Self::LowVoltage => ModeFacts { weakens_battery: true, ..PLAIN },
            Self::HighDraw => {
                ModeFacts { is_at_part: true, stops_load: false, draws_more: true, may_blow: true, ..PLAIN }
            }
            Self::StaysAwake => ModeFacts { draws_more: true, ..PLAIN },
            Self::WrongTerminal => ModeFacts { may_feed: true, ..PLAIN },
            Self::WrongRating => ModeFacts { may_blow: true, ..PLAIN },
            Self::Crossed => ModeFacts { takes_two: true, may_feed: true, ..PLAIN },
        }
    }

    /// Whether it takes a neighbour in the same plug or cable.
    pub fn takes_two(self) -> bool {
        self.facts().takes_two
    }

    /// Whether opening the part does at least as much.
    pub fn is_in_series(self) -> bool {
        self.facts().is_in_series
    }

    /// Whether it acts as a resistance in series with its part, up to none at all.
    pub fn is_series(self) -> bool {
        self.facts().is_plain_series
    }

    /// Whether its size is part of the resistance of its part.
    pub fn is_at_part(self) -> bool {
        self.facts().is_at_part
    }

    /// Whether it is a further path for current.
    pub fn adds_path(self) -> bool {
        self.facts().adds_path
    }

    /// Whether its size is a resistance.
    pub fn is_in_ohms(self) -> bool {
        self.facts().is_in_ohms
    }

    /// Whether a load that has it does nothing, whatever voltage it has.
    pub fn stops_load(self) -> bool {
        self.facts().stops_load
    }

    /// Whether more current flows than should.
    pub fn draws_more(self) -> bool {
        self.facts().draws_more
    }

    /// Whether it may open a fuse.
    pub fn may_blow(self) -> bool {
        self.facts().may_blow
    }

    /// Whether it may feed something that should have nothing.
    pub fn may_feed(self) -> bool {
        self.facts().may_feed
    }

    /// Whether a battery that has it is weak.
    pub fn weakens_battery(self) -> bool {
        self.facts().weakens_battery
    }

    /// Whether corrosion may show where it is.
    pub fn may_be_green(self) -> bool {
        self.facts().may_be_green
    }
}
