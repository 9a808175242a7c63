//! Piecewise-linear laws of branches: the current at a voltage, in operating
//! regions each with its companion model. Contacts follow coils with hysteresis
//! (pull-in, hold down to drop-out); sources have limits and needs.

use super::companion::Companion;
use super::curve::{Curve, OperatingPoint, REVERSED_SHARE};
use crate::quantity::{Amps, Ohms, Siemens, Volts};
use crate::vehicle::ContactRest;

/// Numerical: slope of a constant-current load above its knee, as a share of the
/// slope below. It is needed: a branch without slope joins nothing, and a load
/// behind an open return would stand on no island. A volt less is a sixth of a
/// per cent less current on 12 V.
pub const FLAT_SLOPE: f64 = 0.01;

/// Numerical: voltage within which a law may be in either of two adjoining
/// regions, V. What carries no current stands on the edge, and rounding must not
/// toss it about.
pub(super) const EDGE: f64 = 1e-7;

/// Numerical: slope of a source at its limit, S: numerically nothing, and keeps
/// it joined.
const LIMITED_SLOPE: f64 = 1e-6;

/// A voltage that another branch must have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ControllingVoltage {
    /// Index of that branch.
    pub branch: usize,
    /// At least this across it, either way round.
    pub volts: Volts,
}

/// Current of a branch at a voltage u = v(from) − v(to).
#[derive(Debug, Clone, PartialEq)]
pub enum Law {
    /// No path: an open switch, a pulled fuse.
    Open,
    /// i = g·u.
    Resistor(Siemens),
    /// A resistance that opens for good above a current.
    Fuse {
        /// Conductance while whole.
        conductance: Siemens,
        /// Current that opens it.
        opens_at: Amps,
    },
    /// An electromotive force behind a resistance, driving current from→to;
    /// current back into it meets another resistance.
    Battery {
        /// Rest voltage.
        emf: Volts,
        /// Internal resistance while it gives.
        ohms: Ohms,
        /// Resistance while it takes charge.
        charging: Ohms,
    },
    /// A source that gives between nothing and a limit.
    Regulated {
        /// Set voltage.
        emf: Volts,
        /// Internal resistance.
        ohms: Ohms,
        /// Largest current.
        limit: Amps,
        /// What it needs to run.
        needs: Vec<ControllingVoltage>,
    },
    /// A load that draws the same current above a knee, and is a resistance below.
    ConstantCurrent {
        /// Current at the knee.
        amps: Amps,
        /// The knee.
        knee: Volts,
    },
    /// A load whose current bends.
    Curve(Curve),
    /// Conducts above a forward voltage.
    Diode {
        /// Forward voltage.
        forward: Volts,
        /// Slope resistance.
        ohms: Ohms,
    },
    /// Closed or open as another branch has a voltage.
    Contact {
        /// Conductance closed.
        conductance: Siemens,
        /// The coil and its pull-in voltage.
        coil: ControllingVoltage,
        /// Coil voltage below which a pulled-in relay lets go.
        drop_out: Volts,
        /// Make or break.
        rest: ContactRest,
    },
}

/// An operating region of a law.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Region {
    /// Conducting; for a constant-current load, above its knee.
    On,
    /// A source at its limit; a battery taking charge; a load
    /// connected the wrong way round.
    Limited,
    /// Not conducting; for a load that draws by itself, below its knee.
    Off,
    /// Linearised at a voltage of its curve.
    Along(OperatingPoint),
}

impl Law {
    /// The companion model in a region.
    pub fn linear(&self, region: Region) -> Companion {
        let companion = |conductance: f64, offset: f64| Companion { conductance, offset };
        match (self, region) {
            (Self::Open, _) => companion(0.0, 0.0),
            (Self::Resistor(g), _) => companion(g.0, 0.0),
            (Self::Battery { emf, charging, .. }, Region::Limited) => {
                companion(charging.conductance().0, (*emf / *charging).0)
            }
            (Self::Battery { emf, ohms, .. }, _) => companion(ohms.conductance().0, (*emf / *ohms).0),
            (Self::Regulated { limit, .. }, Region::Limited) => companion(LIMITED_SLOPE, limit.0),
            (Self::ConstantCurrent { amps, knee }, Region::Limited) => companion(REVERSED_SHARE * amps.0 / knee.0, 0.0),
            (Self::Curve(curve), Region::Limited) => companion(REVERSED_SHARE * curve.below(), 0.0),
            (Self::ConstantCurrent { amps, knee }, Region::Off) => companion((*amps / *knee).0, 0.0),
            (Self::Curve(curve), Region::Off) => companion(curve.below(), 0.0),
            (Self::Curve(curve), Region::Along(at)) => curve.tangent(at),
            (Self::Curve(curve), _) => curve.tangent(curve.start()),
            (Self::ConstantCurrent { amps, knee }, _) => {
                companion(FLAT_SLOPE * amps.0 / knee.0, amps.0 * (1.0 - FLAT_SLOPE))
            }
            (_, Region::Off) => companion(0.0, 0.0),
            (Self::Regulated { emf, ohms, .. }, _) => companion(ohms.conductance().0, (*emf / *ohms).0),
            (Self::Fuse { conductance, .. } | Self::Contact { conductance, .. }, _) => companion(conductance.0, 0.0),
            (Self::Diode { forward, ohms }, _) => companion(ohms.conductance().0, (-*forward / *ohms).0),
        }
    }

    /// The same, but nowhere falling: a matrix of such lines is definite.
    pub fn monotone(&self, region: Region) -> Companion {
        match (self, region) {
            (Self::Curve(curve), Region::Along(at)) => curve.monotone(at),
            _ => self.linear(region),
        }
    }

    /// Whether the law has regions that depend on voltages.
    pub fn is_piecewise(&self) -> bool {
        match self {
            Self::Battery { .. }
            | Self::Regulated { .. }
            | Self::ConstantCurrent { .. }
            | Self::Curve(_)
            | Self::Diode { .. }
            | Self::Contact { .. } => true,
            Self::Open | Self::Resistor(_) | Self::Fuse { .. } => false,
        }
    }

    /// Whether the law waits until all others agree with the voltages: on the
    /// way there stand voltages that never were, and a relay would latch on one.
    pub fn waits(&self) -> bool {
        match self {
            Self::Contact { .. } => true,
            Self::Open
            | Self::Resistor(_)
            | Self::Fuse { .. }
            | Self::Battery { .. }
            | Self::Regulated { .. }
            | Self::ConstantCurrent { .. }
            | Self::Curve(_)
            | Self::Diode { .. } => false,
        }
    }

    /// The region that holds at a voltage `u`, with `controlling` giving the voltage
    /// that works other branches. A fuse keeps what it has: opening is not
    /// undone. A relay that is pulled in holds down to its drop-out voltage.
    pub fn region(&self, u: f64, current: Region, controlling: impl Fn(usize) -> f64) -> Region {
        let is_reached = |need: &ControllingVoltage| controlling(need.branch).abs() >= need.volts.0;
        let side = |below: Region, edge: f64, above: Region| match u - edge {
            past if past > EDGE => above,
            short if short < -EDGE => below,
            _ if current == below || current == above => current,
            _ => above,
        };
        match self {
            Self::Regulated { emf, ohms, limit, needs } => {
                let idle = -emf.0;
                let full = (*limit * *ohms - *emf).0;
                let runs = needs.iter().all(is_reached);
                // From either end the way leads through the middle, or a
                // limited source would bounce between too much and nothing.
                match current {
                    _ if !runs => Region::Off,
                    Region::On if u > full + EDGE => Region::Limited,
                    Region::On if u < idle - EDGE => Region::Off,
                    Region::Limited if u < full - EDGE => Region::On,
                    Region::Off if u > idle + EDGE => Region::On,
                    unchanged => unchanged,
                }
            }
            Self::Battery { emf, .. } => side(Region::Limited, -emf.0, Region::On),
            // From either end the way leads through the middle here too.
            Self::ConstantCurrent { knee, .. } => match current {
                Region::Limited => side(Region::Limited, 0.0, Region::Off),
                Region::Off if u < -EDGE => Region::Limited,
                _ => side(Region::Off, knee.0, Region::On),
            },
            Self::Curve(curve) => match current {
                Region::Limited => side(Region::Limited, 0.0, Region::Off),
                Region::Off if u < -EDGE && curve.blocks() => Region::Limited,
                _ if u.abs() < curve.edge() => Region::Off,
                // Nor does anything leap from one end to the other across none.
                Region::Along(at) if at.is_beside(u) => Region::Along(at.moved_to(u)),
                Region::Along(_) => Region::Off,
                _ => Region::Along(OperatingPoint::at(u)),
            },
            Self::Diode { forward, .. } => side(Region::Off, forward.0, Region::On),
            Self::Contact { coil, drop_out, rest, .. } => {
                let make = *rest == ContactRest::Make;
                let held = (current == Region::On) == make && controlling(coil.branch).abs() >= drop_out.0;
                if (is_reached(coil) || held) == make { Region::On } else { Region::Off }
            }
            Self::Fuse { .. } => current,
            Self::Open | Self::Resistor(_) => Region::On,
        }
    }

    /// The voltage that works what depends on this branch, at `u` across it: a
    /// coil without a path through it pulls nothing in.
    pub fn controlling(&self, u: f64) -> f64 {
        if *self == Self::Open { 0.0 } else { u }
    }

    /// Whether it conducts only above a voltage and carries nothing at `u`, on the
    /// edge of that: nothing says which of its ends holds the other at its level.
    pub(super) fn is_idle(&self, region: Region, u: f64) -> bool {
        matches!(self, Self::Diode { forward, .. } if region == Region::On && u - forward.0 <= EDGE)
    }

    /// The region to start from: relays at rest and sources with needs off, as
    /// if nothing had voltage yet. A diode blocks, or one that nothing feeds would
    /// push what hangs in the air up by its forward voltage.
    pub fn at_rest(&self) -> Region {
        match self {
            Self::Contact { rest: ContactRest::Make, .. } | Self::Diode { .. } => Region::Off,
            Self::Regulated { needs, .. } if !needs.is_empty() => Region::Off,
            Self::Curve(curve) => Region::Along(curve.start()),
            Self::Contact { rest: ContactRest::Break, .. } | Self::Regulated { .. } => Region::On,
            Self::Open
            | Self::Resistor(_)
            | Self::Fuse { .. }
            | Self::Battery { .. }
            | Self::ConstantCurrent { .. } => Region::On,
        }
    }
}
