//! How the tool advises, held against how a skilled man works: where the leads go,
//! whether outcomes can be told apart, whether somebody looks before he measures.

use super::figures::Share;
use super::outcome::CaseOutcome;
use super::played::{PlayedCase, PlayedEnding};
use crate::belief::Engine;
use crate::case::{Case, CaseError};
use crate::plan::{Advice, Next, Outcome, Range, Test, are_terminals_read};
use crate::predict::Scale;
use crate::vehicle::returns::return_bars;
use crate::vehicle::trace::feed_and_return;
use crate::vehicle::{PartKind, PointId, State};
use std::rc::Rc;

/// Format: an outcome that is told as likely as this counts.
const LIKELY: f64 = 0.15;
/// Format: volts between outcomes that hands and leads can tell apart.
const APART: f64 = 0.020;
/// Format: an outcome as likely as this must not be one of a probe without contact.
const MOSTLY: f64 = 0.4;
/// Format: bits from which a look is worth its ten seconds.
const TELLING: f64 = 0.3;
/// Format: tests among which a look should be.
const EARLY: usize = 2;

/// What the advice of many cases was like.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Habits {
    /// Volts along a way or across a part, of all tests in volts.
    pub drops: Share,
    /// Volts with the black lead elsewhere than on the negative, drops apart.
    pub elsewhere: Share,
    /// Volts with the leads at two places further apart than the ends of one part, the
    /// black one not on the negative.
    pub two_places: Share,
    /// Measurements with likely outcomes too close to tell apart.
    pub too_close: Share,
    /// Volts of which the most likely outcomes are what no contact would show.
    pub no_contact: Share,
    /// Cases with a look, a listening or a question among the first two tests, of
    /// those where one tells enough.
    pub early_looks: Share,
    /// Costly loads named without a reading at their own terminals or an aid in
    /// their place, of those named.
    pub condemned: Share,
}

fn note(share: &mut Share, hit: bool) {
    share.hits += usize::from(hit);
    share.of += 1;
}

/// The habits of the tool in these cases, each followed once more.
///
/// # Errors
/// [`CaseError`] if what was entered does not stand.
pub fn habits(engine: &Rc<Engine>, outcomes: &[CaseOutcome]) -> Result<Habits, CaseError> {
    let mut habits = Habits::default();
    for played in outcomes.iter().filter_map(|outcome| outcome.played.first()?.as_ref()) {
        follow(engine, played, &mut habits)?;
    }
    Ok(habits)
}

fn follow(engine: &Rc<Engine>, played: &PlayedCase, habits: &mut Habits) -> Result<(), CaseError> {
    let mut case = Case::new(Rc::clone(engine))?;
    let (mut tests, mut tells, mut looked) = (0, false, false);
    for entry in &played.entries {
        if let Next::Test(advice) = &case.assessment().next {
            let others = case.assessment().others.iter();
            if tests < EARLY {
                let mut looks = others.chain([advice.as_ref()]).filter(|advice| !is_measured(advice.test));
                tells |= looks.any(|advice| advice.bits >= TELLING);
                looked |= !is_measured(advice.test);
            }
            tests += 1;
            advised(&case, advice, habits);
        }
        case.add(entry.clone())?;
    }
    if tells {
        note(&mut habits.early_looks, looked);
    }
    if played.ending == PlayedEnding::Found {
        let vehicle = case.vehicle();
        for &load in played.named.iter().filter(|&&part| is_costly(&vehicle.part(part).kind)) {
            let evidence = &case.standing().evidence;
            let readings: Vec<_> = evidence.all_readings().collect();
            let read = are_terminals_read(vehicle, &readings, load);
            note(&mut habits.condemned, !read && !evidence.has_aided(load));
        }
    }
    Ok(())
}

fn is_measured(test: Test) -> bool {
    matches!(test, Test::Measure(_))
}

/// Whether renewing it costs more than the afternoon.
fn is_costly(kind: &PartKind) -> bool {
    kind.is_load() || kind.is_supply()
}

fn advised(case: &Case, advice: &Advice, habits: &mut Habits) {
    let Test::Measure(probe) = advice.test else { return };
    let vehicle = case.vehicle();
    let ranges = ranges(advice);
    if ranges.len() > 1 {
        let least = if probe.scale() == Scale::Volts { APART } else { 0.0 };
        let close = |pair: &[Range]| middle(pair[1]) - middle(pair[0]) < least;
        note(&mut habits.too_close, ranges.windows(2).any(close));
    }
    let Some((red, black)) = probe.plain_voltage() else { return };
    let state = case.standing().state.with_all(&advice.settings);
    let is_across = vehicle.parts_between(red, black).next().is_some();
    let is_drop = is_across || is_along(case, &state, red, black);
    note(&mut habits.drops, is_drop);
    let at_negative = is_on_negative(case, red, black);
    note(&mut habits.elsewhere, !is_drop && !at_negative);
    note(&mut habits.two_places, !at_negative && !vehicle.are_at_hand(red, black));
    let mut mostly = advice.outcomes.iter().filter(|outcome| outcome.probability > MOSTLY);
    let doubtful = mostly.any(|outcome| outcome.range().is_some_and(Range::shows_nothing));
    note(&mut habits.no_contact, doubtful && !advice.proves_contact(case.engine().tables().telling.contact));
}

/// The likely outcomes, lowest first.
fn ranges(advice: &Advice) -> Vec<Range> {
    let likely = advice.outcomes.iter().filter(|outcome| outcome.probability >= LIKELY);
    let mut ranges: Vec<Range> = likely.filter_map(Outcome::range).collect();
    ranges.sort_by(|a, b| a.low.total_cmp(&b.low));
    ranges
}

fn middle(range: Range) -> f64 {
    0.5 * (range.low + range.high)
}

/// Whether both lie on one side of the way of what is complained of.
fn is_along(case: &Case, state: &State, red: PointId, black: PointId) -> bool {
    let Some(load) = case.standing().evidence.complained_of() else { return false };
    feed_and_return(case.vehicle(), state, load).iter().any(|side| side.contains(&red) && side.contains(&black))
}

/// Whether the black lead is on a negative at hand: a bar at the place of the red one, or
/// where a long one reaches it from.
fn is_on_negative(case: &Case, red: PointId, black: PointId) -> bool {
    let (vehicle, standing) = (case.vehicle(), case.standing());
    let bars = return_bars(vehicle);
    let far = standing.situation(case.engine().tables()).far_negatives(vehicle, &bars);
    let is_return = || {
        let load = standing.evidence.complained_of();
        load.is_some_and(|load| feed_and_return(vehicle, &standing.state, load)[1].contains(&black))
    };
    far.contains(&black) || (vehicle.share_a_place(red, black) && (bars.contains(&black) || is_return()))
}
