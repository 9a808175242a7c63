//! What holds of a way to fail, whatever its size and place.

use crate::tables::rates::FailureMode;

impl FailureMode {
    /// Whether it acts as a resistance in series with its part, up to none at all.
    pub fn is_series(self) -> bool {
        match self {
            Self::OpenCircuit | Self::HighResistance => true,
            Self::ContactWelded
            | Self::ShortAcross
            | Self::ShortToGround
            | Self::LowVoltage
            | Self::HighDraw
            | Self::StaysAwake
            | Self::WrongTerminal
            | Self::WrongRating
            | Self::Undersized
            | Self::ShortBetweenCircuits
            | Self::Crossed
            | Self::Leakage
            | Self::CommonCause => false,
        }
    }

    /// Whether its size is part of the resistance of its part.
    pub fn is_at_part(self) -> bool {
        match self {
            Self::HighResistance | Self::CommonCause | Self::Undersized | Self::HighDraw => true,
            Self::OpenCircuit
            | Self::ContactWelded
            | Self::ShortAcross
            | Self::ShortToGround
            | Self::LowVoltage
            | Self::StaysAwake
            | Self::WrongTerminal
            | Self::WrongRating
            | Self::ShortBetweenCircuits
            | Self::Crossed
            | Self::Leakage => false,
        }
    }

    /// Whether a load that has it does nothing, whatever voltage it has.
    pub fn stops_load(self) -> bool {
        match self {
            Self::HighDraw => false,
            Self::OpenCircuit
            | Self::HighResistance
            | Self::ContactWelded
            | Self::ShortAcross
            | Self::ShortToGround
            | Self::LowVoltage
            | Self::StaysAwake
            | Self::WrongTerminal
            | Self::WrongRating
            | Self::Undersized
            | Self::ShortBetweenCircuits
            | Self::Crossed
            | Self::Leakage
            | Self::CommonCause => true,
        }
    }

    /// Whether it may feed something that should have nothing.
    pub fn may_feed(self) -> bool {
        match self {
            Self::ContactWelded
            | Self::ShortAcross
            | Self::ShortBetweenCircuits
            | Self::WrongTerminal
            | Self::Crossed => true,
            Self::OpenCircuit
            | Self::HighResistance
            | Self::ShortToGround
            | Self::LowVoltage
            | Self::HighDraw
            | Self::StaysAwake
            | Self::WrongRating
            | Self::Undersized
            | Self::Leakage
            | Self::CommonCause => false,
        }
    }
}
