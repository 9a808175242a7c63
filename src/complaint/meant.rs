//! Which class of complaint somebody's words mean.

use super::{Danger, TreeId, Trees};
use crate::vehicle::LoadKind;

impl Trees {
    /// The tree whose wordings fit best: the longest wording that occurs in
    /// what was said, among trees that are about such a load or any.
    pub fn meant(&self, said: &str, load: Option<LoadKind>) -> Option<TreeId> {
        let said = plain(said);
        let mut best: Option<(usize, TreeId)> = None;
        for (id, tree) in self.iter() {
            if !tree.loads.is_empty() && load.is_some_and(|kind| !tree.loads.contains(&kind)) {
                continue;
            }
            let wordings = tree.said.iter().chain([&tree.class, &tree.title]).map(|wording| plain(wording));
            let longest = wordings.filter(|wording| said.contains(wording.as_str())).map(|wording| wording.len()).max();
            // A tree about just such loads knows better than one about any.
            let score = longest.map(|length| 2 * length + usize::from(load.is_some() && !tree.loads.is_empty()));
            if score.is_some_and(|score| best.is_none_or(|(most, _)| score > most)) {
                best = score.map(|score| (score, id));
            }
        }
        best.map(|(_, id)| id)
    }

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
