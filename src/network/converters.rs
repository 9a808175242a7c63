//! Converters: what goes into one follows what comes out. With P the power at the
//! terminals of its outputs, η its efficiency and P₀ what it takes for itself,
//!
//!   P_in = k·(P/η + P₀),   i_in = P_in/u_in:
//!
//! the definition of efficiency, and constant power; k is 1 but for an input at
//! fault. The network is solved at one P_in, which gives another, until they agree.
//! Where the input gets less than it needs, it goes on trying with what it takes;
//! where an output is held off otherwise, it takes next to nothing.
//!
//! To first order dP_in = k·dP/η. With i the current of an output of slope g at u,
//! P = −u·i, a quantity that pushes one ampere through a branch b moves P by
//! −(i + u·g)·z_out(b), and by u more if b is the output itself; a watt more into
//! the input moves a reading by −z_in·i_in/P_in.

use super::curve::Curve;
use super::graph::Converter;
use super::law::Law;
use crate::quantity::{Volts, Watts};

/// From: common practice, no source. What a converter takes that is switched off
/// at its output.
pub const STANDBY: Watts = Watts(0.05);

/// Numerical: share by which the power that goes in may differ from what comes out
/// asks for: below what any meter shows.
const SAME_POWER: f64 = 1e-5;

/// Numerical: rounds before a converter that never agrees with its output counts
/// as oscillating.
pub(super) const MOST_ROUNDS: usize = 12;

/// A solved network, as far as converters ask.
pub(super) trait Solved {
    fn law(&self, branch: usize) -> &Law;
    /// Voltage across a branch, first end positive, V.
    fn volts(&self, branch: usize) -> f64;
    /// Current through it, first end to second, A.
    fn amps(&self, branch: usize) -> f64;
}

/// The inputs that take another power than their outputs ask for, with the law of
/// that power.
pub(super) fn disagreeing(converters: &[Converter], circuit: &impl Solved) -> Vec<(usize, Law)> {
    let is_first = |at: usize| converters[..at].iter().all(|other| other.input != converters[at].input);
    let mut changed = Vec::new();
    for at in (0..converters.len()).filter(|&at| is_first(at)) {
        let input = converters[at].input;
        let Law::Curve(Curve::ConstantPower { watts, fold, rated, times }) = *circuit.law(input) else { continue };
        let of_input = || converters.iter().filter(|converter| converter.input == input);
        if of_input().any(|converter| is_short(converter, circuit)) {
            continue;
        }
        let drawn: f64 = of_input().map(|converter| drawn(converter, circuit)).sum();
        let asked = times * if drawn > 0.0 { drawn + converters[at].idle.0 } else { STANDBY.0 };
        if (asked - watts.0).abs() > SAME_POWER * asked {
            changed.push((input, Law::Curve(Curve::ConstantPower { watts: Watts(asked), fold, rated, times })));
        }
    }
    changed
}

/// Whether an input gets less than it needs.
pub(super) fn is_short(converter: &Converter, circuit: &impl Solved) -> bool {
    circuit.volts(converter.input).abs() < converter.least.0
}

/// The inputs as they start, before anything comes out.
pub(super) fn starting(converters: &[Converter], circuit: &impl Solved) -> Vec<(usize, Law)> {
    let start = |converter: &Converter| match *circuit.law(converter.input) {
        Law::Curve(Curve::ConstantPower { fold, rated, times, .. }) => {
            let watts = converter.idle * times;
            Some((converter.input, Law::Curve(Curve::ConstantPower { watts, fold, rated, times })))
        }
        _ => None,
    };
    let mut inputs: Vec<(usize, Law)> = converters.iter().filter_map(start).collect();
    inputs.dedup_by_key(|(input, _)| *input);
    inputs
}

/// What an output takes from the input, W; a trifle where it runs idle, and
/// nothing where it is held off.
fn drawn(converter: &Converter, circuit: &impl Solved) -> f64 {
    let is_reached = |volts: Volts, branch| circuit.law(branch).controlling(circuit.volts(branch)).abs() >= volts.0;
    match circuit.law(converter.output) {
        Law::Regulated { needs, .. } if !needs.iter().all(|need| is_reached(need.volts, need.branch)) => 0.0,
        _ => {
            let given = -circuit.volts(converter.output) * circuit.amps(converter.output);
            given.max(0.0) / converter.efficiency + f64::MIN_POSITIVE
        }
    }
}
