//! Steps put in the order in which they are met, with what leads to the same
//! end told once.

use super::cuts::When;
use super::tree::{SheetStep, Then};

/// Numbers the steps so that the likelier branch goes on with the next one,
/// and joins neighbouring outcomes that end in the same parts.
pub fn folded(steps: Vec<SheetStep>) -> Vec<SheetStep> {
    let mut order: Vec<usize> = Vec::new();
    let mut waiting = vec![0];
    while let Some(step) = waiting.pop() {
        order.push(step);
        let mut ahead: Vec<(f64, usize)> = steps[step]
            .branches
            .iter()
            .filter_map(|branch| match branch.then {
                Then::Step(next) => Some((branch.share, next)),
                _ => None,
            })
            .collect();
        ahead.sort_by(|a, b| a.0.total_cmp(&b.0));
        waiting.extend(ahead.into_iter().map(|(_, next)| next));
    }
    let place = |step: usize| order.iter().position(|&other| other == step).unwrap_or(0);
    order
        .iter()
        .map(|&step| {
            let mut step = steps[step].clone();
            for branch in &mut step.branches {
                if let Then::Step(next) = branch.then {
                    branch.then = Then::Step(place(next));
                }
            }
            joined(step)
        })
        .collect()
}

/// Joins neighbours that end in the same parts.
fn joined(mut step: SheetStep) -> SheetStep {
    step.branches.dedup_by(|upper, lower| {
        let (Then::Parts(above), Then::Parts(below)) = (&upper.then, &lower.then) else { return false };
        let names = |parts: &[(crate::vehicle::PartId, f64)]| parts.iter().map(|(part, _)| *part).collect::<Vec<_>>();
        if names(above) != names(below) {
            return false;
        }
        match (&upper.when, &mut lower.when) {
            (When::Reads { below: end, is_sound, .. }, When::Reads { below, is_sound: was, .. }) => {
                *below = *end;
                *was |= *is_sound;
            }
            (When::Signs(more), When::Signs(signs)) => signs.extend(more),
            _ => return false,
        }
        lower.share += upper.share;
        true
    });
    step
}
