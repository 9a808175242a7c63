//! Connections that have changed places, and readings from before it failed: odds
//! against Bayes' rule by hand, and what a full solve by hand says of the currents.

use crate::played::fresh;
use halfsplit::belief::{
    Answered, Appearance, Belief, Earlier, Engine, Evidence, Observation, Reading, Sign, Site, Symptom, is_news,
};
use halfsplit::case::{Case, Entry};
use halfsplit::complaint::{Began, Channel, built_in_trees};
use halfsplit::fault::{FailureMode, Fault};
use halfsplit::files::{built_in_tables, parse};
use halfsplit::meter::MeterKind;
use halfsplit::predict::{Hypothesis, Predictor, Probe, Uncertainties};
use halfsplit::quantity::{Measured, Typed, Volts};
use halfsplit::source::SourceFile;
use halfsplit::tables::Tables;
use halfsplit::vehicle::{PartId, Position, State, Vehicle};
use std::rc::Rc;

/// Two lamps, each on a fuse and a cable of its own from one board.
const TWO_FEEDS: &str = r#"Vehicle(
    name: "two feeds", nominal: 12, black: "B-",
    places: [ Place(name: "board", minutes: 0.2, open: "nothing") ],
    supplies: [ Battery(name: "B", chemistry: LeadAcid, ah: 80, rest: 12.6, ohms: 0.01, at: "board") ],
    runs: [
        Run(name: "one", from: "B+", to: "B-", at: "board", parts: [
            Fuse(name: "F1", amps: 10), Cable(name: "W1", metres: 4, mm2: 1.5),
            Load(name: "lamp1", label: "lamp one", kind: Heater, ohms: 3) ]),
        Run(name: "two", from: "B+", to: "B-", at: "board", parts: [
            Fuse(name: "F2", amps: 10), Cable(name: "W2", metres: 4, mm2: 1.5),
            Load(name: "lamp2", label: "lamp two", kind: Heater, ohms: 6) ]),
    ],
)"#;

fn vehicle() -> Rc<Vehicle> {
    let file = SourceFile::new("two_feeds.ron".into(), TWO_FEEDS.into());
    Rc::new(parse(file).unwrap_or_else(|error| panic!("{error}")).vehicle)
}

fn tables() -> Rc<Tables> {
    built_in_tables().unwrap_or_else(|error| panic!("{error}"))
}

fn part(vehicle: &Vehicle, name: &str) -> PartId {
    vehicle.find_part(name).unwrap_or_else(|| panic!("no {name}"))
}

/// A voltage at the far end of a part, against the battery.
fn after(vehicle: &Vehicle, name: &str, volts: f64, moment: usize) -> Reading {
    Reading {
        probe: Probe::voltage(vehicle.part(part(vehicle, name)).to, vehicle.black),
        measured: Measured::Volts(Typed { value: Volts(volts), step: Volts(0.01) }),
        meter: MeterKind::default(),
        state: State::rest(vehicle),
        symptom: Symptom::Present,
        channel: Channel::OnSite,
        moment,
        agreed: 0,
    }
}

fn dead(vehicle: &Vehicle, name: &str) -> Observation {
    Observation {
        subject: part(vehicle, name),
        sign: Sign::Looks(Appearance::Dead),
        state: State::rest(vehicle),
        channel: Channel::OnSite,
        symptom: Symptom::Present,
    }
}

fn believed(vehicle: &Rc<Vehicle>, tables: Rc<Tables>, evidence: &Evidence) -> Belief {
    Engine::new(Rc::clone(vehicle), tables).posterior(evidence).expect("solvable")
}

fn open(vehicle: &Vehicle, name: &str) -> Fault {
    Fault::new(part(vehicle, name), FailureMode::OpenCircuit)
}

fn swap(vehicle: &Vehicle) -> Fault {
    Fault { part: part(vehicle, "W1"), mode: FailureMode::Crossed, other: Some(part(vehicle, "W2")) }
}

fn probability(belief: &Belief, is: impl Fn(&Hypothesis) -> bool) -> f64 {
    belief.explanations.iter().filter(|one| is(&one.hypothesis)).map(|one| one.probability.value()).sum()
}

/// Second lamp dead, 0 V at the end of its cable; the cable renewed, and the same
/// again.
fn renewed_in_vain(vehicle: &Vehicle, readings: &[(&str, f64)]) -> Evidence {
    let read = |first: usize| -> Vec<Reading> {
        let numbered = readings.iter().enumerate();
        numbered.map(|(index, &(name, volts))| after(vehicle, name, volts, first + index)).collect()
    };
    Evidence {
        observations: vec![dead(vehicle, "lamp2")],
        readings: read(readings.len()),
        earlier: Some(Earlier {
            observations: vec![dead(vehicle, "lamp2")],
            readings: read(0),
            repaired: vec![part(vehicle, "W2")],
        }),
        ..Evidence::default()
    }
}

/// By hand: 0 V at the lamp is as likely with W2 open as with F1 open and W1 and W2
/// crossed, so the odds are those of the priors: P(swap) P(F1 open) against P(W2
/// open) P(a repair fails). W1 and W2 are beside each other and nothing else.
#[test]
fn a_swap_after_a_vain_repair_has_the_odds_of_bayes_rule() {
    let (vehicle, tables) = (vehicle(), tables());
    let evidence = renewed_in_vain(&vehicle, &[("W2", 0.0)]);
    let engine = Engine::new(Rc::clone(&vehicle), Rc::clone(&tables));
    let belief = engine.posterior(&evidence).expect("solvable");
    let (fuse, cable) = (open(&vehicle, "F1"), open(&vehicle, "W2"));
    let crossed = probability(&belief, |hypothesis| {
        *hypothesis == Hypothesis::Double { first: (fuse, None), second: (swap(&vehicle), None) }
    });
    let renewed = probability(&belief, |hypothesis| *hypothesis == Hypothesis::Faulty { fault: cable, size: None });
    let prior = tables.belief.changed_places * engine.rate_of(fuse);
    let against = engine.rate_of(cable) * tables.belief.repair_fails;
    let (odds, by_hand) = (crossed / renewed, prior / against);
    assert!((odds / by_hand - 1.0).abs() < 0.02, "{odds} against {by_hand} by hand");
}

/// Renewing a part and reading the same counts against it: what was all but certain
/// gives way to a connection that goes elsewhere.
#[test]
fn renewing_a_part_and_reading_the_same_doubts_the_drawing() {
    let vehicle = vehicle();
    let readings = [("F2/out", 12.5), ("W2", 0.0)];
    let both = renewed_in_vain(&vehicle, &readings);
    let first = Evidence { earlier: None, ..both.clone() };
    let is_cable = |hypothesis: &Hypothesis| hypothesis.part() == Some(part(&vehicle, "W2"));
    let elsewhere = |belief: &Belief| {
        let swaps = |hypothesis: &Hypothesis| hypothesis.faults().any(|(fault, _)| fault.mode == FailureMode::Crossed);
        probability(belief, swaps) + belief.probability(Site::Undrawn)
    };
    let before = believed(&vehicle, tables(), &first);
    let now = believed(&vehicle, tables(), &both);
    assert!(probability(&before, is_cable) > 0.9 && elsewhere(&before) < 0.05);
    let (cable, elsewhere) = (probability(&now, is_cable), elsewhere(&now));
    assert!(elsewhere > 0.5 && cable < 0.5, "elsewhere {elsewhere}, the cable {cable}");
}

/// By hand: with W1 and W2 crossed and W1 open, the second lamp hangs on what is
/// open and the first on the second's fuse, I = 12.6 V / 3 Ω about, which is what a
/// clamp round W2 shows.
#[test]
fn a_fault_goes_with_the_part_that_has_changed_places() {
    let vehicle = vehicle();
    let predictor = Predictor::new(Rc::clone(&vehicle), tables());
    let model = predictor.in_state(&State::rest(&vehicle)).expect("solvable");
    let crossed = Hypothesis::Double { first: (open(&vehicle, "W1"), None), second: (swap(&vehicle), None) };
    assert!(model.performance(&vehicle, &crossed, part(&vehicle, "lamp2")) < 0.01);
    assert!(model.performance(&vehicle, &crossed, part(&vehicle, "lamp1")) > 0.98);
    let theta: &Uncertainties = predictor.uncertainties();
    let clamp = |name: &str| {
        let view = model.view(&vehicle, &crossed);
        view.shown(Probe::Current { part: part(&vehicle, name) }, MeterKind::default(), 0.01, theta).mean
    };
    assert!((clamp("W2") - 12.6 / 3.0).abs() < 0.15 && clamp("W1").abs() < 0.01, "{} A", clamp("W2"));
}

/// Of a reading that the fault does not touch the two times at which it may have
/// begun are as likely, so their odds are those of the prior: 4 to 1 where one in
/// five such readings is taken with the fault there.
#[test]
fn when_it_began_has_the_odds_of_bayes_rule() {
    let (vehicle, mut tables) = (vehicle(), (*tables()).clone());
    tables.belief.there_before_said = 0.2;
    let evidence = Evidence {
        observations: vec![dead(&vehicle, "lamp2")],
        readings: vec![after(&vehicle, "W1", 12.3, 0)],
        complained: Some(1),
        ..Evidence::default()
    };
    let belief = believed(&vehicle, Rc::new(tables), &evidence);
    let is_it = Hypothesis::Faulty { fault: open(&vehicle, "F2"), size: None };
    let mut shares: Vec<f64> =
        belief.explanations.iter().filter(|one| one.hypothesis == is_it).map(|one| one.probability.value()).collect();
    shares.sort_by(f64::total_cmp);
    assert_eq!(shares.len(), 2, "once for each time");
    let odds = shares[1] / shares[0];
    assert!((odds / 4.0 - 1.0).abs() < 0.02, "{odds} to one");
}

/// A healthy reading, then the complaint and a faulty one, with no word of which is
/// which: believed as where it is said that it worked then, and no reading is doubted.
#[test]
fn a_healthy_reading_before_the_complaint_is_no_misread() {
    let vehicle = vehicle();
    let evidence = |symptom: Symptom| Evidence {
        observations: vec![dead(&vehicle, "lamp2")],
        readings: vec![
            Reading { symptom, ..after(&vehicle, "W2", 12.4, 0) },
            after(&vehicle, "F2/out", 12.5, 1),
            after(&vehicle, "W2", 0.0, 2),
        ],
        complained: Some(1),
        ..Evidence::default()
    };
    let (untagged, tagged) = (evidence(Symptom::Present), evidence(Symptom::Absent));
    let (untagged, tagged) = (believed(&vehicle, tables(), &untagged), believed(&vehicle, tables(), &tagged));
    let cable = Site::Part(part(&vehicle, "W2"));
    let (one, other) = (untagged.probability(cable), tagged.probability(cable));
    assert!(one > 0.8 && (one - other).abs() < 0.03, "{one} against {other}");
    assert!(untagged.misread.iter().all(|&misread| misread < 0.1), "{:?}", untagged.misread);
    // Said to have been complained of before anything was read, it is one.
    let all_along = Evidence { complained: None, ..evidence(Symptom::Present) };
    let all_along = believed(&vehicle, tables(), &all_along);
    assert!(all_along.misread.iter().any(|&misread| misread > 0.3), "{:?}", all_along.misread);
}

/// Asked whether it was so then, people say so of 0.9 × 0.55 + 0.1 / 3 where it was
/// and of 0.9 × 0.05 + 0.1 / 3 where it came later: the odds of the two times move by
/// the one over the other. Where nothing was read before the complaint, the answer
/// would say nothing, and it is not asked.
#[test]
fn whoever_says_that_it_was_so_then_moves_the_odds_of_when_it_began() {
    let vehicle = vehicle();
    let trees = Rc::new(built_in_trees().unwrap_or_else(|error| panic!("{error}")));
    let engine = Engine::new(Rc::clone(&vehicle), tables()).with_trees(Rc::clone(&trees));
    let tree = trees.find("dead").expect("a tree");
    let question = trees.find_question(tree, "then").expect("asked of every complaint");
    let answer = trees.question(question).find_answer("already").expect("an answer");
    let asked = Evidence {
        observations: vec![dead(&vehicle, "lamp2")],
        readings: vec![after(&vehicle, "W1", 12.3, 0)],
        complained: Some(1),
        ..Evidence::default()
    };
    let (subject, state) = (part(&vehicle, "lamp2"), State::rest(&vehicle));
    let said = Answered { subject, state, question, answer, channel: Channel::OnSite };
    let answered = Evidence { answers: vec![said], ..asked.clone() };
    let is_it = Hypothesis::Faulty { fault: open(&vehicle, "F2"), size: None };
    let odds = |evidence: &Evidence| {
        let belief = engine.posterior(evidence).expect("solvable");
        let share = |began: Began| -> f64 {
            let of = belief.explanations.iter().filter(|one| one.hypothesis == is_it && one.began == began);
            of.map(|one| one.probability.value()).sum()
        };
        share(Began::Before) / share(Began::Later)
    };
    let moved = odds(&answered) / odds(&asked);
    let by_hand = (0.9 * 0.55 + 0.1 / 3.0) / (0.9 * 0.05 + 0.1 / 3.0);
    assert!((moved / by_hand - 1.0).abs() < 1e-6, "{moved} against {by_hand}");
    let complained_first = Evidence { complained: None, ..asked.clone() };
    assert!(is_news(&engine, &asked, question) && !is_news(&engine, &complained_first, question));
}

/// A way that read well and is dead now: said to have been so then, what was read good
/// stays good; said to have come later, it may have gone since.
#[test]
fn what_read_well_may_have_gone_since() {
    let suspected = |word: Option<&str>| {
        let mut case = fresh("bench_board");
        let part = |case: &Case, name: &str| case.vehicle().find_part(name).expect("a part");
        let red = case.vehicle().part(part(&case, "JA.1")).to;
        let settings = vec![(case.vehicle().find_control("SA").expect("a control"), Position::On)];
        let probe = Probe::voltage(red, case.vehicle().black);
        let measured = Measured::Volts(Typed { value: Volts(12.9), step: Volts(0.1) });
        case.add(Entry::Read { settings, probe, measured, symptom: Symptom::Present }).expect("stands");
        let (subject, sign) = (part(&case, "lampA"), Sign::Looks(Appearance::Dead));
        let tree = case.trees().find("dead").expect("a tree");
        case.add(Entry::Complain { settings: vec![], subject, sign, tree }).expect("stands");
        if let Some(word) = word {
            let question = case.trees().find_question(tree, "then").expect("asked of every complaint");
            let answer = case.trees().question(question).find_answer(word).expect("an answer");
            case.add(Entry::Answer { question, answer }).expect("stands");
        }
        case.assessment().belief.probability(Site::Part(part(&case, "SA")))
    };
    let [already, unasked, later] = [Some("already"), None, Some("later")].map(suspected);
    assert!(already < unasked && unasked < later, "{already}, {unasked}, {later}");
}
