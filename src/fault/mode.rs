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
    /// Is a further path for current, of some resistance.
    adds_path: bool,
    /// Has a size in ohms.
    is_in_ohms: bool,
    /// What a load that has it does at its own voltage.
    does: Does,
    /// Does more the smaller its size is.
    is_harder_small: bool,
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
    /// Is of what an instrument shows: the circuit is as it should be.
    is_of_display: bool,
}

/// What a load at fault does at its own voltage.
#[derive(Clone, Copy)]
enum Does {
    /// Nothing.
    Nothing,
    /// As much as it should.
    AsItShould,
    /// As much less as it draws less.
    AsItDraws,
}

/// A mode of which nothing holds but that its load does nothing.
const PLAIN: ModeFacts = ModeFacts {
    takes_two: false,
    is_in_series: false,
    is_plain_series: false,
    adds_path: false,
    is_in_ohms: false,
    does: Does::Nothing,
    is_harder_small: false,
    draws_more: false,
    may_blow: false,
    may_feed: false,
    weakens_battery: false,
    may_be_green: false,
    is_of_display: false,
};

/// A resistance in series.
const SERIES: ModeFacts = ModeFacts { is_in_series: true, is_in_ohms: true, may_be_green: true, ..PLAIN };

/// A path beside what is drawn.
const PATH: ModeFacts = ModeFacts { adds_path: true, is_in_ohms: true, is_harder_small: true, ..PLAIN };

impl FailureMode {
    fn facts(self) -> ModeFacts {
        match self {
            Self::OpenCircuit => ModeFacts { is_plain_series: true, is_in_ohms: false, ..SERIES },
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
            Self::HighDraw => ModeFacts { does: Does::AsItShould, draws_more: true, may_blow: true, ..PLAIN },
            Self::LowDraw => ModeFacts { does: Does::AsItDraws, is_harder_small: true, ..PLAIN },
            Self::StaysAwake => ModeFacts { does: Does::AsItShould, draws_more: true, ..PLAIN },
            Self::WrongTerminal => ModeFacts { may_feed: true, ..PLAIN },
            Self::WrongRating => ModeFacts { may_blow: true, ..PLAIN },
            Self::Crossed => ModeFacts { takes_two: true, may_feed: true, ..PLAIN },
            Self::Stuck | Self::ReadsOff | Self::WrongScale | Self::Drifts => {
                ModeFacts { does: Does::AsItShould, is_of_display: true, ..PLAIN }
            }
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

    /// Whether it is a further path for current.
    pub fn adds_path(self) -> bool {
        self.facts().adds_path
    }

    /// Whether its size is a resistance.
    pub fn is_in_ohms(self) -> bool {
        self.facts().is_in_ohms
    }

    /// What a load that has it of a size does at its own voltage: as much as a
    /// sound one at this share of that. Power goes with current and with the
    /// square of voltage: P = k V²/R = (√k V)²/R.
    pub fn output(self, size: f64) -> f64 {
        match self.facts().does {
            Does::Nothing => 0.0,
            Does::AsItShould => 1.0,
            Does::AsItDraws => size.sqrt(),
        }
    }

    /// Whether it does more the smaller its size is.
    pub fn is_harder_small(self) -> bool {
        self.facts().is_harder_small
    }

    /// Whether it is a load that draws another current than its own.
    pub fn is_of_draw(self) -> bool {
        matches!(self, Self::HighDraw | Self::LowDraw)
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

    /// Whether it is of what an instrument shows, and touches nothing else.
    pub fn is_of_display(self) -> bool {
        self.facts().is_of_display
    }

    /// Whether corrosion may show where it is.
    pub fn may_be_green(self) -> bool {
        self.facts().may_be_green
    }
}
