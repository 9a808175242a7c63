//! Credible sets: what an answer of the tool announced, against what is there.

use super::hidden::Hidden;
use super::played::{LEVELS, PlayedAnswer, PlayedEnding};
use super::trouble::Trouble;
use crate::belief::{Belief, Site, Suspect};
use crate::case::Assessment;
use crate::plan::Next;
use crate::tables::trial::Simulation;
use crate::vehicle::PartId;

impl PlayedAnswer {
    /// What a belief says of the place.
    pub(super) fn of(figures: &Simulation, belief: &Belief, hidden: &Hidden) -> Self {
        let undrawn = hidden.trouble.is_of_drawing();
        let is_right = |site: Site| match site {
            Site::Undrawn => undrawn,
            Site::Nothing => hidden.trouble == Trouble::Nothing,
            site => site.parts().any(|part| hidden.is_at(part)),
        };
        let count_to = |level: f64| {
            let mut held = 0.0;
            let short = |suspect: &&Suspect| {
                let is_short = held < level;
                held += suspect.probability;
                is_short
            };
            belief.suspects.iter().take_while(short).count()
        };
        let levels = LEVELS.map(|level| {
            let (mut held, mut right) = (0.0, false);
            for suspect in &belief.suspects {
                if held >= level {
                    break;
                }
                held += suspect.probability;
                right |= is_right(suspect.site);
            }
            (held, right)
        });
        let first = belief.suspects.first();
        Self {
            first: first.map_or(0.0, |first| first.probability.value()),
            first_right: first.is_some_and(|first| is_right(first.site)),
            of_right: belief.suspects.iter().filter(|of| is_right(of.site)).map(|of| of.probability).sum(),
            places: count_to(figures.announced),
            levels,
        }
    }
}

/// What the tool announces: the place, or what cannot be told apart, or the
/// likeliest part where it has no more to say.
pub(super) fn announced(assessment: &Assessment) -> (PlayedEnding, Vec<PartId>) {
    let likeliest = || {
        let mut sites = assessment.belief.suspects.iter().map(|suspect| suspect.site);
        sites.find(|site| site.parts().next().is_some()).map_or_else(Vec::new, |site| site.parts().collect())
    };
    match &assessment.next {
        Next::Found { site } => (PlayedEnding::Found, site.parts().collect()),
        Next::Inseparable { parts } => (PlayedEnding::Inseparable, parts.clone()),
        Next::NothingAmiss => (PlayedEnding::NothingAmiss, Vec::new()),
        Next::Test(_) => (PlayedEnding::GaveUp, likeliest()),
        _ => (PlayedEnding::NothingWorthwhile, likeliest()),
    }
}
