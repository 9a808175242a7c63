//! Healthy resistance of joints, contacts and switchgear, and how far real
//! ones lie from it. Common practice, no source, unless said otherwise.

use super::{Origin, Sourced};
use crate::quantity::Ohms;
use serde::Deserialize;

/// How two conductors are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum JointStyle {
    /// Lug under a bolt.
    Lug,
    /// Battery clamp on its post.
    Clamp,
    /// Several lugs on one stud.
    Stud,
    /// Earth lug on body metal.
    Earth,
    /// Crimped splice in a cable.
    Splice,
    /// Screw terminal.
    Screw,
}

/// Build of a switch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum SwitchStyle {
    /// Rocker or toggle worked by hand.
    Rocker,
    /// Works only while held.
    Momentary,
    /// Worked by pressure.
    Pressure,
    /// Worked by temperature.
    Thermostat,
    /// Key switch.
    Key,
    /// Worked by a door, a lever or a gear.
    Plunger,
}

/// Build of an isolator.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum IsolatorStyle {
    /// Turned by hand.
    Hand,
    /// Continuous heavy duty, hand turned.
    Heavy,
}

/// Size of a connector pin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum PinStyle {
    /// Sealed automotive pin.
    Sealed,
    /// Trailer plug pin.
    Trailer,
    /// High-current plug, 50 A class.
    Power,
    /// Accessory socket contact.
    Accessory,
}

/// What a joint is whose file does not say. From: common practice, no source.
pub const USUAL_JOINT: JointStyle = JointStyle::Screw;
/// The same of a switch.
pub const USUAL_SWITCH: SwitchStyle = SwitchStyle::Rocker;
/// The same of an isolator.
pub const USUAL_ISOLATOR: IsolatorStyle = IsolatorStyle::Hand;

const fn default(milliohms: f64) -> Sourced<Ohms> {
    Sourced { value: Ohms(milliohms * 1e-3), origin: Origin::Default("common practice for a sound contact") }
}

/// Sound joint.
pub fn joint(style: JointStyle) -> Sourced<Ohms> {
    default(match style {
        JointStyle::Lug => 0.2,
        JointStyle::Clamp | JointStyle::Stud => 0.3,
        JointStyle::Earth => 0.5,
        JointStyle::Splice => 1.0,
        JointStyle::Screw => 1.5,
    })
}

/// Sound switch, closed.
pub fn switch(style: SwitchStyle) -> Sourced<Ohms> {
    default(match style {
        SwitchStyle::Rocker | SwitchStyle::Momentary => 8.0,
        SwitchStyle::Pressure | SwitchStyle::Thermostat => 12.0,
        SwitchStyle::Key | SwitchStyle::Plunger => 10.0,
    })
}

/// Sound isolator, closed.
pub fn isolator(style: IsolatorStyle) -> Sourced<Ohms> {
    default(match style {
        IsolatorStyle::Hand => 0.4,
        IsolatorStyle::Heavy => 0.3,
    })
}

/// Sound connector pin, mated.
pub fn pin(style: PinStyle) -> Sourced<Ohms> {
    default(match style {
        PinStyle::Sealed => 3.0,
        PinStyle::Trailer => 4.0,
        PinStyle::Power => 0.4,
        PinStyle::Accessory => 10.0,
    })
}

/// Rating of a relay contact whose file does not say, A: common practice, no
/// source.
pub const RELAY_AMPS: f64 = 10.0;

/// Sound relay contact with its socket: 5 mΩ, falling with the rating of a
/// heavy contactor as a 50 mV drop at rated current.
pub fn relay_contact(rating: f64) -> Sourced<Ohms> {
    default((50.0 / rating).min(5.0))
}

/// Thermal breaker: a drop of about 100 mV at rated current.
pub fn breaker(rating: f64) -> Sourced<Ohms> {
    default(100.0 / rating)
}

/// Relay coil of a mini relay at 12 V; four times that at 24 V.
pub fn relay_coil(nominal: f64) -> Sourced<Ohms> {
    default(90_000.0 * (nominal / 12.0).powi(2))
}

/// Share of nominal voltage at which a relay pulls in.
pub const PULL_IN_SHARE: f64 = 0.6;

/// Coil voltage at which a pulled-in relay lets go, as a share of pull-in;
/// in practice 0.3 to 0.5 of nominal.
pub const DROP_OUT_SHARE: f64 = 0.5;

/// Spread of one kind of part: standard deviation of ln(resistance).
pub mod spread {
    /// Cable: length ±8 %, temperature, below-maximum resistance.
    pub const CABLE: f64 = 0.08;
    /// Joints and contacts: a factor two either way at two standard deviations.
    pub const CONTACT: f64 = 0.35;
    /// Fuse element: the generic fit holds to ±20 %.
    pub const FUSE: f64 = 0.12;
    /// What a load draws.
    pub const LOAD: f64 = 0.08;
    /// Relay coil: maker's ±10 %.
    pub const COIL: f64 = 0.06;
    /// Shunt: a measuring resistor with its terminals; common practice, no source.
    pub const SHUNT: f64 = 0.02;
    /// Internal resistance of a source.
    pub const SOURCE: f64 = 0.3;
    /// A resistance that the file gives for body metal.
    pub const CHASSIS: f64 = 0.35;
}
