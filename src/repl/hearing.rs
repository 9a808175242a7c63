//! What somebody's sentence means goes into the record, or is asked about.

use super::asking;
use super::session::{Refusal, Said, Session};
use crate::complaint::{Meaning, Understood};
use crate::words;
use crate::words::document::Block;

impl Session {
    /// The meaning of those just offered that a line picks by its number, and whether it
    /// adds to what stands; they are offered once.
    pub(super) fn picked(&mut self, line: &str) -> Option<(Meaning, bool)> {
        let choices = std::mem::take(&mut self.choices);
        let number: usize = line.trim().trim_end_matches('.').parse().ok()?;
        choices.into_iter().nth(number.checked_sub(1)?)
    }

    /// One meaning is taken; of more, or of one with a word that names nothing, it is asked.
    pub(super) fn take_hearing(&mut self, hearing: Understood, adds: bool) -> Said {
        match &hearing.meanings[..] {
            [only] if hearing.is_sure => {
                let said = self.take_meaning(only, adds)?;
                Ok(words::heard(&hearing).into_iter().chain(said).collect())
            }
            meanings => {
                let asked = words::which_meaning(&self.case, &hearing);
                self.choices = meanings.iter().map(|meaning| (meaning.clone(), adds)).collect();
                Err(Refusal(asked))
            }
        }
    }

    /// A meaning, with what it is taken for first.
    pub(super) fn take_meaning(&mut self, meaning: &Meaning, adds: bool) -> Said {
        let taken = words::taken_for(&self.case, meaning);
        let entries = asking::meant(meaning, adds, &self.case)?;
        let is_long = entries.len() > 1;
        let said = self.enter_all(entries)?;
        let begun = if is_long && !adds { words::begun(&self.case) } else { Vec::new() };
        let first: Vec<Block> = [taken].into_iter().chain(begun).collect();
        Ok(first.into_iter().chain(said).collect())
    }
}
