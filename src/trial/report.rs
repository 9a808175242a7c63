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

/// The last stretch, from where few places are left.
#[derive(Debug, Clone, PartialEq)]
pub struct ReportStretch {
    /// Cases that came to it with something left to do, and where the optimum was found.
    pub cases: Share,
    /// Tests of ours, of the optimum, and their ratio.
    pub tests: (f64, f64),
    /// See [`Self::tests`].
    pub tests_ratio: Option<(f64, (f64, f64))>,
    /// Minutes of ours and of the optimum.
    pub minutes: (f64, f64),
    /// See [`Self::tests_ratio`].
    pub minutes_ratio: Option<(f64, (f64, f64))>,
    /// Tests of the way of fewest minutes, against the optimum in tests.
    pub quickest_ratio: Option<(f64, (f64, f64))>,
    /// Mean bound on tests by entropy.
    pub entropy_tests: f64,
    /// Mean bound on tests by the Huffman code.
    pub huffman_tests: f64,
    /// Mean bound on minutes by the cheapest tests.
    pub huffman_minutes: f64,
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
    /// The last stretch of the tool against the optimum.
    pub endgame: Option<ReportStretch>,
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
        endgame: stretch(&our_games),
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

fn stretch(played: &[&PlayedCase]) -> Option<ReportStretch> {
    let ends: Vec<_> = played.iter().filter_map(|played| played.endgame).collect();
    if ends.is_empty() {
        return None;
    }
    let solved: Vec<_> = ends
        .iter()
        .filter_map(|(end, tests, minutes)| end.optimum.map(|best| (best, *tests as f64, *minutes)))
        .collect();
    let mean = |of: &dyn Fn(usize) -> f64, count: usize| Mean::of(&(0..count).map(of).collect::<Vec<_>>()).mean;
    let tests: Vec<(f64, f64)> = solved.iter().map(|(best, tests, _)| (*tests, best.tests)).collect();
    let minutes: Vec<(f64, f64)> = solved.iter().map(|(best, _, minutes)| (*minutes, best.minutes)).collect();
    let quickest: Vec<(f64, f64)> = solved.iter().map(|(best, ..)| (best.tests_of_quickest, best.tests)).collect();
    let both =
        |pairs: &[(f64, f64)]| (mean(&|index| pairs[index].0, pairs.len()), mean(&|index| pairs[index].1, pairs.len()));
    Some(ReportStretch {
        cases: Share { hits: solved.len(), of: ends.len() },
        tests: both(&tests),
        tests_ratio: mean_ratio(&tests),
        minutes: both(&minutes),
        quickest_ratio: mean_ratio(&quickest),
        minutes_ratio: mean_ratio(&minutes),
        entropy_tests: mean(&|index| ends[index].0.entropy_tests, ends.len()),
        huffman_tests: mean(&|index| ends[index].0.huffman_tests.unwrap_or(0.0), ends.len()),
        huffman_minutes: mean(&|index| ends[index].0.huffman_minutes.unwrap_or(0.0), ends.len()),
    })
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
