//! The next test, or why there is none.

use super::advice::{Advice, Next, Test};
use super::announce::{self, Missing};
use super::drain;
use super::effort::Situation;
use super::ranking;
use super::senses;
use super::valuation::Valuation;
use super::value::live;
use crate::belief::{Belief, Engine, LookOver, Site, Suspect};
use crate::network::SolveError;
use crate::tables::plan::Planning;

/// Plans the next test; the runners-up come after the first, best first.
///
/// # Errors
/// [`SolveError`] if a state that a test would need has no solution.
pub fn plan(engine: &Engine, belief: &Belief, situation: &Situation<'_>) -> Result<(Next, Vec<Advice>), SolveError> {
    if situation.evidence.is_empty() {
        return Ok((Next::AskComplaint, Vec::new()));
    }
    match belief.look {
        // Nothing is suspect, and nothing is switched, pulled or taken off.
        Some(LookOver::Well) => return Ok((Next::NothingAmiss, Vec::new())),
        Some(LookOver::ReadAgain { reading, .. }) => return Ok((Next::ReadAgain { reading }, Vec::new())),
        Some(LookOver::Amiss) | None => {}
    }
    let mut hunting = drain::not_yet_excluded(engine, belief, situation)?;
    if !hunting.is_empty() {
        return Ok((Next::Test(Box::new(hunting.remove(0))), hunting));
    }
    let found = belief.suspects.first().filter(|first| is_enough(&engine.tables().plan, belief, first));
    let mut lacking = None;
    if let Some(found) = found {
        let Some(missing) = announce::missing(engine, belief, situation.evidence, found)? else {
            return Ok((Next::Found { site: found.site }, Vec::new()));
        };
        lacking = Some((found.site, missing));
    }
    let mut advices = match lacking {
        Some((site, Missing::OfLoad)) => announce::showing(engine, belief, situation, site)?,
        Some((_, Missing::Reading)) => ranking::confirming(engine, belief, situation)?,
        Some((site, Missing::SecondReading)) => ranking::directly(engine, belief, situation, site)?,
        None => Vec::new(),
    };
    if advices.is_empty() {
        advices = match lacking {
            Some((site, Missing::SecondReading)) => announce::again(engine, belief, situation, site)?,
            _ => ranking::best(engine, belief, situation)?,
        };
    }
    let next = match (advices.is_empty(), lacking) {
        // Nothing at hand would show it another way.
        (true, Some((site, Missing::SecondReading))) => Next::Found { site },
        (true, Some((site, Missing::OfLoad))) if belief.probability(site) >= engine.tables().plan.enough => {
            Next::Found { site }
        }
        (true, _) => without_a_test(&engine.tables().plan, belief),
        _ => Next::Test(Box::new(advices.remove(0))),
    };
    Ok((next, advices))
}

/// Whether a suspect ends the search. No test parts what is at fault from a complaint that
/// was wrong: of that a small doubt is left to the repair.
fn is_enough(figures: &Planning, belief: &Belief, suspect: &Suspect) -> bool {
    let wrong = belief.probability(Site::Nothing);
    let of = if suspect.site.parts().next().is_some() && wrong < figures.stays_open { 1.0 - wrong } else { 1.0 };
    suspect.probability >= figures.enough * of
}

/// What a test taken now, in the present state, is expected to tell, bits.
///
/// # Errors
/// As [`plan`].
pub fn worth(engine: &Engine, belief: &Belief, situation: &Situation<'_>, test: Test) -> Result<f64, SolveError> {
    let figures = &engine.tables().plan;
    let live = live(figures, belief);
    let valuation = Valuation::of(engine, belief, &live, situation, figures.least_bits);
    match test {
        Test::Measure(probe) => valuation.worth(probe),
        Test::Sense { subject, sense } => senses::worth(&valuation, subject, sense),
        // What a question tells is known once a tree is chosen.
        Test::Ask(_) => Ok(0.0),
    }
}

/// What is left when no test is worth taking.
fn without_a_test(figures: &Planning, belief: &Belief) -> Next {
    let mut held = 0.0;
    let mut parts = Vec::new();
    for suspect in &belief.suspects {
        if held >= figures.enough {
            break;
        }
        held += suspect.probability;
        match suspect.site {
            Site::Part(_) | Site::Both(..) => {
                let new = suspect.site.parts().filter(|part| !parts.contains(part));
                parts.extend(new.collect::<Vec<_>>());
            }
            // A doubt about the drawing or the complaint itself stays open.
            Site::Nothing | Site::Undrawn if suspect.probability > figures.stays_open => {
                return Next::NothingWorthwhile;
            }
            Site::Nothing | Site::Undrawn => {}
        }
    }
    // One by itself is not told apart from anything: it is as likely as it is.
    if parts.len() < 2 { Next::NothingWorthwhile } else { Next::Inseparable { parts } }
}
