//! Has every load and coil a feed and a return?

use super::islands::Supplied;
use super::wiring::{Changeovers, joined};
use crate::source::Diagnostic;
use crate::vehicle::circuit::Vehicle;
use crate::vehicle::id::{PartId, PointId};
use crate::vehicle::part::{Part, Role};
use petgraph::unionfind::UnionFind;
use std::collections::{HashMap, HashSet};

/// The poles of a supply that a point leads to.
#[derive(Debug, Clone, Copy, Default)]
struct Poles {
    plus: bool,
    minus: bool,
    doubtful: bool,
}

/// Stretches of wire with every change-over contact open, and the contacts and
/// loads between them.
struct Stretches {
    sets: UnionFind<usize>,
    plus: HashSet<usize>,
    minus: HashSet<usize>,
    doubtful: HashSet<usize>,
    by_contact: HashMap<usize, Vec<usize>>,
    by_load: HashMap<usize, Vec<(usize, PartId)>>,
}

impl Stretches {
    fn of(vehicle: &Vehicle, doubtful: &[PointId]) -> Self {
        let changeovers = Changeovers::of(vehicle);
        let sets = joined(vehicle, |_, part| part.kind.is_wiring() && changeovers.throw(part).is_none());
        let stretch = |point: PointId| sets.find(point.index());
        let posts = |end: fn(&Part) -> PointId| vehicle.supplies().map(|id| stretch(end(vehicle.part(id)))).collect();
        let mut by_contact: HashMap<usize, Vec<usize>> = HashMap::new();
        let mut by_load: HashMap<usize, Vec<(usize, PartId)>> = HashMap::new();
        for id in vehicle.part_ids() {
            let part = vehicle.part(id);
            let (from, to) = (stretch(part.from), stretch(part.to));
            for (near, far) in [(from, to), (to, from)] {
                match part.kind.role() {
                    Role::Source | Role::Display => {}
                    Role::Load | Role::Coil => by_load.entry(near).or_default().push((far, id)),
                    Role::Protection | Role::Switchgear | Role::Connection | Role::Conductor | Role::Rectifier => {
                        if changeovers.throw(part).is_some() {
                            by_contact.entry(near).or_default().push(far);
                        }
                    }
                }
            }
        }
        let (minus, plus) = (posts(|part| part.from), posts(|part| part.to));
        let doubtful = doubtful.iter().map(|&point| stretch(point)).collect();
        Self { plus, minus, doubtful, by_contact, by_load, sets }
    }

    /// The poles a point leads to, over contacts but not through a pole; with
    /// `around`, also through loads other than that one (lamps in series).
    fn leads(&self, point: PointId, around: Option<PartId>) -> Poles {
        let start = self.sets.find(point.index());
        let mut leads = Poles::default();
        let mut seen = HashSet::from([start]);
        let mut waiting = vec![start];
        while let Some(stretch) = waiting.pop() {
            let (plus, minus) = (self.plus.contains(&stretch), self.minus.contains(&stretch));
            leads.plus |= plus;
            leads.minus |= minus;
            if plus || minus {
                continue;
            }
            leads.doubtful |= self.doubtful.contains(&stretch);
            let contacts = self.by_contact.get(&stretch).into_iter().flatten().copied();
            let loads = self.by_load.get(&stretch).into_iter().flatten();
            let through = loads.filter(|(_, id)| around.is_some_and(|own| own != *id)).map(|&(far, _)| far);
            waiting.extend(contacts.chain(through).filter(|far| seen.insert(*far)));
        }
        leads
    }
}

pub fn check_feeds_and_returns(
    vehicle: &Vehicle,
    doubtful: &[PointId],
    supplied: &Supplied,
    findings: &mut Vec<Diagnostic>,
) {
    let stretches = Stretches::of(vehicle, doubtful);
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        if !part.kind.role().is_sink() {
            continue;
        }
        let what = part.kind.words();
        if !supplied.reaches(part.from) {
            continue;
        }
        let works = |around| {
            let (from, to) = (stretches.leads(part.from, around), stretches.leads(part.to, around));
            let fed = (from.plus && to.minus) || (from.minus && to.plus);
            (fed || from.doubtful || to.doubtful, from, to)
        };
        let (fine, from, to) = works(None);
        if !fine && !works(Some(id)).0 {
            findings.push(lack(vehicle, part, what, from, to));
        }
    }
}

/// What a load or coil lacks, by where its ends lead.
fn lack(vehicle: &Vehicle, part: &Part, what: &str, from: Poles, to: Poles) -> Diagnostic {
    let name = part.label_name();
    let loose = vehicle.graph.edges(part.to.node()).count() == 1;
    let no_return = |label| {
        let help = "give its run a `to`, or correct where it or its return run ends";
        Diagnostic::error(part.span, format!("{what} `{name}` has no return"), label, help)
    };
    let no_feed = |label| {
        Diagnostic::error(part.span, format!("{what} `{name}` has no feed"), label, "correct the `from` of its run")
    };
    match (from.plus || from.minus, to.plus || to.minus) {
        (_, false) if loose => no_return("nothing leads on from here"),
        (_, false) => no_return("no wire leads from here to a supply's negative"),
        (false, _) => no_feed("no wire leads here from a supply's positive"),
        _ if from.plus => no_return("both its ends lead to a supply's positive"),
        _ => no_feed("both its ends lead to a supply's negative"),
    }
}
