//! Where to count from in a first look at a path: the vehicle as drawn, with a
//! source at its limit, with a relay the other way, with a fuse open.

use super::super::evidence::{Observation, Sign};
use super::super::likelihood::Likelihood;
use super::super::shortlist::Shortlist;
use super::field::SolvedField;
use super::given::{Given, Weak};
use super::look::{Read, VoltageTransfer};
use super::memo::Asked;
use super::threshold::{Beyond, Threshold};
use super::weak::{fuses, least, relays, sources};
use crate::network::{Region, Solution};
use crate::vehicle::State;
use std::rc::Rc;

/// All of them, and the solved states that they are told in.
pub(super) struct Bases {
    pub asked: Asked,
    pub fields: Vec<SolvedField>,
    /// As drawn first; what gives way leads from one to a later one.
    pub all: Vec<Base>,
}

/// What was read and complained of, with all as drawn but for what a path has
/// done.
pub(super) struct Base {
    pub given: Given,
    /// Which field the complaint is made in.
    pub here: usize,
    /// What makes a complaint; what is not of a load is asked of the solve
    /// itself.
    pub complaint: Option<Threshold>,
    /// What leads from here to other bases, first come first.
    pub trips: Vec<Trip>,
    /// The plain voltages.
    pub reads: Vec<Read>,
}

/// What gives way, and the base that leads to.
pub(super) struct Trip {
    pub threshold: Threshold,
    pub then: usize,
}

/// Where to count from; nowhere, if nothing was complained of or read.
pub(super) fn bases(shortlist: &Shortlist<'_>) -> Option<Bases> {
    let complaint = shortlist.likelihood.evidence.all_observations().find(|seen| seen.is_complaint());
    let read = shortlist.likelihood.evidence.all_readings().next().map(|read| &read.state);
    let used = complaint.map(|seen| &seen.state).or(read)?;
    let asked = Asked { state: used.clone(), complaint: complaint.map(|seen| (seen.subject, seen.sign)) };
    let drawn = shortlist.likelihood.models[used].shared_solution();
    let holds = shortlist.likelihood.engine.memo().undrawn.holds.get_or(asked.clone(), || {
        let mut holds = sources(shortlist, &drawn);
        holds.extend(complaint.map_or(Vec::new(), |seen| relays(shortlist, &drawn, seen)));
        holds.into()
    });
    let opens = fuses(shortlist, &drawn);
    let bases = Bases { asked, fields: Vec::new(), all: Vec::new() };
    let mut told = Telling { shortlist, bases, solved: Vec::new() };
    for given in std::iter::once(&Given::Nothing).chain(holds.iter().chain(&opens).map(|weak| &weak.then)) {
        told.tell(given, used, complaint);
    }
    let mut bases = told.bases;
    bases.lead(shortlist, &holds, &opens);
    Some(bases)
}

impl Bases {
    /// Which base a path leads to from which.
    fn lead(&mut self, shortlist: &Shortlist<'_>, holds: &[Weak], opens: &[Weak]) {
        let givens: Vec<Given> = self.all.iter().map(|base| base.given.clone()).collect();
        for base in &mut self.all {
            let solution = &self.fields[base.here].solution;
            let trip = |weak: &Weak| -> Option<Trip> {
                let then = givens.iter().position(|given| *given == weak.then)?;
                Some(Trip { threshold: weak.threshold(shortlist.likelihood.engine.vehicle(), solution), then })
            };
            // A source at its limit may keep a fuse from opening, and not the other way.
            base.trips = match base.given {
                Given::Nothing => holds.iter().chain(opens).filter_map(trip).collect(),
                Given::Held(_) => opens.iter().filter_map(trip).collect(),
                Given::Opened(_) => Vec::new(),
            };
        }
    }
}

/// Bases on their way.
struct Telling<'a, 'd> {
    shortlist: &'a Shortlist<'d>,
    bases: Bases,
    /// What each field is.
    solved: Vec<(State, Given)>,
}

impl Telling<'_, '_> {
    /// Adds a base, if what it gives can be solved in the state used.
    fn tell(&mut self, given: &Given, used: &State, complaint: Option<&Observation>) {
        let Some(here) = self.field(used, given) else { return };
        let complaint = complaint.and_then(|seen| self.complaint(here, seen));
        let mut reads: Vec<Read> = Vec::new();
        for &reading in &self.shortlist.telling {
            let Likelihood { readings, .. } = self.shortlist.likelihood;
            let (reading, value) = (readings.all[reading], readings.taken[reading].value);
            let Some(ends) = reading.probe.plain_voltage() else { continue };
            let Some(field) = self.field(&reading.state, given) else { continue };
            // The newest last.
            let known = reads.iter().position(|read| read.ends == ends && read.field == field);
            let mut read = known.map(|at| reads.remove(at)).unwrap_or_else(|| {
                let look = VoltageTransfer::new(&self.bases.fields[field].solution, ends.0, ends.1);
                Read { ends, look, values: Vec::new(), field }
            });
            read.values.push(value);
            reads.push(read);
        }
        self.bases.all.push(Base { given: given.clone(), here, complaint, trips: Vec::new(), reads });
    }

    /// How far what is complained of must be moved.
    fn complaint(&self, here: usize, seen: &Observation) -> Option<Threshold> {
        let vehicle = self.shortlist.likelihood.engine.vehicle();
        let least = least(&self.shortlist.likelihood.engine.tables().belief, vehicle, seen.subject)?.0;
        let sound = self.shortlist.likelihood.models[&seen.state].solution().across(seen.subject.index()).0;
        let (red, black) = vehicle.part(seen.subject).ends();
        let look = VoltageTransfer::new(&self.bases.fields[here].solution, red, black);
        match seen.sign {
            Sign::StaysOn | Sign::Glows => Some(Threshold::new(look, 0.0, Beyond::Above(sound.abs() + least))),
            Sign::Looks(_) | Sign::GoesFlat => Some(Threshold::new(look, -sound, Beyond::Above(least))),
            Sign::Sometimes | Sign::BlowsFuse | Sign::Uncharged | Sign::LooksWhole | Sign::LooksBlown => None,
            Sign::ChargesLittle | Sign::ComesBack | Sign::NoBetter | Sign::LampBright | Sign::LampDim => None,
            Sign::Clicks | Sign::Silent | Sign::Gives | Sign::Idle | Sign::Hot | Sign::Cool | Sign::Green => None,
        }
    }

    /// A state solved with what a path has done, each once: readings share it.
    fn field(&mut self, state: &State, given: &Given) -> Option<usize> {
        let model = &self.shortlist.likelihood.models[state];
        let given = running(model.solution(), given);
        if let Some(known) = self.solved.iter().position(|(known, then)| *then == given && known == state) {
            return Some(known);
        }
        let solutions = &self.shortlist.likelihood.engine.memo().undrawn.solutions;
        let solution = solutions.get_or((state.clone(), given.clone()), || match &given {
            Given::Nothing => Some(model.shared_solution()),
            Given::Held(held) => model.solution().held(held).ok().map(Rc::new),
            Given::Opened(fuse) => model.with_open_fuse(*fuse).ok().map(Rc::new),
        })?;
        self.bases.fields.push(SolvedField { solution });
        self.solved.push((state.clone(), given));
        Some(self.bases.fields.len() - 1)
    }
}

/// What is left of it in a state: what does not run there has no limit there.
fn running(drawn: &Solution, given: &Given) -> Given {
    let Given::Held(held) = given else { return given.clone() };
    let runs = |&&(branch, region): &&(usize, Region)| region != Region::Limited || drawn.region(branch) == Region::On;
    let held: Vec<_> = held.iter().filter(runs).copied().collect();
    if held.is_empty() { Given::Nothing } else { Given::Held(held) }
}
