//! What is known of the vehicle from before: its handover and its past cases.

use super::session::{Said, Session};
use crate::belief::{Because, Raise};
use crate::case::journal::{Access, Journal};
use crate::case::past::{self, Whose};
use crate::case::{Case, CaseError, Entry, walk};
use crate::plan::walk::Scope;
use crate::words;
use crate::words::document::Block;
use std::path::Path;

impl Session {
    /// Whether readings are taken at handover now.
    pub(super) fn is_handover(&self) -> bool {
        self.case.journal().is_some_and(Journal::is_handover)
    }

    /// On the walk a value alone, or `cannot`, is of its next point.
    pub(super) fn walked(&self, line: &str) -> Option<Entry> {
        if !self.is_handover() {
            return None;
        }
        walk::answered(&self.case, line)
    }

    /// A case with nothing in it, of a vehicle whose past is as it now stands.
    /// The case of the name `but` is no past case.
    pub(super) fn afresh(&self, but: Option<&str>) -> Result<Case, CaseError> {
        let before = self.case.engine();
        let readings = match self.is_handover() {
            true => self.case.standing().evidence.readings.clone(),
            false => before.handover().map(|known| known.readings().to_vec()).unwrap_or_default(),
        };
        Case::new(before.with_handover(readings)?.with_history(self.history_but(but)))
    }

    /// What past cases raise, but for the case of a name.
    pub(super) fn history_but(&self, but: Option<&str>) -> Vec<Raise> {
        let mut history = self.case.engine().history().to_vec();
        if let Some(shelf) = self.shelf.as_ref().filter(|_| self.heeds_history) {
            let vehicle = self.case.vehicle();
            let mut listed = shelf.repaired(vehicle, self.case.engine().trees());
            listed.retain(|listed| Some(listed.name.as_str()) != but);
            history.retain(|raise| raise.because == Because::RepairedElsewhere);
            history.extend(past::raises(
                &self.case.engine().tables().telling,
                vehicle,
                &listed,
                Whose::Ours,
                &shelf.now(),
            ));
        }
        history
    }

    /// Opens the handover of the vehicle, or begins it.
    pub(super) fn hand_over(&mut self) -> Result<(), CaseError> {
        let Some(shelf) = &self.shelf else { return Err(CaseError::NoShelf) };
        if self.case.journal().is_none() && !self.case.entries().is_empty() {
            return Err(CaseError::KeepFirst);
        }
        // A reading at handover is held against tables, not against itself.
        let mut case = Case::new(self.case.engine().with_handover(Vec::new())?.known_well())?;
        case.open(&shelf.handovers(), &shelf.handover_name(), Access::Write)?;
        self.case = case;
        Ok(())
    }

    /// Goes on a walk at handover, or on with the one under way, and says what
    /// it comes to.
    pub(super) fn go_on_walk(&mut self, scope: Option<Scope>) -> Said {
        let mut said = Vec::new();
        if !self.is_handover() {
            self.hand_over()?;
            said.extend(words::handover_opened(&self.case));
        }
        if let Some(scope) = scope.filter(|&scope| scope != self.case.standing().walk) {
            self.case.add(Entry::Walk { scope })?;
        }
        let walk = walk::walk(&self.case)?;
        if scope.is_some() || !said.is_empty() {
            said.push(words::walk_told(&self.case, &walk, &walk::tells(&self.case, walk.scope)?));
        }
        said.extend(words::next_leg(&self.case, &walk));
        Ok(said)
    }

    /// Takes the handover of the vehicle into account, if there is one, and says so.
    ///
    /// # Errors
    /// [`CaseError`]; then nothing has changed.
    pub fn heed_handover(&mut self) -> Result<Option<Block>, CaseError> {
        let Some(shelf) = self.shelf.as_ref().filter(|shelf| shelf.handovers().has(&shelf.handover_name())) else {
            return Ok(None);
        };
        let mut then = Case::new(self.case.engine().with_handover(Vec::new())?.known_well())?;
        then.open(&shelf.handovers(), &shelf.handover_name(), Access::ReadOnly)?;
        let readings = then.standing().evidence.readings.clone();
        self.case = Case::new(self.case.engine().with_handover(readings)?)?;
        Ok(self.case.engine().handover().map(words::handover_known))
    }

    /// Takes past cases into account, those of other vehicles in `fleet` too.
    ///
    /// # Errors
    /// [`CaseError`]; then nothing has changed.
    pub fn heed_history(&mut self, fleet: Option<&Path>) -> Result<(), CaseError> {
        let Some(shelf) = &self.shelf else { return Ok(()) };
        let vehicle = self.case.vehicle();
        let others = fleet.map(|folder| shelf.others(folder, vehicle, self.case.engine().trees())).unwrap_or_default();
        let raises =
            past::raises(&self.case.engine().tables().telling, vehicle, &others, Whose::Anothers, &shelf.now());
        self.heeds_history = true;
        let ours = self.history_but(None);
        if !raises.is_empty() || !ours.is_empty() {
            self.case = Case::new(self.case.engine().with_history(raises.into_iter().chain(ours).collect()))?;
        }
        Ok(())
    }
}
