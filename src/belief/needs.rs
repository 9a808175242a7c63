//! Naming bias: which of all loads that a fault stops somebody calls about.
//!
//! Of k dead loads any one may be named, so P(named | fault) = 1/k, with
//! k = Σ_loads P(load is not right | fault). A load needs the parts on its ways and
//! on those of the coils that switch it; past an added resistance R in such a part
//! it gets the share 1/(1 + R g), g what draws through the part while the load runs.
//! What puts nothing in series does to all what it does to the load complained of.
//! That each is named as often is an assumption; common practice, no source. Where
//! somebody says that several are dead, that is what counts instead.

use super::evidence::fails;
use crate::complaint::Extent;
use crate::fault::{FailureMode, Fault, ways};
use crate::predict::{Hypothesis, Sized, StateModel};
use crate::quantity::{Ohms, Siemens};
use crate::tables::belief::Weighing;
use crate::tables::signs::Signs;
use crate::vehicle::trace::SupplyLeads;
use crate::vehicle::{Contact, ContactRest, Load, LoadKind, PartId, State, Vehicle};
use rustc_hash::{FxHashMap, FxHashSet};

/// Chance that somebody names the one load that was complained of, out of as
/// many that are not right, or says that it is several.
pub(super) fn chance_of_naming(figures: &Weighing, extent: Extent, stopped: f64) -> f64 {
    let several_of_one = figures.several_of_one;
    match extent {
        Extent::One => 1.0 / stopped.max(1.0),
        Extent::Several => several_of_one + (1.0 - 2.0 * several_of_one) * (stopped - 1.0).clamp(0.0, 1.0),
    }
}

/// Numerical: number of the settings of what runs at rest, of which there are none.
const RUNS_AT_REST: usize = 0;

/// What a load needs a part for.
#[derive(Debug, Clone, Copy)]
enum NeedFor {
    /// Its own current flows there.
    Current,
    /// A relay's coil is fed there, which pulls in from this share of nominal voltage.
    Coil(f64),
}

impl NeedFor {
    /// Share of its voltage that a load gets where a part passes on this share.
    fn served(self, passed: f64) -> f64 {
        match self {
            Self::Current => passed,
            Self::Coil(pulls_in) if passed < pulls_in => 0.0,
            Self::Coil(_) => 1.0,
        }
    }
}

/// A load that needs a part.
#[derive(Debug, Clone, Copy)]
struct Needing {
    load: PartId,
    kind: LoadKind,
    need: NeedFor,
    /// The load itself or a coil that switches it: whose feed the part is in.
    sink: PartId,
    /// Number of the settings that run the load; what they run, they run together.
    runs: usize,
    /// What draws through the part while the load runs.
    drawing: Siemens,
}

/// Which loads need which parts, at rest and with what runs them set.
pub(super) struct Needs {
    of_part: Vec<Vec<Needing>>,
}

impl Needs {
    /// Of a vehicle, from how it is at rest.
    pub fn of(vehicle: &Vehicle, rest: Option<&StateModel>) -> Self {
        let at_rest = State::rest(vehicle);
        let leads = SupplyLeads::of(vehicle, &at_rest);
        let mut of_part = vec![Vec::new(); vehicle.parts.len()];
        let mut runs = FxHashMap::from_iter([(Vec::new(), RUNS_AT_REST)]);
        for load in vehicle.loads() {
            let Some(Load { kind, behaviour, rated, .. }) = vehicle.part(load).kind.load() else { continue };
            let (next, settings) = (runs.len(), leads.settings_for(vehicle, &at_rest, load));
            let runs = *runs.entry(settings).or_insert(next);
            let mut sinks = vec![(load, NeedFor::Current, behaviour.ohms_at(*rated).conductance())];
            let mut next = 0;
            while let Some(&(sink, need, drawing)) = sinks.get(next) {
                next += 1;
                for part in needed_by(vehicle, &leads, sink) {
                    let known: &mut Vec<Needing> = &mut of_part[part.index()];
                    if known.last().is_none_or(|last| last.load != load) {
                        known.push(Needing { load, kind: *kind, need, sink, runs, drawing });
                    }
                    let Some(Contact { coil, rest: ContactRest::Make }) = vehicle.part(part).kind.contact() else {
                        continue;
                    };
                    if sinks.iter().all(|(sink, ..)| *sink != coil) {
                        sinks.push((coil, coil_need(vehicle, coil), vehicle.part(coil).resistance.value.conductance()));
                    }
                }
            }
        }
        for (part, known) in of_part.iter_mut().enumerate() {
            let at_rest = rest.map_or(0.0, |rest| rest.solution().current(part).0.abs() / vehicle.nominal.0);
            let mut drawn: FxHashMap<usize, f64> = FxHashMap::default();
            let mut sinks: FxHashSet<PartId> = FxHashSet::default();
            for Needing { runs, drawing, .. } in known.iter().filter(|needing| sinks.insert(needing.sink)) {
                *drawn.entry(*runs).or_default() += drawing.0;
            }
            for needing in known {
                let together = drawn.get(&needing.runs).copied().unwrap_or_default();
                needing.drawing = Siemens(match needing.runs {
                    RUNS_AT_REST => at_rest.max(together),
                    _ => at_rest + together,
                });
            }
        }
        Self { of_part }
    }

    /// How many loads are not right under a hypothesis that leaves one of them
    /// this share of its voltage, on average.
    pub fn stopped(&self, signs: &Signs, vehicle: &Vehicle, hypothesis: &Hypothesis, left: f64) -> f64 {
        let opened = match *hypothesis {
            Hypothesis::UndrawnPath { opened: Some(fuse), .. } => {
                Some((Fault::new(fuse, FailureMode::OpenCircuit), None))
            }
            _ => None,
        };
        let mut right: FxHashMap<PartId, f64> = FxHashMap::default();
        for (fault, size) in hypothesis.faults().chain(opened) {
            let passes = passes(vehicle, (fault, size));
            let mut worst: FxHashMap<PartId, f64> = FxHashMap::default();
            for needing in ways(vehicle, fault).flat_map(|part| &self.of_part[part.index()]) {
                let passed = match passes {
                    Passes::Past(ohms) => 1.0 / (1.0 + ohms.0 * needing.drawing.0),
                    Passes::Share(share) => share,
                    // What it does to one it does to all.
                    Passes::Otherwise => left,
                };
                let fails = fails(signs, needing.kind, needing.need.served(passed));
                worst.entry(needing.load).and_modify(|worst| *worst = worst.max(fails)).or_insert(fails);
            }
            worst.into_iter().for_each(|(load, fails)| *right.entry(load).or_insert(1.0) *= 1.0 - fails);
        }
        let mut fails: Vec<f64> = right.into_values().map(|right| 1.0 - right).collect();
        // In one order, so that the sum is the same on every machine.
        fails.sort_by(f64::total_cmp);
        fails.into_iter().sum()
    }
}

/// The parts that a load or coil needs: those on its ways, itself if it is a
/// coil, and the supply at their start, with those in series with it.
fn needed_by(vehicle: &Vehicle, leads: &SupplyLeads, sink: PartId) -> Vec<PartId> {
    let part = vehicle.part(sink);
    let (mut parts, negative) = leads.back(vehicle, part.to);
    if part.kind.is_coil() {
        parts.push(sink);
    }
    let mut at = part.from;
    loop {
        let (lead, post) = leads.there(vehicle, at);
        parts.extend(lead);
        let is_next = |battery: &PartId| vehicle.part(*battery).to == post && !parts.contains(battery);
        let mut batteries = leads.batteries().iter().copied().filter(is_next);
        // Of two side by side neither is needed.
        let (Some(battery), None) = (batteries.next(), batteries.next()) else {
            parts.extend(leads.source_at(vehicle, post));
            break;
        };
        parts.push(battery);
        at = vehicle.part(battery).from;
        if at == negative {
            break;
        }
    }
    parts
}

fn coil_need(vehicle: &Vehicle, coil: PartId) -> NeedFor {
    NeedFor::Coil(vehicle.part(coil).kind.coil().map_or(0.0, |coil| coil.pull_in / vehicle.nominal))
}

/// What a part at fault still passes on.
#[derive(Debug, Clone, Copy)]
enum Passes {
    /// Current past a resistance.
    Past(Ohms),
    /// A share of the voltage.
    Share(f64),
    /// Whatever: it puts nothing in series.
    Otherwise,
}

fn passes(vehicle: &Vehicle, (fault, size): Sized) -> Passes {
    let size = size.map_or(0.0, |size| size.value);
    match fault.mode {
        FailureMode::OpenCircuit => Passes::Share(0.0),
        FailureMode::HighResistance | FailureMode::CommonCause => Passes::Past(Ohms(size)),
        FailureMode::Undersized => Passes::Past(Ohms((size - 1.0) * vehicle.part(fault.part).resistance.value.0)),
        FailureMode::LowVoltage => Passes::Share(1.0 - size / vehicle.nominal.0),
        FailureMode::ContactWelded
        | FailureMode::ShortAcross
        | FailureMode::ShortToGround
        | FailureMode::ShortBetweenCircuits
        | FailureMode::Leakage
        | FailureMode::HighDraw
        | FailureMode::LowDraw
        | FailureMode::StaysAwake
        | FailureMode::WrongTerminal
        | FailureMode::WrongRating
        | FailureMode::Crossed
        | FailureMode::Stuck
        | FailureMode::ReadsOff
        | FailureMode::WrongScale
        | FailureMode::Drifts => Passes::Otherwise,
    }
}
