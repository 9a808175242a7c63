//! Two faults that hide each other: of two ways side by side either will do,
//! and nobody notices that one has gone until the other goes too. No single
//! fault shows there, so the pairs are found by what opening both would do.

use super::super::candidate::Candidate;
use super::super::evidence::Sign;
use super::super::proposer::Proposer;
use super::super::shortlist::Shortlist;
use super::pairing::Pairing;
use crate::fault::{FailureMode, Fault, sizes};
use crate::network::{Branch, Solution};
use crate::predict::Sized;
use crate::tables::faults::Faults;
use crate::vehicle::{Load, PartId, PointId};
use std::rc::Rc;

/// Numerical: of the sizes, one in so many is tried first.
const COARSE: usize = 3;
/// Numerical: what is left of the own conductance below which opening cuts off.
const CUT: f64 = 1e-6;

/// Proposes those that nothing else has proposed.
pub(super) struct HiddenPairs<'p, 'a> {
    pub pairing: &'p Pairing<'p, 'a>,
    pub pairs: Vec<[Sized; 2]>,
}

impl Proposer for HiddenPairs<'_, '_> {
    fn batches(&self) -> impl Iterator<Item = Vec<Candidate>> {
        std::iter::once(self.pairs.iter().map(|&[first, second]| self.pairing.unnoticed(first, second)).collect())
    }
}

/// Pairs worth weighing, in rough sizes: one open, the other open or poor.
pub(super) fn hidden_pairs(shortlist: &Shortlist<'_>) -> Vec<[Sized; 2]> {
    let looks = looks(shortlist);
    let mut pairs: Vec<(f64, PartId, PartId)> = Vec::new();
    for look in &looks {
        for (one, other) in look.pairs(shortlist) {
            let rate = |part: PartId| shortlist.likelihood.engine.rate_of(Fault::new(part, FailureMode::OpenCircuit));
            if !pairs.iter().any(|&(_, a, b)| (a, b) == (one, other)) {
                pairs.push((rate(one) * rate(other), one, other));
            }
        }
    }
    pairs.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let tables = shortlist.likelihood.engine.tables();
    let faults = &tables.faults;
    pairs.iter().take(tables.belief.hidden_pairs).flat_map(|&(_, one, other)| sized(faults, one, other)).collect()
}

/// Either of two parts open, the other open or poor.
fn sized(faults: &Faults, one: PartId, other: PartId) -> Vec<[Sized; 2]> {
    let open = |part: PartId| (Fault::new(part, FailureMode::OpenCircuit), None);
    let poor = |part: PartId| {
        let some = sizes(faults, FailureMode::HighResistance).into_iter().step_by(COARSE);
        some.map(move |size| (Fault::new(part, FailureMode::HighResistance), size))
    };
    let mut all = vec![[open(one), open(other)]];
    all.extend(poor(other).map(|poor| [open(one), poor]));
    all.extend(poor(one).map(|poor| [poor, open(other)]));
    all
}

/// Two points between which something is not as it should be.
struct AmissVoltage {
    solution: Rc<Solution>,
    red: PointId,
    black: PointId,
    /// By how much at least, V, either way.
    amiss: f64,
}

/// What was read or complained of and is not as in a sound vehicle.
fn looks(shortlist: &Shortlist<'_>) -> Vec<AmissVoltage> {
    let figures = &shortlist.likelihood.engine.tables().belief;
    let mut looks = Vec::new();
    for reading in shortlist.likelihood.evidence.all_readings() {
        let Some((red, black)) = reading.probe.plain_voltage() else { continue };
        let solution = shortlist.likelihood.models[&reading.state].shared_solution();
        let sound = solution.volts(red.index()) - solution.volts(black.index());
        let off = (reading.on_scale(&shortlist.likelihood.engine.tables().instruments).0 - sound).abs();
        if off > figures.odd[0] + figures.odd[1] * sound.abs() {
            looks.push(AmissVoltage { solution, red, black, amiss: 0.5 * off });
        }
    }
    let vehicle = shortlist.likelihood.engine.vehicle();
    for seen in shortlist.likelihood.evidence.all_observations().filter(|seen| seen.is_complaint()) {
        if let (Sign::Looks(_), Some(Load { rated, .. })) = (seen.sign, vehicle.part(seen.subject).kind.load()) {
            let (red, black) = vehicle.part(seen.subject).ends();
            let solution = shortlist.likelihood.models[&seen.state].shared_solution();
            looks.push(AmissVoltage { solution, red, black, amiss: figures.noticed * rated.0 });
        }
    }
    looks
}

/// A part that could be opened, as the solve sees it.
struct Port {
    part: PartId,
    from: usize,
    to: usize,
    conductance: f64,
    /// Current through it, A.
    amps: f64,
    /// What is left of its own conductance between its ends with it open.
    left: f64,
    /// What such an ampere does to the look, Ω.
    transfer: f64,
    /// What opening it alone does to the look, V.
    alone: f64,
}

impl AmissVoltage {
    /// Parts of which two together, and neither alone, move this look enough.
    fn pairs(&self, shortlist: &Shortlist<'_>) -> Vec<(PartId, PartId)> {
        let figures = &shortlist.likelihood.engine.tables().belief;
        let ports = self.ports(shortlist);
        let mut pairs = Vec::new();
        for (index, one) in ports.iter().enumerate() {
            for other in &ports[index + 1..] {
                let both = self.opened(one, other);
                let alone = one.alone.abs().max(other.alone.abs());
                if both > self.amiss && alone < figures.alone * both && self.takes_over(one, other) > figures.takes_over
                {
                    pairs.push((one.part, other.part));
                }
            }
        }
        pairs
    }

    /// The parts that carry current and of which none is the only way.
    fn ports(&self, shortlist: &Shortlist<'_>) -> Vec<Port> {
        let vehicle = shortlist.likelihood.engine.vehicle();
        let carries = shortlist.likelihood.engine.tables().belief.carries;
        let fails_open =
            |part: &PartId| shortlist.likelihood.engine.rate_of(Fault::new(*part, FailureMode::OpenCircuit)) > 0.0;
        let is_wiring = |part: &PartId| vehicle.part(*part).kind.is_wiring();
        vehicle.part_ids().filter(is_wiring).filter(fails_open).filter_map(|part| self.port(carries, part)).collect()
    }

    fn port(&self, carries: f64, part: PartId) -> Option<Port> {
        let solution = &self.solution;
        let amps = solution.current(part.index()).0;
        if amps.abs() < carries {
            return None;
        }
        let Branch { from, to, .. } = solution.network().branches[part.index()];
        let (up, down) = (solution.column(from), solution.column(to));
        let own = (up[from] - down[from]) - (up[to] - down[to]);
        let (red, black) = (self.red.index(), self.black.index());
        let transfer = (up[red] - down[red]) - (up[black] - down[black]);
        let conductance = amps / (solution.volts(from) - solution.volts(to));
        let left = 1.0 - conductance * own;
        (left > CUT).then(|| Port { part, from, to, conductance, amps, left, transfer, alone: amps * transfer / left })
    }

    fn mutual(&self, one: &Port, other: &Port) -> f64 {
        let (up, down) = (self.solution.column(one.from), self.solution.column(one.to));
        (up[other.from] - down[other.from]) - (up[other.to] - down[other.to])
    }

    /// By what share of its current the second carries more once the first is open.
    fn takes_over(&self, first: &Port, second: &Port) -> f64 {
        let more = second.conductance * self.mutual(first, second) * first.amps / first.left;
        more / second.amps
    }

    /// How far the look moves when two are opened, V; any distance where that
    /// cuts off.
    fn opened(&self, one: &Port, other: &Port) -> f64 {
        let mutual = self.mutual(one, other);
        let (a, d) = (one.left, other.left);
        let (b, c) = (-one.conductance * mutual, -other.conductance * mutual);
        // Nothing is left where both are the only ways: that cuts off.
        let left = (a * d - b * c).max(CUT * a * d);
        let first = one.amps * d - b * other.amps;
        let second = a * other.amps - c * one.amps;
        ((one.transfer * first + other.transfer * second) / left).abs()
    }
}
