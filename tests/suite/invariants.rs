//! No two things that one answer says contradict each other, and every figure is
//! what it is called: held after every entry of random sessions.

use crate::random_sessions::{SAMPLES, how_many, play};
use halfsplit::belief::Site;
use halfsplit::case::Case;
use halfsplit::plan::{Advice, Next, Test};
use halfsplit::words;
use halfsplit::words::document::on_screen;

/// Sums of probabilities may be off by rounding.
const ROUNDING: f64 = 1e-6;
/// Belief at which a part is as good as announced.
const ANNOUNCED: f64 = 0.99;

#[test]
fn no_answer_contradicts_itself() {
    let mut broken = Vec::new();
    for sample in SAMPLES.into_iter().chain(["bench_board+panel"]) {
        for seed in 0..how_many(25) {
            play(sample, seed, |case, log| {
                broken.extend(faults_of(case).into_iter().map(|what| format!("{what}: {log}")))
            });
        }
    }
    assert!(broken.is_empty(), "{} answers contradict themselves:\n{}", broken.len(), broken.join("\n"));
}

/// What an answer says that cannot be.
pub fn faults_of(case: &Case) -> Vec<String> {
    let mut faults = Vec::new();
    let mut holds = |is: bool, what: &str| {
        if !is {
            faults.push(what.to_string());
        }
    };
    figures(case, &mut holds);
    doubts(case, &mut holds);
    announced(case, &mut holds);
    faults
}

fn figures(case: &Case, holds: &mut impl FnMut(bool, &str)) {
    let assessment = case.assessment();
    let belief = &assessment.belief;
    let is_share = |share: f64| (0.0..=1.0 + ROUNDING).contains(&share);
    if !belief.suspects.is_empty() {
        let total: f64 = belief.suspects.iter().map(|suspect| suspect.probability.value()).sum();
        holds((total - 1.0).abs() < ROUNDING, "the sites add to one");
    }
    holds(belief.misread.iter().all(|&share| is_share(share)), "a chance of a misread is a chance");
    holds(assessment.contradiction.is_none_or(|doubt| is_share(doubt.probability)), "a doubt is a chance");
    for advice in advices(case) {
        let total: f64 = advice.outcomes.iter().map(|outcome| outcome.probability.value()).sum();
        holds(is_share(total), "outcomes add to one at most");
        holds(advice.minutes.0.is_finite() && advice.bits.is_finite(), "figures are finite");
    }
}

fn advices(case: &Case) -> impl Iterator<Item = &Advice> {
    let next = match &case.assessment().next {
        Next::Test(advice) => Some(&**advice),
        _ => None,
    };
    next.into_iter().chain(&case.assessment().others)
}

/// A doubt is no peace of mind.
fn doubts(case: &Case, holds: &mut impl FnMut(bool, &str)) {
    let assessment = case.assessment();
    let is_quiet = matches!(assessment.next, Next::NothingAmiss);
    holds(!(is_quiet && assessment.contradiction.is_some()), "a reading is doubted and all is as it should be");
    let is_unsuspect = assessment.next.is_of_no_suspect();
    holds(!(is_unsuspect && assessment.segment.is_some()), "a part is suspect before anything is amiss");
    let again = match assessment.next {
        Next::ReadAgain { reading } => Some(reading),
        _ => assessment.contradiction.map(|doubt| doubt.reading),
    };
    holds(again == assessment.contradiction.map(|doubt| doubt.reading), "what is read again is what is doubted");
    let is_asked = matches!(&assessment.next, Next::Test(advice) if matches!(advice.test, Test::Measure(_)));
    holds(!is_asked || !assessment.belief.suspects.is_empty(), "a reading is asked for and nothing is suspect");
}

fn announced(case: &Case, holds: &mut impl FnMut(bool, &str)) {
    let assessment = case.assessment();
    let standing = case.standing();
    let good = &assessment.proved_good;
    match &assessment.next {
        Next::Found { site } => {
            holds(!site.parts().any(|part| good.contains(&part)), "what is found is proved good");
            if site.parts().next().is_some() {
                let segment = on_screen(&words::segment_in_full(case), 80);
                holds(!segment.starts_with("Nothing is suspect"), "found, and nothing is suspect");
                let in_segment =
                    |part| assessment.segment.iter().flat_map(|one| one.parts()).any(|(other, _)| other == part);
                holds(site.parts().all(in_segment), "what is found is where it is narrowed to");
                holds(
                    !standing.evidence.readings.is_empty() || standing.evidence.all_observations().count() > 1,
                    "found from a complaint alone",
                );
            }
        }
        Next::Inseparable { parts } => holds(parts.len() > 1, "one part by itself is not told apart"),
        Next::AskComplaint | Next::NothingAmiss | Next::ReadAgain { .. } | Next::Test(_) | Next::NothingWorthwhile => {}
    }
    let suspect = |part| {
        let of = |suspect: &&halfsplit::belief::Suspect| suspect.site == Site::Part(part);
        assessment.belief.suspects.iter().find(of).map_or(0.0, |suspect| suspect.probability.value())
    };
    holds(good.iter().all(|&part| suspect(part) < 0.01), "a part is proved good and suspect");
    let figures = &case.engine().tables().belief;
    let is_alone = |site| {
        let reading = assessment.belief.rests_on(figures, site);
        reading.is_some_and(|reading| standing.evidence.readings[reading].agreed == 0)
    };
    let first = assessment.belief.suspects.first().filter(|first| first.site.parts().next().is_some());
    let is_sure = first.is_some_and(|first| first.probability.value() > ANNOUNCED && is_alone(first.site));
    let is_found = matches!(assessment.next, Next::Found { .. });
    holds(!(is_sure && is_found), "announced at 99 % on the word of one reading");
}
