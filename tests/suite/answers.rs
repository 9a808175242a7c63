//! The wording of each kind of answer: assessments of fixed values, given to
//! `words`. How they come about is the matter of `stories` and `beliefs`.

use crate::played::fresh;
use halfsplit::belief::{
    Belief, Contradiction, Estimate, Explanation, Failure, LoopGap, Segment, Sign, Site, Stretch, Suspect, Symptom,
};
use halfsplit::case::{Assessment, Case, Entry};
use halfsplit::complaint::{Began, Channel, Kind, Supposed};
use halfsplit::fault::{FailureMode, Fault, Size};
use halfsplit::network::Convergence;
use halfsplit::odds::Probability;
use halfsplit::plan::{Advice, Next, Outcome, OutcomeSeen, Range, Sense, Test};
use halfsplit::predict::{Burden, Hypothesis, Phase, Probe, Scale};
use halfsplit::quantity::{Measured, Minutes, Volts, Watts};
use halfsplit::vehicle::{ControlId, PartId, PlaceId, PointId, Position};
use halfsplit::words::document::on_screen;
use halfsplit::words::{answer, machine, runners_up, segment_in_full, suspects};

const WIDTH: usize = 80;

pub fn part(case: &Case, name: &str) -> PartId {
    case.vehicle().find_part(name).unwrap_or_else(|| panic!("no part {name}"))
}

pub fn point(case: &Case, name: &str) -> PointId {
    case.vehicle().find_point(name).unwrap_or_else(|| panic!("no point {name}"))
}

fn control(case: &Case, name: &str) -> ControlId {
    case.vehicle().find_control(name).unwrap_or_else(|| panic!("no control {name}"))
}

fn place(case: &Case, name: &str) -> PlaceId {
    let places = &case.vehicle().places;
    PlaceId::new(places.iter().position(|place| place.name == name).unwrap_or_else(|| panic!("no place {name}")))
}

pub fn volts(low: f64, high: f64) -> Range {
    Range { scale: Scale::Volts, low, high }
}

pub fn between(case: &Case, red: &str, black: &str) -> Probe {
    Probe::voltage(point(case, red), point(case, black))
}

/// Everything held against these sites, in this order.
pub fn belief(case: &Case, sites: &[(Site, f64)]) -> Belief {
    let held = |&(site, probability): &(Site, f64)| Suspect {
        site,
        probability: Probability::of(probability),
        before: Probability::of(0.1),
    };
    let unasked = Belief::unasked(case.predictor().uncertainties().clone());
    Belief { suspects: sites.iter().map(held).collect(), ..unasked }
}

fn weighed(hypothesis: Hypothesis, site: Site, probability: f64) -> Explanation {
    Explanation {
        hypothesis,
        site,
        probability: Probability::of(probability),
        joint: None,
        phase: Phase::default(),
        began: Began::Before,
    }
}

pub fn assessment(belief: Belief, next: Next) -> Assessment {
    Assessment {
        belief,
        segment: None,
        next,
        others: Vec::new(),
        proved_good: Vec::new(),
        contradiction: None,
        loop_gap: None,
        settling: Convergence::Converged,
        overloaded: Vec::new(),
    }
}

/// One stretch, the parts in it with their probability, and how they fail.
fn segment(case: &Case, mode: FailureMode, fence: (&str, &str), parts: &[(&str, f64)]) -> Segment {
    let fence = Some((point(case, fence.0), point(case, fence.1)));
    let parts: Vec<(PartId, f64)> = parts.iter().map(|&(name, held)| (part(case, name), held)).collect();
    let held = parts.iter().map(|(_, probability)| probability).sum();
    let failures = vec![Failure::of(parts[0].0, mode)];
    Segment { stretches: vec![Stretch { parts, fence }], pairs: Vec::new(), held, failures }
}

fn on_parts(case: &Case, parts: &[(&str, f64)]) -> Belief {
    let sites: Vec<(Site, f64)> = parts.iter().map(|&(name, held)| (Site::Part(part(case, name)), held)).collect();
    belief(case, &sites)
}

fn estimate<T>(of: impl Fn(f64) -> T, low: f64, middle: f64, high: f64) -> Option<Estimate<T>> {
    Some(Estimate { low: of(low), middle: of(middle), high: of(high) })
}

pub fn advice(test: Test) -> Advice {
    Advice {
        test,
        settings: Vec::new(),
        opens: Vec::new(),
        minutes: Minutes(1.7),
        bits: 0.98,
        sound: None,
        outcomes: Vec::new(),
    }
}

pub fn outcome(seen: OutcomeSeen, probability: f64, points_to: Vec<(Site, f64)>) -> Outcome {
    Outcome { seen, probability: Probability::of(probability), points_to }
}

fn said(case: Case, assessment: Assessment) -> (Case, String) {
    let case = case.with_assessment(assessment);
    let text = on_screen(&answer(&case), WIDTH);
    assert!(text.lines().all(|line| line.chars().count() <= WIDTH), "{text}");
    (case, text)
}

/// Everything that is said of an answer when it is asked for.
fn asked(case: &Case) -> String {
    on_screen(&[segment_in_full(case), suspects(case), vec![runners_up(case)]].concat(), WIDTH)
}

#[test]
fn found() {
    let case = fresh("bench_board");
    let site = Site::Part(part(&case, "JA.1"));
    let mut of = assessment(on_parts(&case, &[("JA.1", 0.996), ("SA", 0.004)]), Next::Found { site });
    let mut segment = segment(&case, FailureMode::HighResistance, ("TA3", "TA4"), &[("JA.1", 0.996)]);
    segment.failures[0].size = estimate(|size| size, 1.9, 2.2, 2.6);
    segment.failures[0].dropped = estimate(Volts, 2.7, 3.0, 3.4);
    segment.failures[0].heat = estimate(Watts, 3.8, 4.1, 4.4);
    of.segment = Some(segment);
    of.proved_good = ["LP", "CB", "QB", "FA/in", "FA", "FA/out", "PSU"].map(|name| part(&case, name)).to_vec();
    let (case, text) = said(case, of);
    insta::assert_snapshot!(format!("{text}\n\n{}", asked(&case)));
}

#[test]
fn narrowed() {
    let case = fresh("clinic_van");
    let held = [("K1.1", 0.41), ("K1.2", 0.38), ("W1", 0.12)];
    let sites: Vec<(Site, f64)> = held.iter().map(|&(name, held)| (Site::Part(part(&case, name)), held)).collect();
    let mut advice = advice(Test::Measure(between(&case, "K1.1.out", "K1.2.in")));
    advice.settings = vec![(control(&case, "S5"), Position::On)];
    advice.opens = vec![place(&case, "board")];
    advice.sound = Some(volts(12.70, 12.87));
    advice.outcomes = vec![
        outcome(OutcomeSeen::Reads(volts(-0.2, 0.3)), 0.55, vec![sites[0], sites[1]]),
        outcome(OutcomeSeen::Reads(volts(12.86, 12.98)), 0.4, vec![(sites[2].0, 0.99)]),
        outcome(OutcomeSeen::Reads(volts(0.012, 0.034)), 0.05, vec![]),
    ];
    let mut other = advice.clone();
    other.test = Test::Measure(between(&case, "FC1.out", "DBN"));
    let mut of = assessment(belief(&case, &[&sites[..], &[(Site::Nothing, 0.09)]].concat()), Next::Test(advice.into()));
    of.segment = Some(segment(&case, FailureMode::OpenCircuit, ("FC1.b", "DBN"), &held));
    of.others = vec![other];
    let (case, text) = said(case, of);
    insta::assert_snapshot!(format!("{text}\n\n{}", asked(&case)));
}

/// Too many to fence in.
#[test]
fn many_in_question() {
    let case = fresh("bench_board");
    let names = ["JA.1", "JA.2", "FA", "FA/in", "FA/out", "SA", "WA", "WAr", "LE1", "LN0", "LN", "CB"];
    let held: Vec<(&str, f64)> = names.iter().enumerate().map(|(at, &name)| (name, 0.14 - 0.01 * at as f64)).collect();
    let mut of = assessment(on_parts(&case, &held), Next::NothingWorthwhile);
    of.segment = Some(segment(&case, FailureMode::OpenCircuit, ("PSU+", "PSU-"), &held));
    insta::assert_snapshot!(said(case, of).1);
}

/// Nothing said, nothing amiss, nothing wrong, nothing that tells these apart.
#[test]
fn nothing_to_test() {
    let mut text = Vec::new();
    let on = |next: fn(&Case) -> Next, sites: &[(&str, f64)]| {
        let case = fresh("bench_board");
        let next = next(&case);
        let mut of = assessment(on_parts(&case, sites), next);
        of.segment = (!sites.is_empty()).then(|| segment(&case, FailureMode::OpenCircuit, ("TA3", "TA5"), sites));
        said(case, of).1
    };
    text.push(on(|_| Next::AskComplaint, &[]));
    text.push(on(|_| Next::NothingAmiss, &[]));
    let case = fresh("bench_board");
    let sound = belief(&case, &[(Site::Nothing, 0.97)]);
    text.push(said(case, assessment(sound, Next::Found { site: Site::Nothing })).1);
    text.push(on(
        |case| Next::Inseparable { parts: vec![part(case, "JA.1"), part(case, "lampA")] },
        &[("JA.1", 0.6), ("lampA", 0.38)],
    ));
    text.push(on(|_| Next::NothingWorthwhile, &[("JA.1", 0.4), ("lampA", 0.3)]));
    insta::assert_snapshot!(text.join("\n\n"));
}

#[test]
fn not_as_drawn() {
    let case = fresh("bench_board");
    let size = Size { value: 0.05, width: 0.3, share: 1.0 };
    let hypothesis = Hypothesis::UndrawnPath { from: point(&case, "BP"), to: point(&case, "TA4"), size, opened: None };
    let mut held = belief(&case, &[(Site::Undrawn, 0.97), (Site::Nothing, 0.02)]);
    held.explanations = vec![weighed(hypothesis, Site::Undrawn, 0.97)];
    let of = assessment(held, Next::Found { site: Site::Undrawn });
    insta::assert_snapshot!(said(case, of).1);
}

/// Two at once, and one of them a blown fuse with what may have blown it.
#[test]
fn two_parts_and_a_blown_fuse() {
    let case = fresh("bench_board");
    let (fan, pin) = (part(&case, "fan"), part(&case, "JA.1"));
    let both = Site::Both(fan.min(pin), fan.max(pin));
    let mut held = belief(&case, &[(both, 0.97), (Site::Part(fan), 0.02)]);
    let size = Some(Size { value: 2.0, width: 0.1, share: 1.0 });
    let first = (Fault::new(pin, FailureMode::HighResistance), size);
    let second = (Fault::new(fan, FailureMode::OpenCircuit), None);
    held.explanations = vec![weighed(Hypothesis::Double { first, second }, both, 0.97)];
    assert!(held.modes_at(Site::Nothing).is_empty(), "nothing wrong has no way to fail");
    let engine = case.engine();
    let model = engine.predictor().in_state(&case.standing().state).expect("solvable");
    let segment_of_both = held.segment(&engine.tables().belief, case.vehicle(), &model);
    let mut of = assessment(held, Next::Found { site: both });
    of.segment = segment_of_both;
    let (case, two) = said(case, of);
    for (name, how) in [("fan", "open"), ("JA.1", "added resistance")] {
        assert!(two.contains(name) && two.contains(&format!("{name}: {how}")), "{name} is not named as {how}: {two}");
    }
    assert!(two.find("repair fan first").is_some(), "an open hides what is beyond it: {two}");
    let value = machine(&case);
    assert_eq!(value["parts"][0]["mode"].as_array().map(Vec::len), Some(2), "a way to fail of each: {value}");
    assert_eq!(value["segment"]["failures"].as_array().map(Vec::len), Some(2), "{value}");
    let two = format!("{two}\n{}", asked(&case));
    let case = fresh("bench_board");
    let fuse = part(&case, "FA");
    let mut held = on_parts(&case, &[("FA", 0.98)]);
    let by = |name: &str, mode, chance| {
        let fault = Fault::new(part(&case, name), mode);
        weighed(Hypothesis::Faulty { fault, size: None }, Site::Part(fuse), chance)
    };
    held.explanations = vec![
        by("FA", FailureMode::OpenCircuit, 0.5),
        by("WA", FailureMode::ShortToGround, 0.3),
        by("JA.1", FailureMode::ShortToGround, 0.18),
    ];
    let mut of = assessment(held, Next::Found { site: Site::Part(fuse) });
    of.segment = Some(segment(&case, FailureMode::OpenCircuit, ("FA.a", "FA.b"), &[("FA", 0.98)]));
    insta::assert_snapshot!(format!("{two}\n\n{}", said(case, of).1));
}

/// A reading that does not go with the rest, a loop that does not close, and a
/// state that does not settle or opens a fuse.
#[test]
fn doubts() {
    let mut case = fresh("bench_board");
    for (red, black, shown) in [("PSU+", "PSU-", "12.95"), ("PSU+", "TA4", "0.42")] {
        let probe = between(&case, red, black);
        let measured: Measured = shown.parse().expect("a reading");
        case.add(Entry::Read { settings: vec![], probe, measured, symptom: Symptom::Present }).expect("stands");
    }
    let mut of = assessment(
        belief(&case, &[(Site::Undrawn, 0.6), (Site::Part(part(&case, "PSU")), 0.3)]),
        Next::NothingWorthwhile,
    );
    of.contradiction = Some(Contradiction { reading: 1, probability: 0.8, expected: 11.45 });
    of.loop_gap = Some(LoopGap { readings: vec![0, 1], gap: -1.5 });
    of.settling = Convergence::Oscillating;
    of.overloaded = vec![part(&case, "FA")];
    insta::assert_snapshot!(said(case, of).1);
}

/// Every kind of test, as it is asked of whoever is there and by phone.
fn tests(case: &Case) -> Vec<Test> {
    let (red, black) = (point(case, "FC1.out"), point(case, "B2-"));
    let sense = |name: &str, sense| Test::Sense { subject: part(case, name), sense };
    let question = case.trees().questions(case.trees().find("dead").expect("a tree")).next().expect("a question");
    vec![
        Test::Ask(question),
        sense("fridge", Sense::Look),
        sense("K3.coil", Sense::Listen),
        sense("FC1", Sense::Fuse),
        sense("FC1/out", Sense::Feel),
        sense("DCO", Sense::Source),
        Test::Measure(Probe::voltage(red, black)),
        Test::Measure(Probe::Voltage { red, black, burden: Burden::Lamp }),
        Test::Measure(Probe::Resistance { red, black }),
        Test::Measure(Probe::Current { part: part(case, "FC1") }),
    ]
}

fn each_test(channel: Channel) -> String {
    let mut case = fresh("clinic_van");
    let tree = case.trees().find("dead").expect("a tree");
    case.add(Entry::Helping { channel }).expect("stands");
    let subject = part(&case, "fridge");
    let sign = Sign::Looks(halfsplit::belief::Appearance::Dead);
    case.add(Entry::Complain { settings: vec![], subject, sign, tree }).expect("stands");
    let site = Site::Part(part(&case, "FC1"));
    let mut text = Vec::new();
    let fits_phone = |test: &Test| !matches!(test, Test::Measure(probe) if probe.plain_voltage().is_none());
    for test in tests(&case).into_iter().filter(|test| channel == Channel::OnSite || fits_phone(test)) {
        let mut advice = advice(test);
        advice.outcomes = match test {
            Test::Ask(id) => {
                let supposed = [Supposed {
                    kind: Kind::Open,
                    side: halfsplit::vehicle::sides::Side::Supply,
                    class: None,
                    began: Began::Before,
                }];
                let chances = case.trees().question(id).chances(&supposed, channel);
                chances
                    .iter()
                    .enumerate()
                    .map(|(at, _)| outcome(OutcomeSeen::Answer(at), 0.25, vec![(site, 0.5)]))
                    .collect()
            }
            Test::Sense { sense, .. } => {
                sense.outcomes().iter().map(|&sign| outcome(OutcomeSeen::Sign(sign), 0.4, vec![(site, 0.97)])).collect()
            }
            Test::Measure(probe) => {
                let scale = probe.scale();
                advice.sound = Some(Range { scale, low: 0.0, high: 0.5 });
                // From next to nothing to more than any display shows.
                let ranges = [(-0.2, 0.3), (0.0, 0.0273), (0.5, 1.25), (12.5, 13.86), (17.0, 18.0)];
                let reads = ranges.map(|(low, high)| OutcomeSeen::Reads(Range { scale, low, high }));
                reads.into_iter().map(|seen| outcome(seen, 0.2, vec![(site, 0.97)])).collect()
            }
        };
        let of = assessment(belief(&case, &[(site, 0.5)]), Next::Test(advice.into()));
        let told;
        (case, told) = said(case, of);
        text.push(told);
    }
    text.join("\n\n")
}

#[test]
fn every_test_on_site() {
    insta::assert_snapshot!(each_test(Channel::OnSite));
}

#[test]
fn every_test_by_phone() {
    insta::assert_snapshot!(each_test(Channel::ByPhone));
}

/// What comes and goes is read while it fails; a battery that goes flat is
/// looked at asleep.
#[test]
fn what_comes_and_goes_and_what_sleeps() {
    let mut text = Vec::new();
    for (name, sign) in [("scene", Sign::Sometimes), ("B2", Sign::GoesFlat)] {
        let mut case = fresh("clinic_van");
        let entry = case.observed(part(&case, name), sign);
        case.add(entry).expect("stands");
        let mut advice = advice(Test::Measure(between(&case, "K3.87", "B2-")));
        advice.sound = Some(volts(12.47, 13.81));
        let of = assessment(on_parts(&case, &[("J5.2", 0.3), ("S5", 0.2)]), Next::Test(advice.into()));
        text.push(said(case, of).1);
    }
    insta::assert_snapshot!(text.join("\n\n"));
}
