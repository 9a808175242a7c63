//! Instruments that a vehicle carries: each can be wrong by itself, is told apart
//! from what it shows, and takes no blame for the wiring.

use crate::tables::built_in;
use halfsplit::belief::{Belief, Engine, Site};
use halfsplit::case::Case;
use halfsplit::fault::FailureMode;
use halfsplit::files::{LoadError, SAMPLES, built_in_tables, parse};
use halfsplit::plan::{Next, Test};
use halfsplit::predict::Probe;
use halfsplit::repl::{Session, Understanding};
use halfsplit::source::SourceFile;
use halfsplit::tables::instruments::FixedInstrument;
use std::f64::consts::TAU;

/// A battery monitor of the battery called `BATTERY`.
pub const MONITOR: &str = r#"
    Voltmeter(name: "BM", label: "battery monitor", red: "BATTERY+", black: "BATTERY-"),
    Ammeter(name: "BA", label: "battery monitor amps", through: "BATTERY"),
"#;

fn with_instruments(sample: &str, instruments: &str) -> String {
    let (_, text) = SAMPLES.iter().find(|(name, _)| *name == sample).expect("a sample");
    text.replacen("    states: [", &format!("    instruments: [{instruments}],\n    states: ["), 1)
}

fn session_of(text: String) -> Session {
    let loaded = parse(SourceFile::new("a.ron".into(), text)).unwrap_or_else(|error| panic!("{error}"));
    let tables = built_in_tables().unwrap_or_else(|error| panic!("{error}"));
    let engine = Engine::new(std::rc::Rc::new(loaded.vehicle), tables);
    Session::new(Case::new(engine).unwrap_or_else(|error| panic!("{error}")), loaded.file, loaded.warnings)
}

/// The van with a monitor of its house battery, after these lines.
fn told(lines: &[&str]) -> Session {
    let mut session = session_of(with_instruments("clinic_van", &MONITOR.replace("BATTERY", "B2")));
    for line in lines {
        let reply = session.handle(line);
        assert_eq!(reply.outcome, Understanding::Understood, "{line}: {}", reply.text(80));
    }
    session
}

/// Belief in a part, alone or with another.
fn held(session: &Session, name: &str) -> f64 {
    let part = session.case().vehicle().find_part(name).expect(name);
    let suspects = &session.case().assessment().belief.suspects;
    let at = suspects.iter().filter(|suspect| suspect.site.parts().any(|other| other == part));
    at.map(|suspect| suspect.probability.value()).sum()
}

fn likeliest_mode(session: &Session, name: &str) -> Option<FailureMode> {
    let part = session.case().vehicle().find_part(name).expect(name);
    let modes = session.case().assessment().belief.modes_at(Site::Part(part));
    modes.first().map(|&(_, mode)| mode)
}

/// ln of the density of a normal variable.
fn log_normal(off: f64, variance: f64) -> f64 {
    -0.5 * (off * off / variance + (TAU * variance).ln())
}

fn of_mode(belief: &Belief, wanted: FailureMode) -> f64 {
    let is_it = |mode: FailureMode| mode == wanted;
    let all = belief.explanations.iter();
    let some = all.filter(|one| one.hypothesis.faults().count() == 1);
    let some = some.filter(|one| one.hypothesis.faults().all(|(fault, _)| is_it(fault.mode)));
    some.map(|one| one.probability.value()).sum()
}

/// Bayes' rule by hand, on a bench of one battery and one lamp: the meter in hand
/// shows 12.60 V, the panel 11.70 V. Off by an offset, by its scale, or stuck: the
/// odds are those of how often each is met times the densities of what was read.
#[test]
fn odds_of_a_wrong_instrument_are_those_of_bayes_rule() {
    let text = r#"Vehicle(name: "bench", nominal: 12, black: "B-", places: [ Place(name: "bench", minutes: 1, open: "") ],
        supplies: [ Battery(name: "B", chemistry: LeadAcid, ah: 60, rest: 12.6, ohms: 0.01, at: "bench") ],
        runs: [ Run(name: "row", from: "B+", to: "B-", at: "bench", parts: [
            Fuse(name: "F", amps: 10), Switch(name: "S", style: Rocker),
            Load(name: "lamp", label: "lamp", kind: Lamp, amps: 4) ]) ],
        instruments: [ Voltmeter(name: "BM", label: "panel meter", red: "B+", black: "B-") ])"#;
    let mut session = session_of(text.to_string());
    session.handle("B+ 12.60");
    session.handle("BM 11.70");
    let belief = &session.case().assessment().belief;
    let tables = built_in();
    let FixedInstrument { zero, gain, off, scale, stuck, .. } =
        tables.instruments.fixed(false, halfsplit::quantity::Volts(12.0));
    let hand = tables.instruments.cheap_meter;
    // What each adds to the volts that are there, and those by themselves. The
    // supply wanders a little between the two.
    let rounding = 0.01f64.powi(2) / 12.0 + tables.instruments.probe_noise.0.powi(2);
    let wander = tables.spreads.supply_wander.0.powi(2);
    let of_hand = (hand.accuracy / 2.0 * 12.6).powi(2) + (0.01 * hand.digits / 2.0).powi(2) + rounding + wander;
    let of_panel = zero * zero + (gain * 12.6).powi(2) + rounding + wander;
    let own = (tables.spreads.battery_voltage * 12.6).powi(2);
    // Of the volts that are there, given the first: a product of two normals.
    let given_hand = 1.0 / (1.0 / own + 1.0 / of_hand);
    let read = |fault: f64| log_normal(11.7 - 12.6, given_hand + of_panel + fault);
    let frozen = log_normal(11.7 - tables.belief.misread_supply * 12.0, stuck * stuck + 0.01f64.powi(2) / 12.0);
    let engine = session.case().engine();
    let panel = engine.vehicle().find_part("BM").expect("a panel meter");
    let rate = |mode: FailureMode| engine.rate_of(halfsplit::fault::Fault::new(panel, mode));
    let by_hand = |mode: FailureMode, log_density: f64| rate(mode) * log_density.exp();
    let is_off = by_hand(FailureMode::ReadsOff, read(off * off));
    for (mode, weight) in [
        (FailureMode::WrongScale, by_hand(FailureMode::WrongScale, read((scale * 12.6).powi(2)))),
        (FailureMode::Stuck, (1.0 - tables.faults.stuck_at_nought) * by_hand(FailureMode::Stuck, frozen)),
    ] {
        let (ours, theirs) = (of_mode(belief, FailureMode::ReadsOff) / of_mode(belief, mode), is_off / weight);
        assert!((ours / theirs - 1.0).abs() < 0.03, "{mode:?}: {ours} by the program, {theirs} by hand");
    }
}

/// The panel and a meter at the same two points: which of the two is wrong, by
/// how much, and nothing of the wiring.
#[test]
fn a_monitor_that_reads_low_is_named_with_its_amount() {
    let session =
        told(&["B2+ 13.24", "BM 12.34", "on S2", "BM 12.31", "B2+ 13.21", "on engine", "BM 13.02", "B2+ 13.93"]);
    assert!(held(&session, "BM") > 0.95, "{}", held(&session, "BM"));
    let assessment = session.case().assessment();
    let failure = assessment.segment.as_ref().expect("a segment").failures[0];
    let size = failure.size.expect("an amount");
    assert!((size.middle + 0.9).abs() < 0.15 && size.low < size.high, "{failure:?}");
    assert_eq!(failure.mode, FailureMode::ReadsOff);
}

#[test]
fn a_frozen_monitor_is_named_stuck() {
    let lines = ["BM 13.10", "B2+ 13.22", "on engine", "BM 13.10", "B2+ 14.05", "off engine", "on S2", "BM 13.10"];
    let session = told(&lines);
    assert!(held(&session, "BM") > 0.9, "{}", held(&session, "BM"));
    assert_eq!(likeliest_mode(&session, "BM"), Some(FailureMode::Stuck));
}

/// Three quarters of an ampere in six readings over four minutes, while the clamp
/// stays where it was.
#[test]
fn an_ammeter_that_drifts_is_noticed() {
    let session = told(&["B2 4.6A", "BA 4.60", "BA 4.75", "BA 4.90", "BA 5.05", "BA 5.20", "BA 5.35", "B2 4.6A"]);
    assert!(held(&session, "BA") > 0.9, "{}", held(&session, "BA"));
    assert_eq!(likeliest_mode(&session, "BA"), Some(FailureMode::Drifts));
}

/// A battery that is low is low by the meter too: the monitor is right.
#[test]
fn no_physical_fault_is_blamed_on_the_monitor() {
    let session = told(&["dead fridge", "BM 11.60", "B2+ 11.59"]);
    assert!(held(&session, "BM") < 0.02, "{}", held(&session, "BM"));
}

/// A monitor that shows a volt less than there should be: what tells most is a
/// meter where it measures.
#[test]
fn a_doubted_monitor_is_compared_with_a_meter() {
    let mut session = session_of(with_instruments("bench_board", &MONITOR.replace("BATTERY", "PSU")));
    session.handle("BM 11.55 BA 0.00");
    let case = session.case();
    let monitor = case.vehicle().find_part("BM").expect("BM");
    let fixed = Probe::fixed(case.vehicle(), monitor).expect("an instrument");
    let advised = |next: &Next| match next {
        Next::Test(advice) => Some(advice.test),
        _ => None,
    };
    let others = case.assessment().others.iter().map(|advice| advice.test);
    let all: Vec<Test> = advised(&case.assessment().next).into_iter().chain(others).collect();
    assert!(all.contains(&Test::Measure(fixed.by_hand())), "{all:?}");
}

/// One line, two entries, one answer; a line that cannot stand changes nothing.
#[test]
fn several_instruments_are_read_on_one_line() {
    let mut session = told(&["bm 13.21 BA 4.4"]);
    assert_eq!(session.case().standing().readings.len(), 2);
    for line in ["BM 13.21 BA", "BM 4.2A", "BM 13.2 XX 4", "BM", "BM 13.2 BM 900"] {
        let reply = session.handle(line);
        assert_eq!(reply.outcome, Understanding::Failed, "{line}: {}", reply.text(80));
        assert_eq!(session.case().standing().readings.len(), 2, "{line}");
    }
    session.handle("undo");
    assert_eq!(session.case().standing().readings.len(), 1);
    session.handle("redo");
    let said = session.handle("readings").machine.expect("an answer");
    assert_eq!(session.case().standing().readings.len(), 2, "{said}");
}

#[test]
fn what_is_wrong_with_an_instrument_in_a_file_is_said() {
    for (instrument, said) in [
        (r#"Voltmeter(name: "BM", red: "B9+", black: "B2-")"#, "B9+"),
        (r#"Voltmeter(name: "BM", red: "B2+", black: "B2+")"#, "both its wires at one point"),
        (r#"Ammeter(name: "BA", through: "FX9")"#, "FX9"),
        (r#"Voltmeter(name: "F1", red: "B2+", black: "B2-")"#, "F1"),
        (r#"Voltmeter(name: "BM", red: "B2+", black: "B2-", resolution: 20)"#, "`resolution` must be between"),
        (r#"Fuse(name: "BM")"#, "Fuse"),
    ] {
        let text = with_instruments("clinic_van", instrument);
        match parse(SourceFile::new("a.ron".into(), text)) {
            Err(LoadError::Rejected { findings, .. }) => {
                let headlines: Vec<&str> = findings.iter().map(|finding| finding.headline.as_str()).collect();
                assert!(headlines.iter().any(|headline| headline.contains(said)), "{instrument}: {headlines:?}");
            }
            other => panic!("{instrument}: {:?}", other.map(|loaded| loaded.vehicle.name)),
        }
    }
}
