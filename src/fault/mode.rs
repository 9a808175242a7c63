//! What holds of a way to fail, whatever its size and place.

use crate::tables::rates::Mode;

impl Mode {
    /// Whether it acts as a resistance in series with its part, up to none at all.
    pub fn is_series(self) -> bool {
        match self {
            Self::Open | Self::Resistive => true,
            Self::StuckClosed
            | Self::Shorted
            | Self::Leak
            | Self::LowVoltage
            | Self::HighDraw
            | Self::Awake
            | Self::WrongTerminal
            | Self::WrongRating
            | Self::Undersized
            | Self::Bridged
            | Self::Crossed
            | Self::Seeping
            | Self::Together => false,
        }
    }

    /// Whether its size is part of the resistance of its part.
    pub fn is_at_part(self) -> bool {
        match self {
            Self::Resistive | Self::Together | Self::Undersized | Self::HighDraw => true,
            Self::Open
            | Self::StuckClosed
            | Self::Shorted
            | Self::Leak
            | Self::LowVoltage
            | Self::Awake
            | Self::WrongTerminal
            | Self::WrongRating
            | Self::Bridged
            | Self::Crossed
            | Self::Seeping => false,
        }
    }

    /// Whether a load that has it does nothing, whatever voltage it has.
    pub fn stops_load(self) -> bool {
        match self {
            Self::HighDraw => false,
            Self::Open
            | Self::Resistive
            | Self::StuckClosed
            | Self::Shorted
            | Self::Leak
            | Self::LowVoltage
            | Self::Awake
            | Self::WrongTerminal
            | Self::WrongRating
            | Self::Undersized
            | Self::Bridged
            | Self::Crossed
            | Self::Seeping
            | Self::Together => true,
        }
    }

    /// Whether it may feed something that should have nothing.
    pub fn may_feed(self) -> bool {
        match self {
            Self::StuckClosed | Self::Shorted | Self::Bridged | Self::WrongTerminal | Self::Crossed => true,
            Self::Open
            | Self::Resistive
            | Self::Leak
            | Self::LowVoltage
            | Self::HighDraw
            | Self::Awake
            | Self::WrongRating
            | Self::Undersized
            | Self::Seeping
            | Self::Together => false,
        }
    }
}
