//! What a sentence may mean, while it is asked.

use crate::complaint::Meaning;

/// Meanings that were offered, until the next line.
#[derive(Debug, Default)]
pub struct Choices {
    meanings: Vec<Meaning>,
    adds: bool,
}

impl Choices {
    /// Those, which add to what stands or do not.
    pub fn of(meanings: Vec<Meaning>, adds: bool) -> Self {
        Self { meanings, adds }
    }

    /// The one that a line picks by its number, with whether it adds to what stands.
    pub fn picked(self, line: &str) -> Option<(Meaning, bool)> {
        let number: usize = line.trim().trim_end_matches('.').parse().ok()?;
        let adds = self.adds;
        self.meanings.into_iter().nth(number.checked_sub(1)?).map(|meaning| (meaning, adds))
    }
}
