//! What a hand puts in or takes off for a test. Worked examples of Bayes' rule: odds
//! after = odds before × (chance of what was seen under one / under the other), with
//! the chances of `signs.ron`, all of them common practice, no source: of a load that
//! has none of its volts 93 % say dead, 1 % works; of one that has all of them 94 %
//! say works, 4 % weak, 2 % dead. At its full volts a load counts as right to 98.2 %
//! (1 / (1 + e^-((1 - 0.92) / 0.02))), as weak for the rest, of which 7 % say works.

use crate::played::{engine, fresh};
use halfsplit::belief::{Explanation, Site};
use halfsplit::case::proof::ProofVerdict;
use halfsplit::case::{Case, Entry};
use halfsplit::fault::{FailureMode, Fault, alteration};
use halfsplit::network::{network_of, solve};
use halfsplit::plan::Next;
use halfsplit::predict::Hypothesis;
use halfsplit::repl::{Command, CommandError, parse};
use halfsplit::vehicle::{Aid, ControlId, Hazard, NoAid, Position, State};

/// 0.982 × 0.94 + 0.018 × 0.07.
const WORKS_AT_FULL_VOLTS: f64 = 0.924;
/// 0.9997 × 0.01.
const WORKS_WITHOUT_VOLTS: f64 = 0.010;
/// 1 − 0.982 × 0.02 − 0.018 × 0.15.
const RUNS_AT_FULL_VOLTS: f64 = 0.978;
/// 1 − 0.96.
const RUNS_WITHOUT_VOLTS: f64 = 0.040;

fn enter(case: &mut Case, line: &str) {
    match parse(line, case) {
        Ok(Command::Enter(entry)) => case.add(entry).unwrap_or_else(|error| panic!("{line}: {error}")),
        other => panic!("{line}: {other:?}"),
    }
}

fn after(sample: &str, lines: &[&str]) -> Case {
    let mut case = fresh(sample);
    lines.iter().for_each(|line| enter(&mut case, line));
    case
}

/// Odds of one single fault against another.
fn odds(case: &Case, one: (&str, FailureMode), other: (&str, FailureMode)) -> f64 {
    let share = |(name, mode): (&str, FailureMode)| -> f64 {
        let part = case.vehicle().find_part(name).expect(name);
        let is_it = |explanation: &&Explanation| match explanation.hypothesis {
            Hypothesis::Faulty { fault, .. } => fault == Fault::new(part, mode),
            _ => false,
        };
        case.assessment().belief.explanations.iter().filter(is_it).map(|found| found.probability.value()).sum()
    };
    share(one) / share(other)
}

/// How often the odds are multiplied by what is said after an aid.
fn moved(before: &[&str], then: &[&str], one: (&str, FailureMode), other: (&str, FailureMode)) -> f64 {
    let known = odds(&after("bench_board", before), one, other);
    let lines: Vec<&str> = before.iter().chain(then).copied().collect();
    odds(&after("bench_board", &lines), one, other) / known
}

fn assert_near(found: f64, expected: f64, share: f64, what: &str) {
    assert!((found / expected - 1.0).abs() < share, "{what}: {found}, expected {expected}");
}

const OPEN: FailureMode = FailureMode::OpenCircuit;

/// Works when fed straight: the toggle has 0.924 of it, the lamp itself 0.010.
#[test]
fn a_straight_feed_moves_the_odds_as_bayes_rule_says() {
    let expected = WORKS_AT_FULL_VOLTS / WORKS_WITHOUT_VOLTS;
    let found = moved(&["dead lampA"], &["feed lampA both", "works lampA"], ("SA", OPEN), ("lampA", OPEN));
    assert_near(found, expected, 0.05, "toggle against lamp");
    // Its return too, or only its feed: then a return that is open leaves it dead.
    let found = moved(&["dead lampA"], &["feed lampA", "works lampA"], ("SA", OPEN), ("WAr", OPEN));
    assert_near(found, expected, 0.05, "feed against return");
}

/// A lamp in its plug lights: whatever the lamp's own fault is, it is not there.
#[test]
fn a_lamp_in_its_place_moves_the_odds_as_bayes_rule_says() {
    let found = moved(&["dead lampA"], &["lamp lampA", "works lampA"], ("lampA", OPEN), ("SA", OPEN));
    assert_near(found, WORKS_AT_FULL_VOLTS / WORKS_WITHOUT_VOLTS, 0.05, "lamp against toggle");
}

#[test]
fn a_bridge_moves_the_odds_as_bayes_rule_says() {
    let found = moved(&["dead lampA"], &["bridge SA", "works lampA"], ("SA", OPEN), ("FA", OPEN));
    assert_near(found, WORKS_AT_FULL_VOLTS / WORKS_WITHOUT_VOLTS, 0.05, "toggle against fuse");
}

/// A lamp is said to stay on though its toggle is off. Of a welded toggle 0.978 would
/// say so, and of a sound vehicle, by mistake, 0.040. With the wire off the toggle that
/// feeds nothing: 0.040 of either, and the odds stay.
#[test]
fn an_end_off_its_post_moves_the_odds_as_bayes_rule_says() {
    let odds = |lines: &[&str]| {
        let case = after("bench_board", lines);
        let toggle = case.vehicle().find_part("SA").expect("SA");
        let share = |is_it: &dyn Fn(&Explanation) -> bool| -> f64 {
            let all = case.assessment().belief.explanations.iter().filter(|&found| is_it(found));
            all.map(|found| found.probability.value()).sum()
        };
        let welded = Fault::new(toggle, FailureMode::ContactWelded);
        let by_toggle = |of: &Explanation| matches!(of.hypothesis, Hypothesis::Faulty { fault, .. } if fault == welded);
        share(&by_toggle) / share(&|of| of.site == Site::Nothing)
    };
    let before = odds(&["stays lampA"]);
    let twice = odds(&["stays lampA", "stays lampA"]);
    let off = odds(&["stays lampA", "disconnect WA TA2", "stays lampA"]);
    assert_near(twice / before, RUNS_AT_FULL_VOLTS / RUNS_WITHOUT_VOLTS, 0.05, "wire on");
    assert_near(off / before, 1.0, 0.05, "wire off");
}

/// A sound vehicle with a bridge, worked out by hand: the toggle's 10 A rocker and the
/// lead in parallel carry the lamp's current in the ratio of their conductances.
#[test]
fn leads_carry_what_ohms_law_says() {
    let case = after("bench_board", &["state A", "bridge SA"]);
    let vehicle = case.vehicle();
    let solution = solve(network_of(vehicle, &case.standing().state)).expect("solvable");
    let toggle = vehicle.find_part("SA").expect("SA");
    let lamp = vehicle.find_part("lampA").expect("lampA");
    let (lead, own) = (0.03, vehicle.part(toggle).resistance.value.0);
    let whole = solution.current(lamp.index()).0;
    assert_near(solution.current(toggle.index()).0, whole * lead / (lead + own), 1e-6, "share of the toggle");
    assert_near(solution.current(vehicle.parts.len()).0, whole * own / (lead + own), 1e-6, "share of the lead");
    // With its end off its post nothing flows, with a lamp in its place what that draws:
    // 6.9 Ω, 21 W at 12 V.
    let off = after("bench_board", &["state A", "disconnect lampA"]);
    assert_eq!(solve(network_of(vehicle, &off.standing().state)).expect("solvable").current(lamp.index()).0, 0.0);
    let lit = after("bench_board", &["state A", "lamp lampA"]);
    let solution = solve(network_of(vehicle, &lit.standing().state)).expect("solvable");
    assert_near(solution.current(lamp.index()).0, solution.across(lamp.index()).0 / 6.9, 1e-6, "lamp");
}

/// A short to metal stays on the side of a wire that is still on its post.
#[test]
fn a_short_stays_with_the_end_that_is_on() {
    let engine = engine("clinic_van");
    let vehicle = engine.vehicle();
    let mut aids = (0..vehicle.aids.len()).map(|at| ControlId::new(vehicle.controls.len() + at));
    let comes_off = aids.find_map(|id| match vehicle.aid(id)? {
        Aid::Off { part, at } if vehicle.part(part).kind.is_cable() && at == vehicle.part(part).to => {
            let other = Aid::Off { part, at: vehicle.part(part).from };
            vehicle.find_aid(other).map(|_| part)
        }
        _ => None,
    });
    let part = comes_off.expect("a cable");
    let (from, to) = vehicle.part(part).ends();
    let short = Fault::new(part, FailureMode::ShortToGround);
    let added = |at| {
        let aid = vehicle.find_aid(Aid::Off { part, at }).expect("comes off");
        let state = State::rest(vehicle).with(aid, Position::On);
        let network = network_of(vehicle, &state);
        alteration(&engine.tables().faults, vehicle, &state, &network, short, 0.1).added[0].from
    };
    assert_eq!(added(to), from.index());
    assert_eq!(added(from), to.index());
}

#[test]
fn no_bridge_goes_round_a_fuse_nor_any_aid_near_a_restraint_system() {
    let case = fresh("bench_board");
    let refused = |line: &str| match parse(line, &case) {
        Err(CommandError::NoAid { why, .. }) => why,
        other => panic!("{line}: {other:?}"),
    };
    assert_eq!(refused("bridge FA"), NoAid::RoundProtection);
    assert_eq!(refused("bridge CB"), NoAid::RoundProtection);
    assert_eq!(refused("bridge lampA"), NoAid::NoBridge);
    assert_eq!(refused("disconnect FA"), NoAid::StaysOn);
    for sample in crate::random_sessions::SAMPLES {
        let engine = engine(sample);
        let vehicle = engine.vehicle();
        let licensed = |hazard| matches!(hazard, Hazard::Restraint | Hazard::Mains | Hazard::HighVoltage | Hazard::Gas);
        for aid in &vehicle.aids {
            let near =
                vehicle.cautions.iter().find(|caution| Some(caution.place) == aid.place && licensed(caution.hazard));
            assert!(near.is_none(), "{}: {}", aid.name, near.expect("one").text);
            assert!(!aid.name.starts_with("bridge F"), "{}", aid.name);
        }
    }
}

/// In the record, taken back and put in again (on disk: `journal`), and away with
/// `remove` and `state rest`.
#[test]
fn aids_are_in_the_record_and_come_out_again() {
    let lines = ["dead lampA", "feed lampA both", "bridge SA", "disconnect WAr", "lamp fan"];
    let mut case = after("bench_board", &lines);
    let in_use = |case: &Case| case.standing().state.aids(case.vehicle()).count();
    assert_eq!(in_use(&case), 4);
    let undone = case.undo().expect("an entry");
    assert_eq!(in_use(&case), 3);
    assert_eq!(case.redo().expect("an entry"), undone);
    enter(&mut case, "remove fan");
    assert_eq!(in_use(&case), 3);
    // One lead takes the place of the other.
    enter(&mut case, "feed lampA");
    assert_eq!(in_use(&case), 3);
    enter(&mut case, "remove");
    assert_eq!(in_use(&case), 0);
    enter(&mut case, "feed lampA");
    enter(&mut case, "state rest");
    assert_eq!(case.standing().state, State::rest(case.vehicle()));
}

/// A repair is proved in the state that made the fault show, with nothing of a test
/// left in it.
#[test]
fn nothing_is_proved_with_a_lead_in() {
    let mut case = after("bench_board", &["dead lampA", "feed lampA both", "works lampA", "fixed SA", "works lampA"]);
    let verdict = |case: &Case| case.proof().expect("solvable").expect("a repair").verdict();
    let proof = case.proof().expect("solvable").expect("a repair");
    assert!(proof.checks.iter().all(|check| !check.state.has_aids()));
    assert_eq!(proof.passed(), 0, "seen with the lead in it proves nothing");
    assert_ne!(verdict(&case), ProofVerdict::Proved);
    assert!(proof.left.iter().any(|&(id, _)| case.vehicle().aid(id).is_some()), "the lead is to be put back");
    enter(&mut case, "remove");
    enter(&mut case, "works lampA");
    assert!(case.proof().expect("solvable").expect("a repair").passed() > 0);
}

/// Where no probe gets at anything, a skilled man feeds the load, or puts a lamp in.
#[test]
fn aids_are_advised_where_they_tell_most_and_never_by_phone() {
    let advised = |case: &Case| {
        let next = match &case.assessment().next {
            Next::Test(advice) => Some(advice.as_ref()),
            _ => None,
        };
        let all = next.into_iter().chain(&case.assessment().others);
        all.flat_map(|advice| &advice.settings)
            .any(|&(id, position)| position == Position::On && case.vehicle().aid(id).is_some())
    };
    let mut case = after("clinic_van", &["dead pump"]);
    let points: Vec<_> = (0..case.vehicle().points.len()).map(halfsplit::vehicle::PointId::new).collect();
    let pump = case.vehicle().find_part("pump").expect("pump");
    let own = case.vehicle().part(pump).ends().0;
    for point in points {
        if point != own && point != case.vehicle().black {
            case.add(Entry::OutOfReach { point }).expect("stands");
        }
    }
    for _ in 0..40 {
        if let (false, Next::Test(advice)) = (advised(&case), &case.assessment().next) {
            let test = advice.test;
            case.add(Entry::Unwanted { test }).expect("stands");
        }
    }
    assert!(advised(&case), "{:?}", case.assessment().next);
    enter(&mut case, "phone on");
    assert!(!advised(&case));
}
