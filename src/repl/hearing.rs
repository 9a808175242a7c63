//! What somebody's sentence means goes into the record, or is asked about.

use super::asking;
use super::choices::Choices;
use super::session::{Refusal, Said, Session};
use crate::complaint::{Meaning, Understood};
use crate::words;
use crate::words::document::Block;

impl Session {
    /// One meaning is taken; of more, or of one with a word that names nothing, it is asked.
    pub(super) fn take_hearing(&mut self, hearing: Understood, adds: bool) -> Said {
        match &hearing.meanings[..] {
            [only] if hearing.is_sure => {
                let said = self.take_meaning(only, adds)?;
                Ok(words::heard(&hearing).into_iter().chain(said).collect())
            }
            meanings => {
                let asked = words::which_meaning(&self.case, &hearing);
                self.choices = Choices::of(meanings.to_vec(), adds);
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
