//! A network as a netlist for a general-purpose circuit simulator (SPICE
//! syntax), so that anybody can check the solve with a program not ours.

use halfsplit::network::{
    Branch, ControllingVoltage, Converter, Curve, FILAMENT_EXPONENT, FLAT_SLOPE, Law, Network, REVERSED_SHARE, STANDBY,
};
use halfsplit::vehicle::ContactRest;
use petgraph::unionfind::UnionFind;
use std::fmt::Write;

/// Numerical: resistance that holds an island which may float at some level, Ω.
/// What it draws through a megohm is below what any meter shows.
const SHUNT_OHMS: f64 = 1e11;

/// Numerical: resistance of an open contact, Ω; a simulator knows none that is
/// endless.
const OPEN_OHMS: f64 = 1e11;

/// Numerical: resistance of a source at its limit, Ω.
const LIMITED_OHMS: f64 = 1e6;

/// Netlist of a network, point `n` as node `n + 1` and the reference as node 0;
/// what to do with it (`.op`, `.end`) is left to be added. Laws are written as
/// they are, not as they stand here: contacts are voltage-controlled switches,
/// loads and limited sources behavioural. Fuses are whole.
pub fn netlist(title: &str, network: &Network) -> String {
    let node = |point: usize| if point == network.reference { 0 } else { point + 1 };
    let mut text = format!("* {title}\n");
    for (index, Branch { from, to, law }) in network.branches.iter().enumerate() {
        let (a, b) = (node(*from), node(*to));
        let line = match law {
            Law::Open => continue,
            Law::Resistor(g) | Law::Fuse { conductance: g, .. } => format!("R{index} {a} {b} {:e}", g.resistance().0),
            Law::Battery { emf, ohms, charging } => {
                let above = format!("(v({a})-v({b})+{})", emf.0);
                format!("B{index} {a} {b} I={above}>0 ? {above}/{:e} : {above}/{:e}", ohms.0, charging.0)
            }
            Law::Regulated { emf, ohms, limit, needs } => {
                let runs = runs(network, needs, node);
                // Voltage by current, not current by voltage: started from
                // nothing that would swing between too much and none.
                let given = format!("i(V{index})");
                let held = format!("{}-{:e}*{given}", emf.0, ohms.0);
                let full = format!("{}-{LIMITED_OHMS:e}*({given}-{i})", (*emf - *limit * *ohms).0, i = limit.0);
                let none = format!("-{OPEN_OHMS:e}*{given}");
                format!(
                    "V{index} s{index} {b} 0\n\
                     B{index} s{index} {a} V=1{runs}<0.5 ? {none} : \
                     ({given}<0 ? {}{none} : ({given}<{} ? {held} : {full}))",
                    emf.0, limit.0
                )
            }
            Law::ConstantCurrent { amps, knee } => {
                let slope = (*amps / *knee).0;
                let share = FLAT_SLOPE;
                let reversed = REVERSED_SHARE * slope;
                format!(
                    "B{index} {a} {b} I={u}<0 ? {reversed:e}*{u} : ({u}<{k} ? {slope:e}*{u} : {i}+{flat:e}*({u}-{k}))",
                    u = format_args!("(v({a})-v({b}))"),
                    k = knee.0,
                    i = amps.0,
                    flat = slope * share,
                )
            }
            Law::Curve(Curve::ConstantPower { fold, times, .. }) if network.feeds(index).next().is_some() => {
                let u = format!("(v({a})-v({b}))");
                let given: Vec<String> = network.feeds(index).map(|fed| given(network, fed, node)).collect();
                let asked = format!("{times}*({})", given.join("+"));
                let reversed = REVERSED_SHARE;
                let k = fold.0 * fold.0;
                format!("B{index} {a} {b} I={asked}*({u}<0 ? {reversed}*{u}/{k} : ({u}<{} ? {u}/{k} : 1/{u}))", fold.0)
            }
            Law::Curve(curve) => format!("B{index} {a} {b} I={}", bent(curve, &format!("(v({a})-v({b}))"))),
            Law::Diode { forward, ohms } => {
                format!("B{index} {a} {b} I=max(0,(v({a})-v({b})-{})/{:e})", forward.0, ohms.0)
            }
            Law::Contact { conductance, coil, drop_out, rest } => {
                let sensed = controlling(network, coil.branch, node);
                let middle = 0.5 * (coil.volts + *drop_out).0;
                let half = 0.5 * (coil.volts - *drop_out).0;
                // A break contact closes as its coil voltage falls.
                let (control, middle, start) = match rest {
                    ContactRest::Make => (format!("c{index} 0"), middle, "OFF"),
                    ContactRest::Break => (format!("0 c{index}"), -middle, "ON"),
                };
                format!(
                    "Bc{index} c{index} 0 V={sensed}\n\
                     S{index} {a} {b} {control} contact{index} {start}\n\
                     .model contact{index} SW(vt={middle} vh={half} ron={:e} roff={OPEN_OHMS:e})",
                    conductance.resistance().0
                )
            }
        };
        // Writing to a String cannot fail.
        let _ = writeln!(text, "{line}");
    }
    for point in may_float(network) {
        let _ = writeln!(text, "Rs{point} {} 0 {SHUNT_OHMS:e}", node(point));
    }
    text + ".options reltol=1e-9 abstol=1e-12 vntol=1e-9 gmin=1e-15 itl1=2000\n"
}

/// A factor that is nothing where a source lacks what it needs.
fn runs(network: &Network, needs: &[ControllingVoltage], node: impl Fn(usize) -> usize) -> String {
    let is_met = |need: &ControllingVoltage| {
        format!("*({}>={} ? 1 : 0)", controlling(network, need.branch, &node), need.volts.0)
    };
    needs.iter().map(is_met).collect()
}

/// The power that an output asks of its converter.
fn given(network: &Network, converter: &Converter, node: impl Fn(usize) -> usize) -> String {
    let Branch { from, to, law } = &network.branches[converter.output];
    let idle = converter.idle.0 / network.feeds(converter.input).count() as f64;
    let Law::Regulated { needs, .. } = law else { return format!("{idle:e}") };
    let (runs, output) = (runs(network, needs, &node), converter.output);
    let power = format!("max(0,(v({})-v({}))*i(V{output}))", node(*to), node(*from));
    format!("(1{runs}<0.5 ? {:e} : {power}/{:e}+{:e})", STANDBY.0, converter.efficiency, idle)
}

/// The voltage that works what depends on a branch, as an expression.
fn controlling(network: &Network, branch: usize, node: impl Fn(usize) -> usize) -> String {
    let Branch { from, to, law } = &network.branches[branch];
    match law {
        Law::Open => "0".to_string(),
        _ => format!("abs(v({})-v({}))", node(*from), node(*to)),
    }
}

/// The current of a load that bends at a voltage `u`, as an expression.
fn bent(curve: &Curve, u: &str) -> String {
    let below = format!("{:e}*{u}", curve.below());
    match curve {
        Curve::ConstantPower { watts, fold, .. } => {
            let reversed = format!("{:e}*{u}", REVERSED_SHARE * curve.below());
            format!("{u}<0 ? {reversed} : ({u}<{} ? {below} : {}/{u})", fold.0, watts.0)
        }
        Curve::Filament { amps, rated } => {
            let curved = format!("{}*sgn({u})*(abs({u})/{})^{FILAMENT_EXPONENT}", amps.0, rated.0);
            format!("abs({u})<{} ? {below} : {curved}", curve.edge())
        }
    }
}

/// The first point of each island that nothing surely joins to the reference.
fn may_float(network: &Network) -> Vec<usize> {
    let mut islands = UnionFind::new(network.points);
    for Branch { from, to, law } in &network.branches {
        if matches!(law, Law::Resistor(_) | Law::Fuse { .. } | Law::Battery { .. }) {
            islands.union(*from, *to);
        }
    }
    let mut floating: Vec<usize> = Vec::new();
    for point in (0..network.points).filter(|&point| !islands.equiv(point, network.reference)) {
        if floating.iter().all(|&first| !islands.equiv(first, point)) {
            floating.push(point);
        }
    }
    floating
}
