//! A network as an ohmmeter finds it: its test voltage wakes no electronics.

use super::curve::Curve;
use super::graph::Network;
use super::law::Law;
use crate::quantity::Ohms;

/// From: common practice, no source. What electronics show an ohmmeter, Ω;
/// anything from kilohms to megohms.
pub const ASLEEP_OHMS: Ohms = Ohms(30e3);

/// From: common practice, no source. Cold resistance of a filament as a share of
/// the hot one; a tenth.
const COLD_FILAMENT: f64 = 0.1;

/// The laws that hold at the few tenths of a volt of an ohmmeter.
pub fn as_an_ohmmeter_finds_it(network: &Network) -> Network {
    let mut network = network.clone();
    for branch in &mut network.branches {
        branch.law = match &branch.law {
            Law::ConstantCurrent { .. } | Law::Curve(Curve::ConstantPower { .. }) => {
                Law::Resistor(ASLEEP_OHMS.conductance())
            }
            Law::Curve(Curve::Filament { amps, rated }) => {
                Law::Resistor((*rated / *amps * COLD_FILAMENT).conductance())
            }
            Law::Diode { .. } => Law::Open,
            Law::Open
            | Law::Resistor(_)
            | Law::Fuse { .. }
            | Law::Battery { .. }
            | Law::Regulated { .. }
            | Law::Contact { .. } => continue,
        };
    }
    network
}
