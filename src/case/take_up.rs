//! A case taken from the shelf, or put on it.

use super::journal::{Access, Change, Journal, Kept, Opened, Shelf, Stamp};
use super::{Assessment, Case, CaseError, Entry, Standing};
use crate::belief::Engine;
use crate::source::{Diagnostic, SourceFile};
use std::rc::Rc;

/// What was set aside when a case was opened.
#[derive(Debug, Clone)]
pub struct SetAside {
    pub file: SourceFile,
    /// What, in file order.
    pub findings: Vec<Diagnostic>,
}

/// The entries of a file that stand.
struct Standable {
    entries: Vec<Entry>,
    stamps: Vec<Stamp>,
    standing: Standing,
    findings: Vec<Diagnostic>,
}

impl Case {
    /// Opens the case of that name in place of what there is now, and says
    /// what of it had to be set aside. If there is none yet, begins it;
    /// entries that are in no case, or in one that was named by the clock, go
    /// along with it.
    ///
    /// # Errors
    /// [`CaseError`]; then nothing has changed.
    pub fn open(&mut self, shelf: &Shelf, name: &str, access: Access) -> Result<Option<SetAside>, CaseError> {
        let is_homeless = self.journal.is_none() && !self.entries.is_empty();
        if is_homeless && shelf.has(name) {
            return Err(CaseError::WouldBeLost { name: name.to_string() });
        }
        let Opened { mut journal, replayed } = shelf.open(name, access, self.vehicle(), self.trees())?;
        match replayed {
            Some(replayed) => {
                let undone = replayed.undone;
                let findings = self.put_back(replayed.entries, &mut journal, replayed.findings)?;
                let (stamps, undone) = undone.into_iter().map(|kept| (kept.stamp, kept.entry)).unzip();
                journal.take_undone(stamps);
                self.undone = undone;
                self.journal = Some(journal);
                Ok(Some(SetAside { file: replayed.file, findings }))
            }
            None => {
                let goes_along = self.journal.as_ref().is_none_or(|before| before.is_named_by_clock());
                if !goes_along {
                    self.put_back(Vec::new(), &mut journal, Vec::new())?;
                }
                self.keep_in(journal)?;
                Ok(None)
            }
        }
    }

    /// Goes on without keeping anything.
    pub fn close(&mut self) {
        self.journal = None;
    }

    /// Keeps everything in a journal just begun, what was entered so far first.
    ///
    /// # Errors
    /// [`CaseError::NotKept`]; then it is kept where it was before.
    pub fn keep_in(&mut self, mut journal: Journal) -> Result<(), CaseError> {
        for (index, entry) in self.entries.iter().enumerate() {
            journal.keep(self.vehicle(), self.trees(), &self.entries[..index], Change::Added(entry))?;
        }
        self.undone.clear();
        self.journal = Some(journal);
        Ok(())
    }

    /// Makes the entries of a file the record, without those that cannot stand
    /// any more, and adds these to what was set aside.
    fn put_back(
        &mut self,
        kept: Vec<Kept>,
        journal: &mut Journal,
        before: Vec<Diagnostic>,
    ) -> Result<Vec<Diagnostic>, CaseError> {
        let (stamps, mut findings) = self.take_over(&kept)?;
        journal.take_entries(stamps);
        findings.extend(before);
        findings.sort_by_key(|finding| finding.span.map_or(0, |span| span.start));
        Ok(findings)
    }

    /// Makes the entries of a file the record, without those that cannot stand
    /// any more, which it explains.
    fn take_over(&mut self, kept: &[Kept]) -> Result<(Vec<Stamp>, Vec<Diagnostic>), CaseError> {
        let mut of = self.that_stand(kept, |_| Ok(()));
        let assessment = match Assessment::of(&self.engine, &of.standing) {
            Ok(assessment) => assessment,
            // Which entry leads to a state without a solution?
            Err(_) => {
                of = self.that_stand(kept, |standing| Assessment::of(&self.engine, standing).map(drop));
                Assessment::of(&self.engine, &of.standing)?
            }
        };
        (self.entries, self.standing, self.assessment) = (of.entries, of.standing, assessment);
        Ok((of.stamps, of.findings))
    }

    /// A case of those entries of a file that stand, to be looked at.
    ///
    /// # Errors
    /// [`CaseError`] if the vehicle has no solution at rest.
    pub fn of_kept(engine: impl Into<Rc<Engine>>, kept: &[Kept]) -> Result<Self, CaseError> {
        let mut case = Self::new(engine)?;
        case.take_over(kept)?;
        Ok(case)
    }

    /// The entries that stand after those before them, and pass a test.
    fn that_stand(&self, kept: &[Kept], test: impl Fn(&Standing) -> Result<(), CaseError>) -> Standable {
        let standing = Standing::of(&self.engine, &[]);
        let mut of = Standable { entries: Vec::new(), stamps: Vec::new(), standing, findings: Vec::new() };
        for one in kept {
            let outcome = of.standing.admits(&one.entry).and_then(|()| {
                let entries: Vec<Entry> = of.entries.iter().chain([&one.entry]).cloned().collect();
                let standing = Standing::of(&self.engine, &entries);
                test(&standing).map(|()| (entries, standing))
            });
            match outcome {
                Ok((entries, standing)) => {
                    (of.entries, of.standing) = (entries, standing);
                    of.stamps.push(one.stamp.clone());
                }
                Err(error) => of.findings.push(Diagnostic::warning(
                    one.span,
                    error.to_string(),
                    "set aside",
                    "the entry does not count; the drawing may have changed since it was made",
                )),
            }
        }
        of
    }
}
