//! What is measured: where the leads go and what the instrument is set to.

use crate::quantity::{Measured, Ohms};
use crate::tables::instruments::Instruments;
use crate::vehicle::{PartId, PointId, Shows, Vehicle};

/// What bridges the leads of a voltmeter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Burden {
    /// Nothing but the meter's own input.
    Bare,
    /// A test lamp: a voltage with nothing behind it falls away.
    Lamp,
    /// Nothing: both leads' points were read against this one, and what is told
    /// is by how much the one is more than the other.
    Each(PointId),
}

/// Something to measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Probe {
    /// Voltage between two points.
    Voltage {
        /// Red lead.
        red: PointId,
        /// Black lead.
        black: PointId,
        /// What bridges them.
        burden: Burden,
    },
    /// Resistance between two points, everything dead.
    Resistance {
        /// One lead.
        red: PointId,
        /// The other.
        black: PointId,
    },
    /// Current through a part, in the direction it is drawn in.
    Current {
        /// The part.
        part: PartId,
    },
    /// What an instrument shows that the vehicle carries.
    Fixed {
        /// Which.
        instrument: PartId,
        /// What it is to show.
        shows: Shows,
    },
}

impl Probe {
    /// What an instrument shows; nothing where the part is none.
    pub fn fixed(vehicle: &Vehicle, instrument: PartId) -> Option<Self> {
        Some(Self::Fixed { instrument, shows: vehicle.shown_by(instrument)? })
    }

    /// What every instrument of a vehicle shows.
    pub fn panel(vehicle: &Vehicle) -> impl Iterator<Item = Self> {
        vehicle.instruments().filter_map(|id| Self::fixed(vehicle, id))
    }

    /// The instrument that is read, where the vehicle carries it.
    pub fn instrument(self) -> Option<PartId> {
        match self {
            Self::Fixed { instrument, .. } => Some(instrument),
            Self::Voltage { .. } | Self::Resistance { .. } | Self::Current { .. } => None,
        }
    }

    /// The same by a meter in hand.
    pub fn by_hand(self) -> Self {
        match self {
            Self::Fixed { shows: Shows::Volts { red, black }, .. } => Self::voltage(red, black),
            Self::Fixed { shows: Shows::Amps { part }, .. } => Self::Current { part },
            Self::Voltage { .. } | Self::Resistance { .. } | Self::Current { .. } => self,
        }
    }

    /// The points of a voltage, by a meter or by an instrument, with nothing else
    /// across them.
    pub fn bare_voltage(self) -> Option<(PointId, PointId)> {
        self.by_hand().plain_voltage()
    }

    /// A plain voltage.
    pub fn voltage(red: PointId, black: PointId) -> Self {
        Self::Voltage { red, black, burden: Burden::Bare }
    }

    /// The points of a plain voltage.
    pub fn plain_voltage(self) -> Option<(PointId, PointId)> {
        match self {
            Self::Voltage { red, black, burden: Burden::Bare } => Some((red, black)),
            _ => None,
        }
    }

    /// The points that the leads are on, if it is two; a current is read at neither end.
    pub fn ends(self) -> Option<[PointId; 2]> {
        match self {
            Self::Voltage { burden: Burden::Each(_), .. } | Self::Current { .. } => None,
            Self::Voltage { red, black, .. } | Self::Resistance { red, black } => Some([red, black]),
            Self::Fixed { shows: Shows::Volts { red, black }, .. } => Some([red, black]),
            Self::Fixed { shows: Shows::Amps { .. }, .. } => None,
        }
    }

    /// Where the leads go: across the part for a current.
    pub fn points(self, vehicle: &Vehicle) -> (PointId, PointId) {
        match self {
            Self::Voltage { red, black, .. } | Self::Resistance { red, black } => (red, black),
            Self::Current { part } => vehicle.part(part).ends(),
            Self::Fixed { instrument, .. } => vehicle.part(instrument).ends(),
        }
    }

    /// Whether two measure the same; leads may be the other way round.
    pub fn is_same(self, other: Self) -> bool {
        self == other || self.reversed() == other
    }

    fn reversed(self) -> Self {
        match self {
            Self::Voltage { red, black, burden } => Self::Voltage { red: black, black: red, burden },
            Self::Resistance { red, black } => Self::Resistance { red: black, black: red },
            Self::Current { .. } | Self::Fixed { .. } => self,
        }
    }

    /// The scale on which what is shown is normally distributed.
    pub fn scale(self) -> Scale {
        match self {
            Self::Voltage { .. } | Self::Fixed { shows: Shows::Volts { .. }, .. } => Scale::Volts,
            Self::Resistance { .. } => Scale::LogOhms,
            Self::Current { .. } | Self::Fixed { shows: Shows::Amps { .. }, .. } => Scale::Amps,
        }
    }

    /// Whether a display can show that for this.
    pub fn fits(self, measured: &Measured) -> bool {
        match measured {
            Measured::Volts(_) => self.scale() == Scale::Volts,
            Measured::Ohms(_) | Measured::NoPath => self.scale() == Scale::LogOhms,
            Measured::Amps(_) => self.scale() == Scale::Amps,
        }
    }
}

/// On which readings of a kind are normally distributed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Scale {
    /// V.
    Volts,
    /// ln of (resistance + lead resistance) in Ω: ohmmeters span seven decades.
    LogOhms,
    /// A.
    Amps,
}

impl Scale {
    /// A resistance on the scale.
    pub fn of_ohms(instruments: &Instruments, ohms: f64) -> f64 {
        (ohms.clamp(0.0, instruments.no_path.0) + instruments.leads.0).ln()
    }

    /// What an ohmmeter displays at a value of the scale, leads included.
    pub fn displayed_ohms(value: f64) -> Ohms {
        Ohms(value.exp())
    }

    /// What a display showed as a value of the scale, and one step of its last digit there.
    pub fn value_of(instruments: &Instruments, measured: &Measured) -> (f64, f64) {
        match measured {
            Measured::Volts(volts) => (volts.value.0, volts.step.0),
            Measured::Amps(amps) => (amps.value.0, amps.step.0),
            // What was typed contains the leads.
            Measured::Ohms(ohms) => {
                let shown = ohms.value.0.clamp(0.5 * instruments.leads.0, instruments.no_path.0);
                (shown.ln(), ohms.step.0 / shown)
            }
            Measured::NoPath => (Self::of_ohms(instruments, instruments.no_path.0), 0.0),
        }
    }
}
