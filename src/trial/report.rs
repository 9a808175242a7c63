//! All figures of a trial.

use super::calibration::{CalibrationTable, table};
use super::figures::{Mean, Share, mean_ratio, utility};
use super::options::Policy;
use super::outcome::CaseOutcome;
use super::paired::Paired;
use super::played::{PlayedAnswer, PlayedCase, PlayedEnding};

/// What a policy came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    pub policy: Policy,
    /// Cases that it could play.
    pub cases: usize,
    /// The part, or the set that cannot be told apart, named in the end.
    pub right: Share,
    /// The part in the segment announced.
    pub in_segment: Share,
    /// Parts in that segment.
    pub segment: Mean,
    pub tests: Mean,
    /// Minutes.
    pub minutes: Mean,
    /// The part at fault announced as proved good.
    pub cleared: Share,
    /// Ended with no test worth its effort.
    pub nothing_left: Share,
    /// Ended with one place.
    pub found: Share,
    /// Doubted the drawing in the end.
    pub doubted: Share,
    /// A sound instrument of the vehicle was named.
    pub instrument_blamed: Share,
    /// Sound parts named on the way.
    pub renewed: Mean,
    /// Utility of what was named.
    pub utility: Mean,
    /// Tests against those of the tool on the same cases: ours / this.
    pub ours_tests: Option<(f64, (f64, f64))>,
    /// The same in minutes.
    pub ours_minutes: Option<(f64, (f64, f64))>,
}

/// A case that went wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct FailedCase {
    pub seed: u64,
    /// Position in the outcomes.
    pub case: usize,
    /// In which way.
    pub kind: FailureKind,
    /// Whether the complaint took a dead load for a weak one or the other way round.
    pub is_mistaken: bool,
    /// Whether a reading on the way was misread.
    pub is_misread: bool,
}

/// In which way a case went wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FailureKind {
    /// A wrong part was announced as found.
    WrongFound,
    /// The drawing was announced to be wrong.
    DrawingBlamed,
    /// The wiring was announced to be sound.
    SaidSound,
    /// A set was announced that the fault is not in.
    WrongSet,
    /// No test was worth it, and the likeliest part was not the one.
    NothingLeft,
    /// Nothing seemed amiss.
    NothingAmiss,
    /// Patience ran out.
    GaveUp,
    /// Right, but the part was also announced as proved good.
    ClearedOnly,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Report {
    /// Cases with a complaint.
    pub cases: usize,
    /// Of all faults drawn, those that nobody would notice.
    pub unnoticed: Share,
    /// Of all faults drawn, those that make something chatter.
    pub restless: Share,
    /// Of all wrong drawings drawn, those that read like a drawn fault.
    pub alike: Share,
    /// One for each policy.
    pub columns: Vec<Column>,
    /// Utility of naming nothing.
    pub nothing_named: f64,
    /// Answers of the tool at the end of a case.
    pub at_end: Option<CalibrationTable>,
    /// Every answer of the tool.
    pub at_every_answer: Option<CalibrationTable>,
    /// The same cases with and without what was read at handover.
    pub paired: Option<Paired>,
    /// What went wrong with the tool's own tests.
    pub failures: Vec<FailedCase>,
}

/// Puts outcomes of these policies together; `parts` is how many the vehicle has.
pub fn report(outcomes: &[CaseOutcome], policies: &[Policy], parts: usize) -> Report {
    let noticed: Vec<&CaseOutcome> = outcomes.iter().filter(|outcome| outcome.hidden.is_some()).collect();
    let unnoticed: usize = outcomes.iter().map(|outcome| outcome.unnoticed).sum();
    let restless: usize = outcomes.iter().map(|outcome| outcome.restless).sum();
    let alike: usize = outcomes.iter().map(|outcome| outcome.alike).sum();
    let drawn = unnoticed + restless + alike + noticed.len();
    let of_policy = |index: usize| noticed.iter().map(move |outcome| outcome.played[index].as_ref());
    let ours = policies.iter().position(|policy| *policy == Policy::Ours);
    let columns = policies
        .iter()
        .enumerate()
        .map(|(index, &policy)| {
            let both = ours.map(|ours| of_policy(ours).zip(of_policy(index)));
            let both: Vec<(&PlayedCase, &PlayedCase)> =
                both.into_iter().flatten().filter_map(|(a, b)| a.zip(b)).collect();
            column(policy, parts, &of_policy(index).flatten().collect::<Vec<_>>(), &both)
        })
        .collect();
    let our_games: Vec<&PlayedCase> = ours.into_iter().flat_map(of_policy).flatten().collect();
    let ends: Vec<Vec<PlayedAnswer>> =
        our_games.iter().map(|played| played.answers.last().copied().into_iter().collect()).collect();
    let every: Vec<Vec<PlayedAnswer>> = our_games.iter().map(|played| played.answers.clone()).collect();
    Report {
        cases: noticed.len(),
        unnoticed: Share { hits: unnoticed, of: drawn },
        restless: Share { hits: restless, of: drawn },
        alike: Share { hits: alike, of: alike + noticed.len() },
        columns,
        nothing_named: utility(parts, 0, 0, 1),
        at_end: table(&ends),
        at_every_answer: table(&every),
        paired: ours.and_then(|ours| Paired::of(outcomes, ours)),
        failures: ours.map(|ours| failures(outcomes, ours)).unwrap_or_default(),
    }
}

fn column(policy: Policy, parts: usize, played: &[&PlayedCase], both: &[(&PlayedCase, &PlayedCase)]) -> Column {
    let values = |of: fn(&PlayedCase) -> f64| Mean::of(&played.iter().map(|played| of(played)).collect::<Vec<_>>());
    let share = |of: fn(&PlayedCase) -> bool| Share::count(played.iter().map(|played| of(played)));
    let useful = |played: &&PlayedCase| {
        let right = usize::from(played.is_right);
        utility(parts, played.named.len(), played.named.len().saturating_sub(right), 1 - right)
    };
    let ratio = |of: fn(&PlayedCase) -> f64| mean_ratio(&both.iter().map(|(a, b)| (of(a), of(b))).collect::<Vec<_>>());
    Column {
        policy,
        cases: played.len(),
        right: share(|played| played.is_right),
        in_segment: share(|played| played.segment.1),
        segment: values(|played| played.segment.0 as f64),
        tests: values(|played| played.tests as f64),
        minutes: values(|played| played.minutes),
        cleared: share(|played| played.cleared),
        nothing_left: share(|played| played.ending == PlayedEnding::NothingWorthwhile),
        found: share(|played| played.ending == PlayedEnding::Found),
        doubted: share(|played| played.doubted),
        instrument_blamed: share(|played| played.instrument_blamed),
        renewed: values(|played| played.renewed as f64),
        utility: Mean::of(&played.iter().map(useful).collect::<Vec<_>>()),
        ours_tests: ratio(|played| played.tests as f64),
        ours_minutes: ratio(|played| played.minutes),
    }
}

fn failures(outcomes: &[CaseOutcome], ours: usize) -> Vec<FailedCase> {
    let failure = |(case, outcome): (usize, &CaseOutcome)| {
        let played = outcome.played.get(ours)?.as_ref()?;
        let kind = match (played.is_right, played.ending) {
            (true, _) if played.cleared => FailureKind::ClearedOnly,
            (true, _) => return None,
            (false, _) if played.doubted => FailureKind::DrawingBlamed,
            (false, PlayedEnding::Found) if played.named.is_empty() => FailureKind::SaidSound,
            (false, PlayedEnding::Found) => FailureKind::WrongFound,
            (false, PlayedEnding::Inseparable) => FailureKind::WrongSet,
            (false, PlayedEnding::NothingWorthwhile) => FailureKind::NothingLeft,
            (false, PlayedEnding::NothingAmiss) => FailureKind::NothingAmiss,
            (false, PlayedEnding::GaveUp) => FailureKind::GaveUp,
        };
        let is_mistaken = outcome.hidden.as_ref()?.is_mistaken;
        Some(FailedCase { seed: outcome.seed, case, kind, is_mistaken, is_misread: played.misreads > 0 })
    };
    let mut failures: Vec<FailedCase> = outcomes.iter().enumerate().filter_map(failure).collect();
    failures.sort_by_key(|failure| (failure.kind, failure.case));
    failures
}
