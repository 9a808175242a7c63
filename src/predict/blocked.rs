//! What a meter finds beyond diodes that carry nothing. Nothing flows there but what
//! the meter itself draws: one way through a diode, below a microampere or two, at
//! about half of its forward voltage; the other way through what leaks back.
//!
//! So each such diode is that of a slight current, or a resistance: whichever the
//! current of the meter makes of it.

use super::prediction::Prediction;
use super::uncertainties::Uncertainties;
use super::view::View;
use crate::meter::MeterKind;
use crate::network::{Alteration, Between, Branch, Law};
use crate::quantity::{Ohms, Volts};
use crate::tables::spreads::Spreads;
use crate::vehicle::{PartId, PointId};

/// Numerical: slope resistance of a diode at a slight current, Ω: nothing beside the
/// input of a meter, and enough to tell one way from the other.
const SLIGHT_SLOPE: Ohms = Ohms(1e4);

/// A diode that carries nothing, as a meter finds it.
struct Found {
    part: PartId,
    law: Law,
}

impl View<'_> {
    /// This view as a meter between two points finds it, where diodes that carry
    /// nothing part them; else none.
    fn as_a_meter_finds_it(&self, red: PointId, black: PointId, input: Ohms) -> Option<(View<'_>, Vec<Found>)> {
        let idle = self.idle_diodes()?.between(red.index(), black.index());
        if idle.is_empty() {
            return None;
        }
        let spreads = &self.tables().spreads;
        let slight = |&(branch, forward): &(usize, Volts)| {
            (branch, Law::Diode { forward: forward * spreads.slight_forward, ohms: SLIGHT_SLOPE })
        };
        let leak = |&(branch, _): &(usize, Volts)| Law::Resistor(self.leak(PartId::new(branch)).conductance());
        let meter = Branch { from: red.index(), to: black.index(), law: Law::Resistor(input.conductance()) };
        let with_meter = Alteration { replaced: idle.iter().map(slight).collect(), added: vec![meter] };
        let metered = self.altered_further(with_meter);
        // Of what conducts the same line, so that it holds without the meter too.
        let line = |&(_, forward): &(usize, Volts)| Law::Battery {
            emf: -(forward * spreads.slight_forward),
            ohms: SLIGHT_SLOPE,
            charging: SLIGHT_SLOPE,
        };
        let found = |one: &(usize, Volts)| {
            let conducts = metered.slope(one.0) != 0.0;
            Found { part: PartId::new(one.0), law: if conducts { line(one) } else { leak(one) } }
        };
        let found: Vec<Found> = idle.iter().map(found).collect();
        let replaced = found.iter().map(|one| (one.part.index(), one.law.clone())).collect();
        Some((self.of_one_reading(self.altered_further(Alteration { replaced, added: Vec::new() })), found))
    }

    /// What it leaks back through.
    fn leak(&self, part: PartId) -> Ohms {
        let kind = &self.vehicle().part(part).kind;
        kind.leak(self.vehicle().nominal).unwrap_or_else(|| usual_leak(&self.tables().spreads, kind.forward()))
    }

    /// Voltage that a meter shows between two points that diodes part; else none.
    pub(super) fn volts_beyond_diodes(&self, red: PointId, black: PointId) -> Option<f64> {
        let input = self.tables().instruments.cheap_meter.input;
        let (view, _) = self.as_a_meter_finds_it(red, black, input)?;
        let Between::Volts(volts) = view.altered().between(red.index(), black.index()) else { return None };
        let behind = view.altered().transfer(red.index(), black.index()).resistance();
        Some(volts.0 * (input / (input + behind)))
    }

    /// The same before it is taken, with its spread.
    pub(super) fn voltage_beyond_diodes(
        &self,
        (red, black): (PointId, PointId),
        meter: MeterKind,
        step: f64,
        theta: &Uncertainties,
    ) -> Option<Prediction> {
        let input = meter.meter(&self.tables().instruments).input;
        let (view, found) = self.as_a_meter_finds_it(red, black, input)?;
        let mut shown = view.voltage(red, black, meter, step, theta);
        if !shown.floating {
            let of_diodes = found.iter().map(|one| view.deviation_of(one, (red, black), input).powi(2));
            // Behind gigohms a point catches what one that hangs in the air does.
            let behind = view.altered().transfer(red.index(), black.index()).resistance();
            let stray = self.tables().instruments.floating * (behind / (behind + input));
            shown.own_variance += of_diodes.sum::<f64>() + stray.0 * stray.0;
        }
        Some(shown)
    }

    /// What one deviation of a diode does to what a meter shows, V.
    fn deviation_of(&self, found: &Found, (red, black): (PointId, PointId), input: Ohms) -> f64 {
        let altered = self.altered();
        let Between::Volts(volts) = altered.between(red.index(), black.index()) else { return 0.0 };
        let transfer = altered.transfer(red.index(), black.index());
        let (from, to) = self.vehicle().part(found.part).ends();
        let ohms = transfer.to(from.index(), to.index());
        let left = input / (input + transfer.resistance());
        let spreads = &self.tables().spreads;
        match found.law {
            Law::Battery { emf, ohms: slope, .. } => left * ohms / slope.0 * emf.0 * spreads.slight_deviation,
            _ => {
                let swing = altered.slope(found.part.index()) * ohms * ohms;
                let moved = ohms * altered.current(found.part.index()).0;
                spreads.leak_deviation * left * (moved - volts.0 * left * swing / input.0)
            }
        }
    }
}

/// By its forward voltage a rectifier is a Schottky or a junction of silicon.
fn usual_leak(spreads: &Spreads, forward: Option<Volts>) -> Ohms {
    match forward {
        Some(forward) if forward < spreads.schottky_below => spreads.schottky_leak,
        _ => spreads.silicon_leak,
    }
}
