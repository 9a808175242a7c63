//! How the belief came about, entry by entry.

use super::{Case, CaseError, Standing};
use crate::belief::{Belief, Site};
use crate::tables::telling::Telling;

/// What one entry did to the belief.
#[derive(Debug, Clone, PartialEq)]
pub struct HuntStep {
    /// Number of the entry, from 0.
    pub entry: usize,
    /// Sites that became likelier: probability before and after.
    pub rose: Vec<(Site, f64, f64)>,
    /// Sites that became less likely: probability before and after.
    pub fell: Vec<(Site, f64, f64)>,
    /// Sites in question before and after.
    pub in_question: (usize, usize),
}

impl Case {
    /// The narrowing, one step for each thing seen or read.
    ///
    /// # Errors
    /// [`CaseError`] as for the entries themselves.
    pub fn steps(&self) -> Result<Vec<HuntStep>, CaseError> {
        let figures = &self.engine.tables().telling;
        let mut steps = Vec::new();
        let mut before: Option<Belief> = None;
        for (index, entry) in self.entries.iter().enumerate() {
            if entry.repaired().is_some() {
                before = None;
            }
            if !entry.is_evidence() {
                continue;
            }
            let standing = Standing::of(&self.engine, &self.entries[..=index]);
            let after = self.engine.posterior(&standing.evidence)?;
            if let Some(before) = &before {
                steps.push(step(figures, index, before, &after));
            } else {
                let question = in_question(figures, &after);
                steps.push(HuntStep {
                    entry: index,
                    rose: likeliest(figures, &after),
                    fell: Vec::new(),
                    in_question: (question, question),
                });
            }
            before = Some(after);
        }
        Ok(steps)
    }
}

fn in_question(figures: &Telling, belief: &Belief) -> usize {
    belief.suspects.iter().filter(|suspect| suspect.probability >= figures.moved).count()
}

fn likeliest(figures: &Telling, belief: &Belief) -> Vec<(Site, f64, f64)> {
    belief
        .suspects
        .iter()
        .take(figures.moved_named)
        .map(|suspect| (suspect.site, 0.0, suspect.probability.value()))
        .collect()
}

fn step(figures: &Telling, entry: usize, before: &Belief, after: &Belief) -> HuntStep {
    let mut sites: Vec<Site> = before.suspects.iter().chain(&after.suspects).map(|suspect| suspect.site).collect();
    sites.sort_unstable();
    sites.dedup();
    let mut changes: Vec<(Site, f64, f64)> =
        sites.into_iter().map(|site| (site, before.probability(site), after.probability(site))).collect();
    changes.sort_by(|a, b| (b.2 - b.1).total_cmp(&(a.2 - a.1)));
    let rose =
        changes.iter().copied().filter(|(_, was, is)| is - was > figures.moved).take(figures.moved_named).collect();
    let fell = changes
        .iter()
        .rev()
        .copied()
        .filter(|(_, was, is)| was - is > figures.moved)
        .take(figures.moved_named)
        .collect();
    HuntStep { entry, rose, fell, in_question: (in_question(figures, before), in_question(figures, after)) }
}
