//! A network as a netlist for a general-purpose circuit simulator (SPICE
//! syntax), so that anybody can check the solve with a program not ours.

use super::law::{Branch, Law, Network};
use crate::vehicle::ContactRest;
use std::fmt::Write;

/// Resistance that keeps a simulator's floating points solvable, Ω.
const SHUNT_OHMS: f64 = 1e9;

/// Netlist of a network with its operating point printed, point `n` as node
/// `n + 1` and the reference as node 0. Laws are written as they are, not as
/// settled here: contacts are voltage-controlled switches, loads and limited
/// sources behavioural. Fuses are whole.
pub fn netlist(title: &str, network: &Network) -> String {
    let node = |point: usize| if point == network.reference { 0 } else { point + 1 };
    let mut text = format!("* {title}\n");
    for (index, Branch { from, to, law }) in network.branches.iter().enumerate() {
        let (a, b) = (node(*from), node(*to));
        let line = match law {
            Law::Open => continue,
            Law::Resistor(g) | Law::Fuse { conductance: g, .. } => format!("R{index} {a} {b} {:e}", 1.0 / g.0),
            Law::Battery { emf, ohms, charging } => {
                let above = format!("(v({a})-v({b})+{})", emf.0);
                format!("B{index} {a} {b} I={above}>0 ? {above}/{:e} : {above}/{:e}", ohms.0, charging.0)
            }
            Law::Regulated { emf, ohms, limit, needs } => {
                let conditions: String = needs
                    .iter()
                    .map(|need| {
                        let needed = &network.branches[need.branch];
                        format!("*(abs(v({})-v({}))>={} ? 1 : 0)", node(needed.from), node(needed.to), need.volts.0)
                    })
                    .collect();
                let wanted = format!("({}-(v({b})-v({a})))/{:e}", emf.0, ohms.0);
                format!("B{index} {a} {b} I=max(0,min({},{wanted})){conditions}", limit.0)
            }
            Law::ConstantCurrent { amps, knee } => {
                let slope = amps.0 / knee.0;
                let share = super::law::FLAT_SLOPE;
                format!(
                    "B{index} {a} {b} I=(v({a})-v({b}))<{k} ? {slope:e}*(v({a})-v({b})) : {i}+{flat:e}*(v({a})-v({b})-{k})",
                    k = knee.0,
                    i = amps.0,
                    flat = slope * share,
                )
            }
            Law::Diode { forward, ohms } => {
                format!("B{index} {a} {b} I=max(0,(v({a})-v({b})-{})/{:e})", forward.0, ohms.0)
            }
            Law::Contact { conductance, coil, drop_out, rest } => {
                let sensed = &network.branches[coil.branch];
                let (p, m) = (node(sensed.from), node(sensed.to));
                let middle = 0.5 * (coil.volts.0 + drop_out.0);
                let half = 0.5 * (coil.volts.0 - drop_out.0);
                // A break contact closes as its coil voltage falls.
                let (p, m, middle, start) = match rest {
                    ContactRest::Make => (p, m, middle, "OFF"),
                    ContactRest::Break => (m, p, -middle, "ON"),
                };
                format!(
                    "S{index} {a} {b} {p} {m} contact{index} {start}\n\
                     .model contact{index} SW(vt={middle} vh={half} ron={:e} roff=1e12)",
                    1.0 / conductance.0
                )
            }
        };
        // Writing to a String cannot fail.
        let _ = writeln!(text, "{line}");
    }
    for point in (0..network.points).filter(|&point| point != network.reference) {
        let _ = writeln!(text, "Rs{point} {} 0 {SHUNT_OHMS:e}", node(point));
    }
    text + ".options reltol=1e-9 abstol=1e-12 vntol=1e-9 gmin=1e-15 itl1=2000\n"
}
