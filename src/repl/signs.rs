//! Signs at the prompt: what is seen, heard or felt of a part.

use super::command::{Command, CommandError};
use super::lookup::Lookup;
use super::verbs::Verb;
use crate::belief::{Appearance, Sign};
use crate::case::proof::{CheckOutcome, What};
use crate::case::{Case, Entry};
use crate::plan::{Advice, Next, Sense, Test};
use crate::vehicle::{ControlId, PartId, Position};

/// `dead fridge`; `dead` alone answers the look that is advised.
pub fn sign(
    sign: Sign,
    verb: &'static Verb,
    rest: &[&str],
    case: &Case,
    lookup: &Lookup<'_>,
) -> Result<Command, CommandError> {
    if rest.is_empty() {
        return answer_sense(sign, verb, case, lookup);
    }
    let what: Vec<&str> = rest.iter().copied().filter(|word| !matches!(*word, "on" | "is" | "the")).collect();
    if let ["all" | "everything", ref but @ ..] = what[..]
        && lookup.is_no_name(what[0])
    {
        return all(sign, but, case, lookup);
    }
    signed(sign, verb, lookup.one(&what, verb)?, case, lookup)
}

/// `reseated F1`, `reseated F1 works`; `reseated F1 still dead`.
pub fn touched(verb: &'static Verb, rest: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let is_end = |word: &&str| matches!(*word, "works" | "back" | "again" | "dead" | "same" | "nothing" | "still");
    let named = rest.len() - rest.iter().rev().take_while(|word| is_end(word)).count();
    let (name, ends) = rest.split_at(named);
    let is_no_better = ends.iter().any(|word| matches!(*word, "dead" | "same" | "nothing"));
    let sign = if is_no_better { Sign::NoBetter } else { Sign::ComesBack };
    signed(sign, verb, lookup.one(name, verb)?, case, lookup)
}

/// `works all`, `works all but pump and lamp`: every load that runs as things are set,
/// and after a repair what its proof asks for.
fn all(sign: Sign, but: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    if !matches!(sign, Sign::Looks(_)) {
        return Err(CommandError::OnlyLoadsAll);
    }
    let names = but.iter().filter(|word| !matches!(**word, "but" | "except" | "and"));
    let but = names.map(|name| lookup.load(name.trim_end_matches(','))).collect::<Result<Vec<_>, _>>()?;
    let vehicle = case.vehicle();
    let state = &case.standing().state;
    let model = case.predictor().in_state(state).map_err(|_| CommandError::NothingRuns)?;
    let running = vehicle.loads().filter(|&load| model.is_served(vehicle, load) && !but.contains(&load));
    let seen = |subject| Entry::Observe { settings: Vec::new(), subject, sign };
    let mut entries: Vec<Entry> = running.map(seen).collect();
    if sign == Sign::WORKS {
        entries.extend(as_proved(&but, case));
    }
    if entries.is_empty() { Err(CommandError::NothingRuns) } else { Ok(Command::EnterAll(entries)) }
}

/// After a repair, what else the proof asks to be seen working, each as it is set for it.
fn as_proved(but: &[PartId], case: &Case) -> Vec<Entry> {
    let checks = case.proof().ok().flatten().map(|proof| proof.checks).unwrap_or_default();
    let mut state = case.standing().state.clone();
    let mut entries = Vec::new();
    for check in checks.into_iter().filter(|check| check.outcome == CheckOutcome::Open) {
        let What::Shows { subject, sign } = check.what else { continue };
        if sign == Sign::WORKS && check.state != state && !but.contains(&subject) {
            let settings = state.settings_to(&check.state, case.vehicle());
            entries.push(Entry::Observe { settings, subject, sign });
            state = check.state;
        }
    }
    entries
}

/// A sign alone answers the look, or the like, that is advised.
fn answer_sense(sign: Sign, verb: &Verb, case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    match &case.assessment().next {
        Next::Test(advice) => match advice.test {
            // A lamp that is `dim`, or `dead`, in a fuse's place is no load that is.
            Test::Sense { subject, sense: Sense::Lamp } if matches!(sign, Sign::Looks(look) if look != Appearance::Works) => {
                Ok(sensed(case, advice, subject, Sign::LampDim))
            }
            Test::Sense { subject, sense } if sense.outcomes().contains(&sign) => {
                Ok(sensed(case, advice, subject, sign))
            }
            Test::Sense { .. } | Test::Measure(_) | Test::Ask(_) => Err(lookup.no_look_advised(verb)),
        },
        Next::AskComplaint => Err(lookup.missing(verb)),
        _ => Err(lookup.no_look_advised(verb)),
    }
}

/// What an advised look, or the like, has told.
pub fn sensed(case: &Case, advice: &Advice, subject: PartId, sign: Sign) -> Command {
    Command::Enter(match advice.settings.is_empty() {
        true => case.observed(subject, sign),
        false => Entry::Observe { settings: advice.settings.clone(), subject, sign },
    })
}

/// Something said of a part.
pub fn signed(sign: Sign, verb: &Verb, word: &str, case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let subject = lookup.taken_by(verb, word)?;
    let settings = settings_for(case, subject, sign)?;
    Ok(Command::Enter(Entry::Observe { settings, subject, sign }))
}

/// What has to be set for something said of a part, which then must be able to
/// be so.
pub fn settings_for(case: &Case, subject: PartId, sign: Sign) -> Result<Vec<(ControlId, Position)>, CommandError> {
    let vehicle = case.vehicle();
    let settings = case.settings_for_sign(subject, sign);
    let state = case.standing().state.with_all(&settings);
    let served = case.predictor().in_state(&state).is_ok_and(|model| model.is_served(vehicle, subject));
    let load = || vehicle.part(subject).name.clone();
    match sign {
        Sign::StaysOn | Sign::Glows if served => Err(CommandError::MeantToRun { load: load() }),
        Sign::Looks(_) | Sign::Sometimes if !served => Err(CommandError::NotServed { load: load() }),
        _ => Ok(settings),
    }
}
