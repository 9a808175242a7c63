//! Cheap looks at what a fault could do to a load, without a solve. What one of them
//! takes for harmless takes no more of the load's work than nobody sees.

use super::hypothesis::Hypothesis;
use super::model::StateModel;
use crate::fault::{FailureMode, Fault, ways};
use crate::network::{Alteration, Between, Branch, Margin};
use crate::quantity::Volts;
use crate::vehicle::{PartId, PointId, Vehicle};
use std::rc::Rc;

impl StateModel {
    /// Whether opening a part could change how a load is served: by its own
    /// volts or by those of a coil or a sense input. More resistance than none
    /// and less than an open does less than an open.
    pub fn could_matter(&self, vehicle: &Vehicle, part: PartId, load: PartId) -> bool {
        let (red, black) = vehicle.part(load).ends();
        self.could_move(vehicle, part, red, black, self.least_noticed(vehicle, load))
    }

    /// A cheap look at whether a hypothesis could change how a load is served.
    pub fn could_touch(&self, vehicle: &Vehicle, hypothesis: &Hypothesis, load: PartId) -> bool {
        let (fault, size) = match *hypothesis {
            Hypothesis::Sound => return false,
            Hypothesis::Faulty { fault, size } if !fault.involves(load) => (fault, size),
            Hypothesis::Faulty { .. } | Hypothesis::Double { .. } | Hypothesis::UndrawnPath { .. } => return true,
        };
        let matters = |part: PartId| self.could_matter(vehicle, part, load);
        let change = || self.change(vehicle, (fault, size));
        let disturbs = || self.could_disturb(vehicle, &change(), load);
        let joins = || change().added.into_iter().any(|path| self.path_could_touch(vehicle, path, load));
        // Two paths between what nothing joined.
        let closes_a_loop = || {
            let mut between = change().added.into_iter().map(|path| self.solution.between(path.from, path.to));
            between.all(|between| between == Between::Floating)
        };
        let mut carrying = ways(vehicle, fault).filter(|&part| self.carries_current(part));
        match fault.mode {
            FailureMode::OpenCircuit | FailureMode::HighResistance | FailureMode::Undersized => carrying.any(matters),
            // Of two ways side by side neither matters alone.
            FailureMode::CommonCause => carrying.any(matters) || disturbs(),
            FailureMode::Crossed if fault.parts().any(matters) => true,
            FailureMode::Crossed if carrying.next().is_some() || closes_a_loop() => disturbs(),
            FailureMode::Crossed => joins(),
            FailureMode::ShortToGround | FailureMode::ShortBetweenCircuits | FailureMode::Leakage => joins(),
            FailureMode::ContactWelded | FailureMode::WrongTerminal | FailureMode::WrongRating => disturbs(),
            FailureMode::ShortAcross | FailureMode::HighDraw | FailureMode::LowDraw | FailureMode::StaysAwake => {
                !vehicle.part(fault.part).kind.is_load() || disturbs()
            }
            FailureMode::LowVoltage => true,
            FailureMode::Stuck | FailureMode::ReadsOff | FailureMode::WrongScale | FailureMode::Drifts => false,
        }
    }

    /// Whether a change could change how a load is served: itself, or by a law on its
    /// way that leaves its region.
    fn could_disturb(&self, vehicle: &Vehicle, change: &Alteration, load: PartId) -> bool {
        let Some(guards) = self.guards(vehicle, load) else { return true };
        self.solution.could_disturb(change, load.index(), self.least_noticed(vehicle, load), &guards)
    }

    /// Whether a path that was not there could: not between points that stand alike,
    /// which it moves no further than they are apart, and not where it opens the fuse
    /// on its own way, which is nothing to the load, and then carries nothing.
    fn path_could_touch(&self, vehicle: &Vehicle, path: Branch, load: PartId) -> bool {
        let Between::Volts(apart) = self.solution.between(path.from, path.to) else { return false };
        apart.abs() > self.least_noticed(vehicle, load)
            && !self.opens_another_fuse(vehicle, &path, load)
            && self.could_disturb(vehicle, &Alteration { replaced: Vec::new(), added: vec![path] }, load)
    }

    fn opens_another_fuse(&self, vehicle: &Vehicle, path: &Branch, load: PartId) -> bool {
        let Some(guards) = self.guards(vehicle, load) else { return false };
        let leads = self.leads(vehicle);
        let ways = [path.from, path.to].map(|end| leads.there(vehicle, PointId::new(end)).0);
        let fuses: Vec<usize> =
            ways.iter().flatten().filter(|&&part| vehicle.part(part).kind.is_fuse()).map(|part| part.index()).collect();
        let opened = self.solution.ended_by(path, &fuses, &guards);
        opened.is_some_and(|fuse| !self.could_matter(vehicle, PartId::new(fuse), load))
    }

    fn least_noticed(&self, vehicle: &Vehicle, load: PartId) -> Volts {
        self.usual_volts(vehicle, load) * self.tables().spreads.noticed
    }

    /// The margins on which it hangs how a load is served: of what matters to it where
    /// it opens, and of the open contacts that matter where they close.
    fn guards(&self, vehicle: &Vehicle, load: PartId) -> Option<Rc<[Margin]>> {
        self.guards.get_or(load, || {
            let part = |law: usize| (law < vehicle.parts.len()).then(|| PartId::new(law));
            let matters = |law: usize| part(law).is_none_or(|part| self.could_matter(vehicle, part, load));
            let mut guards = self.solution.margins_of(matters)?;
            let least = self.least_noticed(vehicle, load);
            let mut open: Vec<usize> = self.solution.open_contacts().filter(|&contact| !matters(contact)).collect();
            // A contact may close another one that matters.
            loop {
                let matters = |&contact: &usize| {
                    let closed = Fault::new(PartId::new(contact), FailureMode::ContactWelded);
                    self.solution.could_disturb(&self.change(vehicle, (closed, None)), load.index(), least, &guards)
                };
                let (closing, rest): (Vec<usize>, Vec<usize>) = open.into_iter().partition(matters);
                if closing.is_empty() {
                    return Some(guards.into());
                }
                guards.extend(self.solution.margins_of(|law| closing.contains(&law))?);
                open = rest;
            }
        })
    }
}
