//! How the belief came about, entry by entry.

use super::{Case, CaseError, Standing};
use crate::belief::{Belief, Site};

/// Sites named for one step, at most.
const NAMED: usize = 4;
/// Change of probability worth telling.
const WORTH_TELLING: f64 = 0.01;

/// What one entry did to the belief.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Number of the entry, from 0.
    pub entry: usize,
    /// Sites that became likelier: probability before and after.
    pub rose: Vec<(Site, f64, f64)>,
    /// Sites that became less likely: probability before and after.
    pub fell: Vec<(Site, f64, f64)>,
    /// Sites at 1 % or more before and after.
    pub in_question: (usize, usize),
}

impl Case {
    /// The narrowing, one step for each thing seen or read.
    ///
    /// # Errors
    /// [`CaseError`] as for the entries themselves.
    pub fn steps(&self) -> Result<Vec<Step>, CaseError> {
        let mut steps = Vec::new();
        let mut before: Option<Belief> = None;
        for (index, entry) in self.entries.iter().enumerate() {
            if entry.repaired().is_some() {
                before = None;
            }
            if !entry.is_evidence() {
                continue;
            }
            let standing = Standing::of(self.vehicle(), &self.entries[..=index]);
            let after = self.engine.posterior(&standing.evidence, &standing.state, standing.meter)?;
            if let Some(before) = &before {
                steps.push(step(index, before, &after));
            } else {
                let question = in_question(&after);
                steps.push(Step {
                    entry: index,
                    rose: likeliest(&after),
                    fell: Vec::new(),
                    in_question: (question, question),
                });
            }
            before = Some(after);
        }
        Ok(steps)
    }
}

fn in_question(belief: &Belief) -> usize {
    belief.suspects.iter().filter(|suspect| suspect.probability >= WORTH_TELLING).count()
}

fn likeliest(belief: &Belief) -> Vec<(Site, f64, f64)> {
    belief.suspects.iter().take(NAMED).map(|suspect| (suspect.site, 0.0, suspect.probability)).collect()
}

fn step(entry: usize, before: &Belief, after: &Belief) -> Step {
    let mut sites: Vec<Site> = before.suspects.iter().chain(&after.suspects).map(|suspect| suspect.site).collect();
    sites.sort_unstable();
    sites.dedup();
    let mut changes: Vec<(Site, f64, f64)> =
        sites.into_iter().map(|site| (site, before.probability(site), after.probability(site))).collect();
    changes.sort_by(|a, b| (b.2 - b.1).total_cmp(&(a.2 - a.1)));
    let rose = changes.iter().copied().filter(|(_, was, is)| is - was > WORTH_TELLING).take(NAMED).collect();
    let fell = changes.iter().rev().copied().filter(|(_, was, is)| was - is > WORTH_TELLING).take(NAMED).collect();
    Step { entry, rose, fell, in_question: (in_question(before), in_question(after)) }
}
