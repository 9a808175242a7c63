//! Hold-out test: how faults that the sheet was not grown from fare on it.

use super::herd::Herd;
use super::tree::{Figures, SheetStep, Then};
use crate::case::CaseError;
use crate::quantity::Minutes;
use crate::trial::Share;
use crate::vehicle::PartId;

/// How faults that the sheet was not grown from fare on it.
pub fn counted(herd: &Herd<'_>, steps: &[SheetStep], seed: u64) -> Result<Figures, CaseError> {
    let (mut tests, mut minutes) = (0usize, 0.0);
    let (mut first, mut among, mut tool) = (Vec::new(), Vec::new(), Vec::new());
    for mut head in herd.heads(!seed, herd.tables.sheet.counted)? {
        let mut state = herd.state.clone();
        let mut at = 0;
        let end = loop {
            let step = &steps[at];
            state = state.with_all(&step.settings);
            let Some(taken) = head.take(&state, step.test)? else { break None };
            tests += 1;
            minutes += step.minutes.0;
            match step
                .branches
                .iter()
                .find(|branch| branch.when.holds(&herd.tables.instruments, &taken))
                .map(|branch| &branch.then)
            {
                Some(Then::Step(next)) => at = *next,
                end => break end,
            }
        };
        let parts: &[(PartId, f64)] = match end {
            Some(Then::Parts(parts)) => parts,
            _ => &[],
        };
        first.push(parts.first().is_some_and(|(part, _)| head.right.contains(part)));
        among.push(parts.iter().any(|(part, _)| head.right.contains(part)));
        tool.push(parts.is_empty());
    }
    let count = first.len().max(1) as f64;
    Ok(Figures {
        tests: tests as f64 / count,
        minutes: Minutes(minutes / count),
        first: Share::count(first),
        among: Share::count(among),
        tool: Share::count(tool),
    })
}
