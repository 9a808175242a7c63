//! Words that tell of something that can hurt.

use super::{Danger, Trees};

impl Trees {
    /// What of the words somebody says can hurt.
    pub fn danger_in(&self, said: &str) -> Option<&Danger> {
        let said = plain(said);
        let without =
            |said: &str, but: &[String]| but.iter().fold(said.to_string(), |said, but| said.replace(&plain(but), " "));
        let is_told = |danger: &&Danger| {
            let said = without(&said, &danger.but);
            danger.said.iter().any(|wording| said.contains(&plain(wording)))
        };
        self.dangers.iter().find(is_told)
    }
}

/// Words apart by one space, with one before and after, without punctuation.
fn plain(text: &str) -> String {
    let kept: String = text.to_lowercase().chars().filter(|c| !matches!(c, '\'' | '’')).collect();
    let words = kept.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    format!(" {} ", words.collect::<Vec<_>>().join(" "))
}
