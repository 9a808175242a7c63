//! Texts and names as a vehicle file takes them.

use std::collections::HashSet;

/// A text without what would end it.
pub fn plain(text: &str) -> String {
    let text = text.replace(['"', '“', '”'], "'").replace('\\', "/");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// LoadNames given so far, lower-case.
#[derive(Default)]
pub struct LoadNames(HashSet<String>);

impl LoadNames {
    /// With names that are spoken for.
    pub fn with(taken: &[&str]) -> Self {
        Self(taken.iter().map(|name| name.to_lowercase()).collect())
    }

    /// A name for what people call so, another number for each one alike.
    pub fn give(&mut self, label: &str) -> String {
        let word = |word: &str| word.chars().filter(|c| c.is_alphanumeric()).collect::<String>();
        let words: Vec<String> = label.to_lowercase().split_whitespace().map(word).filter(|w| !w.is_empty()).collect();
        let stem = if words.is_empty() { "load".to_string() } else { words.join("_") };
        let numbered = (2..).map(|number| format!("{stem}{number}"));
        let mut free = std::iter::once(stem.clone()).chain(numbered);
        let name = free.find(|name| !self.0.contains(name)).unwrap_or(stem);
        self.0.insert(name.clone());
        name
    }
}
