//! What an instrument shows of a hidden fault, by a full solve, as it is typed.

use crate::played::{Hidden, Resolve, Simulator};
use halfsplit::case::Case;
use halfsplit::network::{Branch, Convergence, Law, Network, as_an_ohmmeter_finds_it, solve};
use halfsplit::predict::{Burden, Probe};
use halfsplit::quantity::{Ohms, Volts};
use halfsplit::vehicle::{PartId, PointId, State};

/// What an instrument shows, as it is typed.
pub struct Instrument<'a> {
    pub truth: &'a Hidden<'a>,
    pub undrawn: &'a [Branch],
    pub case: &'a Case,
}

impl Instrument<'_> {
    pub fn shows(&self, probe: Probe, state: &State) -> String {
        match probe {
            Probe::Voltage { red, black, burden } => self.volts(red, black, burden, state),
            Probe::Fixed { .. } => self.shows(probe.by_hand(), state),
            Probe::Resistance { red, black } => self.ohms(red, black, state),
            Probe::Current { part } => {
                let solution = solve(self.network(state)).expect("solvable");
                format!("{:.2}A", solution.current(part.index()).0)
            }
        }
    }

    /// An ammeter in line, to the milliampere.
    pub fn in_line(&self, part: PartId, state: &State) -> String {
        let solution = solve(self.network(state)).expect("solvable");
        format!("{:.0}mA", solution.current(part.index()).0 * 1e3)
    }

    fn network(&self, state: &State) -> Network {
        let mut network = self.truth.network(state);
        network.branches.extend(self.undrawn.iter().cloned());
        let settling = solve(network.clone()).expect("solvable").convergence();
        assert_ne!(settling, Convergence::Oscillating, "a chattering state has no steady reading: tell of another one");
        network
    }

    /// The meter, and the lamp if there is one, are part of the circuit.
    fn volts(&self, red: PointId, black: PointId, burden: Burden, state: &State) -> String {
        let instruments = &self.case.engine().tables().instruments;
        let meter = self.case.standing().meter.meter(instruments);
        let mut network = self.network(state);
        let mut bridge = |ohms: Ohms| {
            let law = Law::Resistor(ohms.conductance());
            network.branches.push(Branch { from: red.index(), to: black.index(), law });
        };
        bridge(meter.input);
        if burden == Burden::Lamp {
            bridge(instruments.lamp * (self.truth.vehicle.nominal.0 / 12.0));
        }
        let volts = Volts(Resolve.volts(&network, red.index(), black.index()));
        // No display shows less than nothing of nothing.
        match (meter.shows(volts).0 + 0.0, meter.step(volts).0) {
            (shown, step) if step < 0.000_5 => format!("{:.1}mV", shown * 1e3),
            (shown, step) if step < 0.005 => format!("{shown:.3}"),
            (shown, step) if step < 0.05 => format!("{shown:.2}"),
            (shown, _) => format!("{shown:.1}"),
        }
    }

    /// An ohmmeter with 0.2 Ω of leads: half a volt behind 100 Ω, compared.
    fn ohms(&self, red: PointId, black: PointId, state: &State) -> String {
        let mut network = as_an_ohmmeter_finds_it(&self.network(state));
        let live = Resolve.volts(&network, red.index(), black.index()).abs();
        assert!(live < 0.05, "an ohmmeter on a live circuit, {live} V");
        let law = Law::Battery { emf: Volts(0.5), ohms: Ohms(100.0), charging: Ohms(100.0) };
        network.branches.push(Branch { from: black.index(), to: red.index(), law });
        let left = Resolve.volts(&network, red.index(), black.index());
        match 0.2 + 100.0 * left / (0.5 - left) {
            none if !(0.0..40e6).contains(&none) => "ol".to_string(),
            ohms if ohms < 399.95 => format!("{ohms:.1}ohm"),
            ohms if ohms < 3999.5 => format!("{:.3}kohm", ohms / 1e3),
            ohms if ohms < 399_950.0 => format!("{:.1}kohm", ohms / 1e3),
            ohms => format!("{:.2}Mohm", ohms / 1e6),
        }
    }
}
