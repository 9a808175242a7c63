//! What is foretold is believed: entering a likely value of any outcome that was
//! foretold of an advised test contradicts nothing, and moves the odds as
//! foretold.

use crate::random_sessions::{SAMPLES, how_many, play, told};
use halfsplit::belief::{Explanation, Site, Symptom};
use halfsplit::case::{Case, Entry};
use halfsplit::plan::{Advice, Next, Outcome, OutcomeSeen, Test};
use halfsplit::predict::{Probe, Scale};
use halfsplit::quantity::{Amps, Measured, Ohms, Typed, Volts};
use std::rc::Rc;

/// An outcome less likely than this is passed over.
const LIKELY: f64 = 0.1;
/// Of its foretold share, what the likeliest explanation of a value has at least.
const AS_FORETOLD: f64 = 0.5;

#[test]
fn what_is_foretold_is_believed() {
    let (mut broken, mut tried) = (Vec::new(), 0);
    for sample in SAMPLES.into_iter().chain(["bench_board+panel"]) {
        for seed in 1000..1000 + how_many(12) {
            play(sample, seed, |case, log| {
                for (what, count) in faults_of(case) {
                    tried += count;
                    broken.extend(what.map(|what| format!("{what}: {log}")));
                }
            });
        }
    }
    assert!(tried > 20, "too few outcomes tried: {tried}");
    let doubted: Vec<&String> = broken.iter().filter(|what| what.contains("is doubted")).collect();
    assert!(doubted.is_empty(), "foretold and doubted: {doubted:#?}");
    // A value may also fit what nobody thought of before it was read, such as two
    // faults at once.
    assert!(
        broken.len() * 50 <= tried,
        "{} of {tried} foretold outcomes are not believed:\n{}",
        broken.len(),
        broken.join("\n")
    );
}

/// Tries every likely outcome of the advised test.
pub fn faults_of(case: &Case) -> Vec<(Option<String>, usize)> {
    let Next::Test(advice) = &case.assessment().next else { return Vec::new() };
    let likely = advice.outcomes.iter().filter(|outcome| outcome.probability.value() > LIKELY);
    likely.filter_map(|outcome| tried(case, advice, outcome)).map(|what| (what, 1)).collect()
}

/// Enters a likely value of an outcome; `None` where there is none to enter.
fn tried(case: &Case, advice: &Advice, outcome: &Outcome) -> Option<Option<String>> {
    let &(site, share) = outcome.points_to.first()?;
    let entry = match (advice.test, outcome.seen) {
        (Test::Measure(probe), OutcomeSeen::Reads(range)) => {
            let value = likely_value(case, advice, probe, site, (range.low, range.high))?;
            Entry::Read {
                settings: advice.settings.clone(),
                probe,
                measured: displayed(case, range.scale, value),
                symptom: Symptom::Present,
            }
        }
        (Test::Sense { subject, .. }, OutcomeSeen::Sign(sign)) => {
            Entry::Observe { settings: advice.settings.clone(), subject, sign }
        }
        _ => return None,
    };
    let said = told(case, &entry);
    let mut after = Case::new(Rc::clone(case.engine())).ok()?;
    case.entries().iter().cloned().chain([entry]).for_each(|entry| after.add(entry).expect("it stood before"));
    let newest = after.standing().evidence.readings.len().saturating_sub(1);
    let doubted = after.assessment().contradiction.is_some_and(|doubt| doubt.reading == newest)
        && matches!(advice.test, Test::Measure(_));
    let now = after.assessment().belief.probability(site);
    Some(match () {
        () if doubted => Some(format!("[{said}] was foretold and is doubted")),
        () if now < AS_FORETOLD * share => {
            Some(format!("[{said}] was to leave {share:.2} at {site:?} and leaves {now:.2}"))
        }
        () => None,
    })
}

/// What the likeliest explanation at a site foretells in a range.
fn likely_value(case: &Case, advice: &Advice, probe: Probe, site: Site, (low, high): (f64, f64)) -> Option<f64> {
    let state = case.standing().state.with_all(&advice.settings);
    let model = case.predictor().in_state(&state).ok()?;
    let belief = &case.assessment().belief;
    let foretold = |explanation: &Explanation| {
        let view = model.view_in(case.vehicle(), &explanation.hypothesis, explanation.phase);
        let shown = view.shown(probe, case.standing().meter, 0.0, &belief.theta);
        explanation.joint.as_ref().map(|joint| joint.forecast(&shown).mean)
    };
    let at_site = belief.explanations.iter().filter(|explanation| explanation.site == site);
    at_site.filter_map(foretold).find(|mean| (low..=high).contains(mean))
}

/// As the display has it.
fn displayed(case: &Case, scale: Scale, value: f64) -> Measured {
    let instruments = &case.engine().tables().instruments;
    match scale {
        Scale::Volts => {
            let sheet = case.standing().meter.meter(instruments);
            let shown = sheet.shows(Volts(value));
            Measured::Volts(Typed { value: shown, step: sheet.step(shown) })
        }
        Scale::Amps => Measured::Amps(Typed { value: Amps((value * 10.0).round() / 10.0), step: Amps(0.1) }),
        Scale::LogOhms => match Scale::displayed_ohms(value) {
            ohms if ohms.0 > 20e6 => Measured::NoPath,
            Ohms(ohms) => {
                let step = 10f64.powf(ohms.max(1.0).log10().floor() - 2.0).max(0.1);
                Measured::Ohms(Typed { value: Ohms((ohms / step).round() * step), step: Ohms(step) })
            }
        },
    }
}
