//! Branches and the current they carry at a voltage: laws in straight pieces.

use super::curve::{Curve, OperatingPoint};
use crate::quantity::{Amps, Ohms, Siemens, Volts};
use crate::vehicle::ContactRest;

/// Slope of a constant-current load above its knee, as a share of the slope
/// below. It is needed: a branch without slope joins nothing, and a load behind
/// an open return would stand on no island. A volt less is a sixth of a per cent
/// less current on 12 V.
pub const FLAT_SLOPE: f64 = 0.01;

/// Voltage within which a law may be on either of two adjoining pieces, V. What
/// carries no current stands on the edge, and rounding must not toss it about.
pub(super) const EDGE: f64 = 1e-7;

/// Conductance of electronics to reversed voltage, as a share of that below
/// the knee: not nothing, since a meter finds some way through a circuit board.
pub const REVERSED_SHARE: f64 = 0.01;

/// Slope of a source at its limit, S: numerically nothing, and keeps it joined.
const LIMITED_SLOPE: f64 = 1e-6;

/// A branch between two points; positive current runs from the first to the second.
#[derive(Debug, Clone, PartialEq)]
pub struct Branch {
    /// Index of the first point.
    pub from: usize,
    /// Index of the second point.
    pub to: usize,
    /// Current at a voltage.
    pub law: Law,
}

/// A voltage that another branch must have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Need {
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
        needs: Vec<Need>,
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
        coil: Need,
        /// Coil voltage below which a pulled-in relay lets go.
        drop_out: Volts,
        /// Make or break.
        rest: ContactRest,
    },
}

/// Which piece of its law a branch is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Regime {
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

/// Slope and offset of the current: i = conductance·u + offset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Linear {
    /// ∂i/∂u, S.
    pub conductance: f64,
    /// Current at u = 0, A.
    pub offset: f64,
}

impl Law {
    /// The straight piece of the law in a regime.
    pub fn linear(&self, regime: Regime) -> Linear {
        let line = |conductance: f64, offset: f64| Linear { conductance, offset };
        match (self, regime) {
            (Self::Open, _) => line(0.0, 0.0),
            (Self::Resistor(g), _) => line(g.0, 0.0),
            (Self::Battery { emf, charging, .. }, Regime::Limited) => line(1.0 / charging.0, emf.0 / charging.0),
            (Self::Battery { emf, ohms, .. }, _) => line(1.0 / ohms.0, emf.0 / ohms.0),
            (Self::Regulated { limit, .. }, Regime::Limited) => line(LIMITED_SLOPE, limit.0),
            (Self::ConstantCurrent { amps, knee }, Regime::Limited) => line(REVERSED_SHARE * amps.0 / knee.0, 0.0),
            (Self::Curve(curve), Regime::Limited) => line(REVERSED_SHARE * curve.below(), 0.0),
            (Self::ConstantCurrent { amps, knee }, Regime::Off) => line(amps.0 / knee.0, 0.0),
            (Self::Curve(curve), Regime::Off) => line(curve.below(), 0.0),
            (Self::Curve(curve), Regime::Along(at)) => curve.tangent(at),
            (Self::Curve(curve), _) => curve.tangent(curve.start()),
            (Self::ConstantCurrent { amps, knee }, _) => {
                line(FLAT_SLOPE * amps.0 / knee.0, amps.0 * (1.0 - FLAT_SLOPE))
            }
            (_, Regime::Off) => line(0.0, 0.0),
            (Self::Regulated { emf, ohms, .. }, _) => line(1.0 / ohms.0, emf.0 / ohms.0),
            (Self::Fuse { conductance, .. } | Self::Contact { conductance, .. }, _) => line(conductance.0, 0.0),
            (Self::Diode { forward, ohms }, _) => line(1.0 / ohms.0, -forward.0 / ohms.0),
        }
    }

    /// The same, but nowhere falling: a matrix of such lines is definite.
    pub fn flat(&self, regime: Regime) -> Linear {
        match (self, regime) {
            (Self::Curve(curve), Regime::Along(at)) => curve.flat(at),
            _ => self.linear(regime),
        }
    }

    /// Whether the law has pieces that depend on voltages.
    pub fn is_piecewise(&self) -> bool {
        matches!(
            self,
            Self::Battery { .. }
                | Self::Regulated { .. }
                | Self::ConstantCurrent { .. }
                | Self::Curve(_)
                | Self::Diode { .. }
                | Self::Contact { .. }
        )
    }

    /// Whether the law waits until all others agree with the voltages: on the
    /// way there stand voltages that never were, and a relay would latch on one.
    pub fn waits(&self) -> bool {
        matches!(self, Self::Contact { .. })
    }

    /// The piece that holds at a voltage `u`, with `felt` giving the voltage
    /// that works other branches. A fuse keeps what it has: opening is not
    /// undone. A relay that is pulled in holds down to its drop-out voltage.
    pub fn regime(&self, u: f64, current: Regime, felt: impl Fn(usize) -> f64) -> Regime {
        let met = |need: &Need| felt(need.branch).abs() >= need.volts.0;
        let piece = |below: Regime, edge: f64, above: Regime| match u - edge {
            past if past > EDGE => above,
            short if short < -EDGE => below,
            _ if current == below || current == above => current,
            _ => above,
        };
        match self {
            Self::Regulated { emf, ohms, limit, needs } => {
                let idle = -emf.0;
                let full = limit.0 * ohms.0 - emf.0;
                let runs = needs.iter().all(met);
                // From either end the way leads through the middle, or a
                // limited source would bounce between too much and nothing.
                match current {
                    _ if !runs => Regime::Off,
                    Regime::On if u > full + EDGE => Regime::Limited,
                    Regime::On if u < idle - EDGE => Regime::Off,
                    Regime::Limited if u < full - EDGE => Regime::On,
                    Regime::Off if u > idle + EDGE => Regime::On,
                    unchanged => unchanged,
                }
            }
            Self::Battery { emf, .. } => piece(Regime::Limited, -emf.0, Regime::On),
            // From either end the way leads through the middle here too.
            Self::ConstantCurrent { knee, .. } => match current {
                Regime::Limited => piece(Regime::Limited, 0.0, Regime::Off),
                Regime::Off if u < -EDGE => Regime::Limited,
                _ => piece(Regime::Off, knee.0, Regime::On),
            },
            Self::Curve(curve) => match current {
                Regime::Limited => piece(Regime::Limited, 0.0, Regime::Off),
                Regime::Off if u < -EDGE && curve.blocks() => Regime::Limited,
                _ if u.abs() < curve.edge() => Regime::Off,
                Regime::Along(at) if u > 0.0 || !curve.blocks() => Regime::Along(at.moved_to(u)),
                Regime::Along(_) => Regime::Off,
                _ => Regime::Along(OperatingPoint::at(u)),
            },
            Self::Diode { forward, .. } => piece(Regime::Off, forward.0, Regime::On),
            Self::Contact { coil, drop_out, rest, .. } => {
                let make = *rest == ContactRest::Make;
                let held = (current == Regime::On) == make && felt(coil.branch).abs() >= drop_out.0;
                if (met(coil) || held) == make { Regime::On } else { Regime::Off }
            }
            Self::Fuse { .. } => current,
            Self::Open | Self::Resistor(_) => Regime::On,
        }
    }

    /// The voltage that works what depends on this branch, at `u` across it: a
    /// coil without a path through it pulls nothing in.
    pub fn felt(&self, u: f64) -> f64 {
        if *self == Self::Open { 0.0 } else { u }
    }
}

impl Law {
    /// The piece to start from: relays at rest and sources with needs off, as
    /// if nothing had voltage yet.
    pub fn at_rest(&self) -> Regime {
        match self {
            Self::Contact { rest: ContactRest::Make, .. } => Regime::Off,
            Self::Regulated { needs, .. } if !needs.is_empty() => Regime::Off,
            Self::Curve(curve) => Regime::Along(curve.start()),
            _ => Regime::On,
        }
    }
}

/// Points, branches, and the point that voltages are counted from.
#[derive(Debug, Clone, PartialEq)]
pub struct Network {
    /// Number of points.
    pub points: usize,
    /// Branches, in part order.
    pub branches: Vec<Branch>,
    /// Index of the point at 0 V.
    pub reference: usize,
}
