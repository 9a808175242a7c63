//! Review of a build: cable and fuse for a load against published tables and
//! worked examples; what hangs on single parts against the solve with them taken out.

use crate::played::engine;
use crate::random_sessions::SAMPLES;
use crate::tables::built_in;
use halfsplit::belief::Engine;
use halfsplit::files::parse;
use halfsplit::network::{Between, Law, Solution};
use halfsplit::predict::Predictor;
use halfsplit::quantity::{Amps, Celsius, Metres, SquareMillimetres, Volts, Watts};
use halfsplit::review::{
    AsBuilt, CableChoice, Demand, Faults, Inseparability, NoCable, PartChange, ProposedChange, Rehearsal, Revised,
    RunningLoad, Shortfall, Testability, Use, Wanted, WayLength, as_built, choose_cable, compare, proposals,
    running_loads, testability,
};
use halfsplit::source::SourceFile;
use halfsplit::tables::ampacity::{Insulation, Laying, allowable_alone, ambient_factor};
use halfsplit::tables::conductor::{ConductorSize, temperature_factor};
use halfsplit::tables::fuse::RATINGS;
use halfsplit::tables::limits::{CRITICAL_DROP, ORDINARY_DROP};
use halfsplit::vehicle::{PartId, Vehicle};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// Metres of a foot.
const FOOT: f64 = 0.3048;

/// A cable alone at 20 °C, where the tables of resistance are for.
fn wanted(amps: f64, length: WayLength, nominal: f64, drop: f64) -> Wanted {
    Wanted {
        demand: Demand::Amps(Amps(amps)),
        length,
        nominal: Volts(nominal),
        drop,
        laying: Laying::Single,
        ambient: Celsius(20.0),
        insulation: Insulation::Celsius105,
    }
}

#[track_caller]
fn chosen(wanted: Wanted) -> CableChoice {
    choose_cable(&built_in().review, wanted).expect("a cable")
}

/// FAA AC 43.13-1B, p. 11-26, example 1: 50 ft, 28 V, 20 A for hours, 1 V may be
/// lost, return by structure. Between No. 8 (8.4 mm²) and No. 10 (5.3 mm²), so No. 8.
#[test]
fn the_wire_of_the_aircraft_example() {
    let choice = chosen(wanted(20.0, WayLength::ThereAndBack(Metres(50.0 * FOOT)), 28.0, 1.0 / 28.0));
    let short: Vec<f64> = choice.short.iter().map(|tried| tried.area.0).collect();
    assert_eq!((choice.cable.area.0, short.last()), (10.0, Some(&6.0)));
    assert_eq!(choice.short.last().and_then(|tried| tried.shortfall), Some(Shortfall::Drops));
    assert!(choice.fuse >= Amps(20.0) && choice.fuse <= choice.cable.carries, "{:?}", choice.fuse);
}

/// *Lessons In Electric Circuits* I, chapter 12, "Specific resistance": 25 A at 2300 ft
/// each way, 230 V of which 220 V must arrive. 2/0 (67 mm²) will do, 1/0 (53 mm²) will
/// not.
#[test]
fn the_wire_of_the_textbook_example() {
    let choice = chosen(wanted(25.0, WayLength::OneWay(Metres(2300.0 * FOOT)), 230.0, 10.0 / 230.0));
    assert_eq!(choice.cable.area.0, 70.0);
    assert_eq!(choice.short.last().map(|tried| tried.area.0), Some(50.0));
    // At most 0.2 Ω for each wire.
    assert!(choice.cable.ohms.0 <= 0.4, "{}", choice.cable.ohms);
}

/// 33 CFR 183.425, table 5: corners and middles of it, at the gauges themselves.
#[test]
fn what_a_cable_carries_by_the_regulation() {
    use Insulation::{Celsius60, Celsius75, Celsius80, Celsius90, Celsius105, Celsius125, Celsius200};
    for (gauge, insulation, printed) in [
        (18, Celsius60, 10.0),
        (18, Celsius200, 25.0),
        (14, Celsius80, 25.0),
        (12, Celsius90, 40.0),
        (10, Celsius75, 40.0),
        (8, Celsius75, 65.0),
        (6, Celsius125, 125.0),
        (2, Celsius105, 210.0),
        (0, Celsius60, 195.0),
        (-3, Celsius60, 300.0),
        (-3, Celsius200, 510.0),
    ] {
        let carries = allowable_alone(ConductorSize::Gauge(gauge).area(), insulation).0;
        assert!((carries / printed - 1.0).abs() < 1e-3, "{gauge} {insulation:?}: {carries} against {printed}");
    }
}

/// 33 CFR 183.425, note 1 of table 5 (from memory): what is left in an engine space
/// of 50 °C. Of 200 °C insulation it has 1.00; ours is lower there.
#[test]
fn what_an_engine_space_leaves() {
    let printed = [0.58, 0.75, 0.78, 0.82, 0.86, 0.89];
    for (insulation, printed) in Insulation::ALL.into_iter().zip(printed) {
        assert!((ambient_factor(insulation, Celsius(50.0)) - printed).abs() < 0.007, "{insulation:?}");
    }
    assert!(ambient_factor(Insulation::Celsius200, Celsius(50.0)) < 1.0);
    assert_eq!(ambient_factor(Insulation::Celsius60, Celsius(30.0)), 1.0);
}

/// ISO 10133, annex C (from memory): 0.0164 · A · m / mm². That is a rule for
/// choosing, and what flexible cable may have by IEC 60228 at 20 °C is a sixth to a
/// quarter more.
#[test]
fn the_drop_is_not_taken_for_less_than_the_small_craft_rule_has_it() {
    for (amps, metres) in [(10.0, 10.0), (3.0, 22.0), (40.0, 4.0)] {
        let choice = chosen(wanted(amps, WayLength::ThereAndBack(Metres(metres)), 12.0, ORDINARY_DROP));
        let rule = 0.0164 * amps * metres / choice.cable.area.0;
        let cold = choice.cable.drop.0 / temperature_factor(choice.cable.warms_to);
        assert!((1.15..1.25).contains(&(cold / rule)), "{cold} against {rule}");
    }
}

#[test]
fn watts_are_amperes_at_the_nominal_voltage_and_one_way_is_half_the_wire() {
    let way = |length| wanted(10.0, length, 12.0, CRITICAL_DROP);
    let amps = chosen(way(WayLength::ThereAndBack(Metres(6.0))));
    let watts = Wanted { demand: Demand::Watts(Watts(120.0)), ..way(WayLength::OneWay(Metres(3.0))) };
    assert_eq!(chosen(watts).cable, amps.cable);
}

#[test]
fn what_makes_no_sense_is_refused_and_what_is_too_much_says_so() {
    let refused = |wanted: Wanted| choose_cable(&built_in().review, wanted).expect_err("refused");
    let fine = wanted(10.0, WayLength::OneWay(Metres(3.0)), 12.0, ORDINARY_DROP);
    for wanted in [
        Wanted { demand: Demand::Amps(Amps(0.0)), ..fine },
        Wanted { demand: Demand::Amps(Amps(f64::NAN)), ..fine },
        Wanted { length: WayLength::OneWay(Metres(-1.0)), ..fine },
        Wanted { drop: 0.0, ..fine },
    ] {
        assert_eq!(refused(wanted), NoCable::Nothing);
    }
    let hot = Wanted { ambient: Celsius(60.0), insulation: Insulation::Celsius60, ..fine };
    assert!(matches!(refused(hot), NoCable::TooHot { .. }));
    assert!(matches!(refused(Wanted { demand: Demand::Amps(Amps(450.0)), ..fine }), NoCable::NoFuse { .. }));
    assert!(matches!(refused(Wanted { length: WayLength::OneWay(Metres(5e4)), ..fine }), NoCable::NoSize { .. }));
}

proptest! {
    /// Whatever is wanted: the fuse carries the load, the cable carries the fuse, the
    /// drop is kept, the size below does not do, and no hotter, longer or bundled cable is smaller.
    #[test]
    fn a_fuse_is_never_bigger_than_its_cable_can_carry(
        amps in 0.1..200.0, metres in 0.2..15.0, is_24 in any::<bool>(), critical in any::<bool>(),
        bundled in any::<bool>(), ambient in -20.0..58.0, insulation in prop::sample::select(&Insulation::ALL[..]),
    ) {
        let wanted = Wanted {
            laying: if bundled { Laying::Bundled } else { Laying::Single },
            ambient: Celsius(ambient),
            insulation,
            ..wanted(
                amps,
                WayLength::OneWay(Metres(metres)),
                if is_24 { 24.0 } else { 12.0 },
                if critical { CRITICAL_DROP } else { ORDINARY_DROP },
            )
        };
        let Ok(choice) = choose_cable(&built_in().review, wanted) else { return Ok(()) };
        prop_assert!(choice.fuse.0 > amps && RATINGS.contains(&choice.fuse.0));
        prop_assert!(choice.fuse <= choice.cable.carries && choice.cable.drop <= choice.limit);
        prop_assert!(choice.cable.warms_to.0 <= insulation.temperature().0);
        prop_assert!(choice.short.iter().all(|tried| tried.carries < choice.fuse || tried.drop > choice.limit));
        prop_assert!(choice.short.iter().all(|tried| tried.area.0 < choice.cable.area.0));
        let easier = Wanted { laying: Laying::Single, ambient: Celsius(ambient - 10.0), ..wanted };
        let shorter = Wanted { length: WayLength::OneWay(Metres(metres * 0.7)), ..wanted };
        for better in [easier, shorter] {
            let size = choose_cable(&built_in().review, better).map(|choice| choice.cable.area);
            prop_assert!(size.unwrap_or(SquareMillimetres(f64::MAX)).0 <= choice.cable.area.0);
        }
    }
}

/// The loads that each part takes down when it is out, each load running alone: by
/// solving the network without the part.
fn dark_by_solving(engine: &Engine, running: &[RunningLoad]) -> BTreeMap<PartId, BTreeSet<PartId>> {
    let vehicle = engine.vehicle();
    let mut dark: BTreeMap<PartId, BTreeSet<PartId>> = BTreeMap::new();
    for one in running {
        let (from, to) = vehicle.part(one.load).ends();
        let gets = |solution: &Solution| match solution.between(from.index(), to.index()) {
            Between::Volts(volts) => volts.0.abs(),
            Between::Floating => 0.0,
        };
        let sound = gets(one.model.solution());
        for part in
            vehicle.part_ids().filter(|&part| part != one.load && vehicle.part(part).kind.instrument().is_none())
        {
            let without = one.model.solution().with_law(part.index(), Law::Open).expect("solvable");
            if gets(&without) < engine.tables().spreads.runs_from * sound {
                dark.entry(part).or_default().insert(one.load);
            }
        }
    }
    dark
}

/// Every single part named takes down just the loads that are named with it, and no
/// part that is not named takes down loads of two circuits.
#[test]
fn a_single_part_taken_out_makes_the_named_loads_dead_and_no_others() {
    for sample in SAMPLES {
        let engine = engine(sample);
        let vehicle = engine.vehicle();
        let running = running_loads(engine.predictor()).expect("solvable");
        assert!(running.len() * 10 > vehicle.loads().count() * 8, "{sample}: only {} loads run", running.len());
        let by_solving = dark_by_solving(&engine, &running);
        let mut named = BTreeMap::new();
        for single in as_built(engine.predictor(), &[]).expect("solvable").single {
            let dark: BTreeSet<PartId> = single.dark.into_iter().collect();
            named.extend(single.parts.into_iter().map(|part| (part, dark.clone())));
        }
        let names = |parts: &BTreeSet<PartId>| parts.iter().map(|&part| &*vehicle.part(part).name).collect::<Vec<_>>();
        let circuit = |load: &PartId| running.iter().find(|one| one.load == *load).map(RunningLoad::circuit);
        let none = BTreeSet::new();
        let mut wrong = Vec::new();
        for part in vehicle.part_ids() {
            let solved = by_solving.get(&part).unwrap_or(&none);
            let circuits: BTreeSet<_> = solved.iter().map(circuit).collect();
            let said = named.get(&part).unwrap_or(&none);
            let expected = if circuits.len() > 1 { solved } else { &none };
            if said != expected {
                wrong.push(format!(
                    "{}: {:?} by solving, {:?} named",
                    vehicle.part(part).name,
                    names(solved),
                    names(said)
                ));
            }
        }
        assert!(named.len() >= 5, "{sample}: only {} single parts", named.len());
        assert!(wrong.is_empty(), "{sample}:\n{}", wrong.join("\n"));
    }
}

/// A small vehicle: a battery, and runs between `B+`, `P`, `N` and `B-`.
fn small(runs: &str) -> Rc<Vehicle> {
    let text = format!(
        r#"Vehicle(
    name: "small", nominal: 12, black: "B-",
    places: [
        Place(name: "box", minutes: 1, open: "open the box"),
        Place(name: "block", minutes: 1, open: "potted", probes: Never),
        Place(name: "roof", minutes: 30, open: "ladder and eight screws"),
    ],
    supplies: [Battery(name: "B", chemistry: LeadAcid, ah: 100, rest: 12.7, ohms: 0.005, at: "box")],
    buses: [Bus(name: "P", at: "box"), Bus(name: "N", at: "box")],
    runs: [
        {runs}
    ],
)"#
    );
    Rc::new(parse(SourceFile::new("small.ron".into(), text)).unwrap_or_else(|error| panic!("{error}")).vehicle)
}

fn reviewed(vehicle: &Rc<Vehicle>, uses: &[Use]) -> AsBuilt {
    let tables = Rc::new(built_in().clone());
    as_built(&Predictor::new(Rc::clone(vehicle), tables), uses).expect("solvable")
}

fn part(vehicle: &Vehicle, name: &str) -> PartId {
    vehicle.find_part(name).unwrap_or_else(|| panic!("no part {name}"))
}

/// A run of a load with its fuse.
fn lamp(number: usize, fuse: f64, amps: f64, metres: f64, square: f64) -> String {
    format!(
        r#"Run(name: "lamp {number}", from: "P", to: "N", at: "box", parts: [
            Fuse(name: "F{number}", amps: {fuse}), Cable(name: "W{number}", metres: {metres}, mm2: {square}),
            Load(name: "L{number}", label: "lamp {number}", kind: Heater, amps: {amps}), Cable(name: "R{number}", metres: {metres}, mm2: {square}),
        ]),
"#
    )
}

/// The battery's own runs.
const MAIN: &str = r#"Run(name: "main", from: "B+", to: "P", at: "box", parts: [Fuse(name: "F0", amps: 100, style: Bolted), Cable(name: "W0", metres: 0.5, mm2: 25)]),
        Run(name: "return", from: "N", to: "B-", at: "box", parts: [Cable(name: "R0", metres: 0.5, mm2: 25)]),
"#;

/// Ohm's law by hand: a short behind 2 × 12 m of 0.5 mm², 39 mΩ/m, is at least 0.93 Ω
/// and lets no more than 13.6 A through, which opens no 15 A fuse (135 %); behind
/// 2 × 2 m it lets some 70 A through.
#[test]
fn a_fuse_that_a_short_at_the_load_would_not_open_is_found() {
    let vehicle = small(&(MAIN.to_string() + &lamp(1, 15.0, 1.0, 12.0, 0.5) + &lamp(2, 15.0, 1.0, 2.0, 0.5)));
    let built = reviewed(&vehicle, &[]);
    let loads: Vec<PartId> = built.nothing_opens.iter().map(|one| one.load).collect();
    assert_eq!(loads, [part(&vehicle, "L1")]);
    let (fuse, amps) = built.nothing_opens[0].protection.expect("a fuse");
    assert!(fuse == part(&vehicle, "F1") && (10.0..15.0 * 1.35).contains(&amps.0), "{amps}");
}

/// Three circuits of 20 A through one return of 4 mm², which may carry 52 A alone.
#[test]
fn a_return_that_circuits_share_is_held_against_all_of_them_together() {
    let returns = r#"Run(name: "main", from: "B+", to: "P", at: "box", parts: [Fuse(name: "F0", amps: 60, style: Bolted), Cable(name: "W0", metres: 0.5, mm2: 16)]),
        Run(name: "return", from: "N", to: "B-", at: "box", parts: [Cable(name: "R0", metres: 0.5, mm2: 4)]),
"#;
    let two = small(&(returns.to_string() + &lamp(1, 30.0, 20.0, 1.0, 6.0) + &lamp(2, 30.0, 20.0, 1.0, 6.0)));
    let three = returns.to_string() + &(1..4).map(|number| lamp(number, 30.0, 20.0, 1.0, 6.0)).collect::<String>();
    let three = small(&three);
    let shared = |vehicle: &Rc<Vehicle>| {
        let built = reviewed(vehicle, &[]);
        let [shared] = &built.returns[..] else { panic!("{:?}", built.returns) };
        assert_eq!(shared.parts, [part(vehicle, "R0")]);
        (shared.circuits, shared.is_overloaded(), built.protection.len())
    };
    // F0, 60 A, keeps to four fifths with 40 A and not with 60 A.
    assert_eq!(shared(&two), (2, false, 0));
    assert_eq!(shared(&three), (3, true, 1));
}

#[test]
fn more_feeds_at_one_point_than_a_stud_takes_are_named() {
    let of = |count: usize| {
        small(&(MAIN.to_string() + &(1..=count).map(|n| lamp(n, 5.0, 1.0, 1.0, 1.5)).collect::<String>()))
    };
    assert!(reviewed(&of(4), &[]).feeds.is_empty());
    let vehicle = of(5);
    let [feeds] = &reviewed(&vehicle, &[]).feeds[..] else { panic!("one point") };
    assert_eq!((feeds.point, feeds.feeds.len(), feeds.circuits), (vehicle.find_point("P").expect("P"), 5, 5));
}

/// 100 Ah from full down to 40 % are 60 Ah: 12 hours of 5 A, 30 hours of it for 40 %
/// of the time; what is switched off draws nothing.
#[test]
fn hours_of_reserve_follow_the_stated_use() {
    let switched = r#"Run(name: "heater", from: "P", to: "N", at: "box", parts: [
            Fuse(name: "F9", amps: 10), Switch(name: "S9", style: Rocker), Cable(name: "W9", metres: 0.1, mm2: 25),
            Load(name: "L9", label: "heater", kind: Heater, amps: 5, behaves: ConstantCurrent), Cable(name: "R9", metres: 0.1, mm2: 25),
        ]),
"#;
    let vehicle = small(&(MAIN.to_string() + switched));
    let hours = |uses: &[Use]| reviewed(&vehicle, uses).reserve[0].hours;
    let load = part(&vehicle, "L9");
    assert_eq!(hours(&[]), None);
    for (share, expected) in [(1.0, 12.0), (0.4, 30.0)] {
        let hours = hours(&[Use { load, share }]).expect("it is drawn on");
        assert!((hours / expected - 1.0).abs() < 0.02, "{hours} against {expected}");
    }
}

fn tested(vehicle: &Vehicle, rehearsal: Rehearsal) -> Testability {
    let tables = Rc::new(built_in().clone());
    let predictor = Predictor::new(Rc::new(vehicle.clone()), Rc::clone(&tables));
    let running = running_loads(&predictor).expect("solvable");
    let faults = Faults::draw(vehicle, &tables, &running, rehearsal).expect("solvable");
    testability(&faults, || ()).expect("solvable")
}

/// The figures are those of the faults played, and hang on nothing but the seed.
#[test]
fn how_testable_a_board_is_hangs_on_the_seed_alone() {
    let board = crate::played::drawing("bench_board").vehicle;
    let rehearsal = Rehearsal { cases: 3, seed: 5, threads: 2 };
    let found = tested(&board, rehearsal);
    assert_eq!(found, tested(&board, Rehearsal { threads: 1, ..rehearsal }));
    assert_ne!(found, tested(&board, Rehearsal { seed: 6, ..rehearsal }));
    let weights: f64 = found.circuits.iter().map(|one| one.weight).sum();
    assert!((weights - 1.0).abs() < 1e-9 && found.circuits.len() >= 4, "{found:?}");
    let played: usize = found.circuits.iter().map(|one| one.minutes.of).sum();
    assert_eq!(played, found.played);
    for one in &found.circuits {
        assert!(one.minutes.of <= 3 && one.minutes.mean <= one.worst.0 && one.worst.0 > 0.0, "{one:?}");
    }
    let right: usize = found.circuits.iter().map(|one| one.right.hits).sum();
    assert!(right * 10 >= found.played * 8, "{right} of {}", found.played);
}

/// Two joints in a potted block: whatever is read, they look the same.
#[test]
fn parts_that_no_probe_gets_between_are_told_as_such() {
    let potted = r#"Run(name: "heater", from: "P", to: "N", at: "box", parts: [
            Fuse(name: "F9", amps: 10), Cable(name: "W9", metres: 1, mm2: 2.5),
            Joint(name: "J1", style: Splice, at: "block"), Joint(name: "J2", style: Splice, at: "block"),
            Cable(name: "W8", metres: 1, mm2: 2.5), Load(name: "L9", label: "heater", kind: Heater, amps: 5),
            Cable(name: "R9", metres: 1, mm2: 2.5),
        ]),
"#;
    let vehicle = small(&(MAIN.to_string() + potted));
    let found = tested(&vehicle, Rehearsal { cases: 40, seed: 1, threads: 2 });
    let joints = [part(&vehicle, "J1"), part(&vehicle, "J2")];
    let with_joints = found.inseparable.iter().find(|set| joints.iter().all(|joint| set.parts.contains(joint)));
    let set = with_joints.unwrap_or_else(|| panic!("{:?}", found.inseparable));
    assert_eq!(set.why, Inseparability::NoWayIn);
    assert!(found.circuits.iter().any(|one| one.one_part.hits < one.one_part.of), "{found:?}");
}

/// A cable of 1.5 mm² becomes one of 2.5 mm²: its volts go with IEC 60228's 13.3 and
/// 7.98 mΩ/m. A fuse becomes a bigger one, a joint comes between, a load goes.
#[test]
fn what_a_revision_changes_is_told_by_name_and_for_each_load() {
    let predictor = |vehicle: Rc<Vehicle>| Predictor::new(vehicle, Rc::new(built_in().clone()));
    let old =
        MAIN.to_string() + &lamp(1, 5.0, 3.0, 5.0, 1.5) + &lamp(2, 5.0, 1.0, 1.0, 1.5) + &lamp(3, 5.0, 1.0, 1.0, 1.5);
    let thicker = lamp(1, 7.5, 3.0, 5.0, 2.5);
    let joined = lamp(2, 5.0, 1.0, 1.0, 1.5)
        .replace(r#"Load(name: "L2""#, r#"Joint(name: "J2", style: Screw), Load(name: "L2""#);
    let new = MAIN.to_string() + &thicker + &joined;
    let [old, new] = [old, new].map(|runs| predictor(small(&runs)));
    let same = compare(&old, &old).expect("solvable");
    assert!(
        same.added.is_empty() && same.gone.is_empty() && same.changed.is_empty() && same.loads.is_empty(),
        "{same:?}"
    );

    let found = compare(&old, &new).expect("solvable");
    assert_eq!(found.added, ["J2"]);
    assert_eq!(found.gone, ["F3", "F3/in", "F3/out", "L3", "R3", "W3"]);
    let changes = |name: &str| {
        let changed = found.changed.iter().find(|one| one.name == name);
        changed.map_or(&[][..], |one| &one.changes)
    };
    let mm2 = |area| SquareMillimetres(area);
    assert_eq!(changes("W1"), [PartChange::Area(Revised { old: mm2(1.5), new: mm2(2.5) })]);
    assert_eq!(changes("F1"), [PartChange::Rating(Revised { old: Some(Amps(5.0)), new: Some(Amps(7.5)) })]);
    let names = |name: &str| BTreeSet::from([name.to_string()]);
    assert_eq!(changes("W2"), [PartChange::Meets(Revised { old: names("L2"), new: names("J2") })]);
    assert!(changes("F2").is_empty() && changes("W0").is_empty() && changes("F0").is_empty(), "{:?}", found.changed);

    let load = |name: &str| &found.loads.iter().find(|one| one.name == name).expect(name).figures;
    let [Revised { old: Some(was), new: Some(is) }, Revised { old: Some(_), new: None }] = [load("L1"), load("L3")]
    else {
        panic!("{:?}", found.loads)
    };
    assert_eq!((was.rating, is.rating), (Some(Amps(5.0)), Some(Amps(7.5))));
    let saved = 3.0 * 10.0 * (13.3e-3 - 7.98e-3);
    assert!(((was.drop.0 - is.drop.0) / saved - 1.0).abs() < 0.15, "{} to {}, {saved} by the table", was.drop, is.drop);
}

/// A circuit whose middle lies half an hour away: a test point beside the fuse is
/// proposed for it, its figures are those of playing the same faults on both vehicles,
/// and it saves what it says on faults of another seed.
#[test]
fn a_test_point_that_saves_a_climb_is_proposed_and_saves_it() {
    let far = r#"Run(name: "heater", from: "P", to: "N", at: "box", parts: [
            Fuse(name: "F9", amps: 10), Cable(name: "W9", metres: 4, mm2: 2.5),
            Joint(name: "J1", style: Splice, at: "roof"), Cable(name: "W7", metres: 4, mm2: 2.5),
            Joint(name: "J2", style: Splice, at: "roof"), Cable(name: "W8", metres: 1, mm2: 2.5),
            Load(name: "L9", label: "heater", kind: Heater, amps: 5, at: "roof"),
            Cable(name: "R9", metres: 8, mm2: 2.5),
        ]),
"#;
    let vehicle = small(&(MAIN.to_string() + far));
    let tables = Rc::new(built_in().clone());
    let running = running_loads(&Predictor::new(Rc::clone(&vehicle), Rc::clone(&tables))).expect("solvable");
    let draw = |seed| {
        let rehearsal = Rehearsal { cases: 20, seed, threads: 2 };
        Faults::draw(&vehicle, &tables, &running, rehearsal).expect("solvable")
    };
    let faults = draw(1);
    let found = testability(&faults, || ()).expect("solvable");
    let proposed = proposals(&tables.review, &faults, &running, &found).expect("solvable");
    let best = proposed.first().expect("a proposal");
    assert!(best.saved.mean > 0.0 && best.saved.of >= 20, "{best:?}");
    assert!((best.before.mean - best.after.mean - best.saved.mean).abs() < 1e-9, "{best:?}");
    let (ProposedChange::TestPoint { place, .. } | ProposedChange::MovedJoint { place, .. }) = best.change;
    assert_eq!(vehicle.place(place).name, "box");

    let changed = best.change.built_in(&vehicle);
    assert_eq!(changed.parts.len(), vehicle.parts.len());
    let others = draw(2);
    let pairs = others.paired(&changed, others.of(best.circuit).0).expect("solvable");
    let saved = pairs.iter().map(|(before, after)| before - after).sum::<f64>() / pairs.len() as f64;
    assert!(saved > 0.0 && saved > best.saved.mean - 3.0 * best.saved.half, "{saved} against {best:?}");
}
