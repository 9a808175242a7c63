//! The wording of each paper and table: proofs, reasons, sheets, trials, marks,
//! of fixed values. How they come about is tested where they are made.

use crate::answers::{between, part, volts};
use crate::played::fresh;
use crate::tables::built_in;
use crate::training::of_course;
use halfsplit::belief::{Appearance, Sign, Site};
use halfsplit::case::proof::{BeyondProof, Check, CheckOutcome, Found, Proof, What};
use halfsplit::case::{Case, Entry, HuntStep};
use halfsplit::fault::{FailureMode, Fault};
use halfsplit::meter::MeterKind;
use halfsplit::plan::{Range, Test};
use halfsplit::predict::{Probe, Scale};
use halfsplit::quantity::Minutes;
use halfsplit::repl::LessonSession;
use halfsplit::sheet::{self, SheetBranch, TestSheet, Then, When};
use halfsplit::tables::practice::{DropLimit, Dropping, PRACTICE, drop_limit};
use halfsplit::training::{Attempt, Ground, Judgement, Marks, Reason, Unsafe, Why, Yardstick};
use halfsplit::trial::{
    self, Band, Calibration, CalibrationTable, Column, FailedCase, FailureKind, Hidden, Mean, Paired, PairedCase,
    PairedFigure, Policy, Report, Share, Trouble,
};
use halfsplit::vehicle::{Position, State};
use halfsplit::words::document::{Paper, on_screen};
use halfsplit::words::{self, proof, proof_stands, reasons};

const WIDTH: usize = 80;

/// A mended plug: see the pump work, and read the drop across the pin.
fn proof_with(case: &Case, seen: CheckOutcome, read: CheckOutcome) -> Proof {
    let vehicle = case.vehicle();
    let state = State::rest(vehicle).with(vehicle.find_control("S3").expect("a switch"), Position::On);
    let shows = vec![part(case, "J4.2")];
    let sees = What::Shows { subject: part(case, "pump"), sign: Sign::WORKS };
    let limit = Some(DropLimit { volts: drop_limit(Dropping::Connection), source: PRACTICE });
    let reads = What::Read { probe: between(case, "pump-", "J4.2.out"), band: volts(0.001, 0.055), limit };
    Proof {
        repaired: part(case, "J4.2"),
        checks: vec![
            Check { outcome: seen, ..Check::open(state.clone(), sees, shows.clone()) },
            Check { outcome: read, ..Check::open(state, reads, shows) },
        ],
        left: Vec::new(),
        unshown: vec![part(case, "W3r")],
        beyond: vec![
            BeyondProof::ComesAndGoes,
            BeyondProof::GoesFlat(part(case, "B2")),
            BeyondProof::Blows(part(case, "FC3")),
        ],
    }
}

/// Pending, passed and failed.
#[test]
fn proofs() {
    let case = fresh("clinic_van");
    let works = CheckOutcome::Passed(Found::Told(Sign::WORKS));
    let read = |value| Found::Read { scale: Scale::Volts, value };
    let pending = proof_with(&case, CheckOutcome::Open, CheckOutcome::Open);
    let passed = proof_with(&case, works, CheckOutcome::Passed(read(0.011)));
    let control = case.vehicle().find_control("S3").expect("a switch");
    let to_put_back = Proof { left: vec![(control, Position::On)], ..passed.clone() };
    let doubtful = proof_with(&case, works, CheckOutcome::Doubtful(read(0.062)));
    let failed = proof_with(
        &case,
        CheckOutcome::Failed(Found::Told(Sign::Looks(Appearance::Weak))),
        CheckOutcome::Failed(read(0.15)),
    );
    let mut elsewhere = pending.clone();
    elsewhere.checks[0].in_other_state = Some(State::rest(case.vehicle()));
    let mut blocks = [proof(&case, None), proof(&case, Some(&pending))].concat();
    blocks.extend([&elsewhere, &passed, &to_put_back, &doubtful, &failed].map(|of| proof_stands(&case, of)));
    blocks.extend(proof(&case, Some(&failed)));
    insta::assert_snapshot!(on_screen(&blocks, WIDTH));
}

/// What each entry did to the odds.
#[test]
fn why() {
    let mut case = fresh("bench_board");
    case.add(Entry::Note { text: "seen".into() }).expect("stands");
    case.add(Entry::Repaired { part: part(&case, "FA") }).expect("stands");
    let site = |name: &str| Site::Part(part(&case, name));
    let steps = vec![
        HuntStep { entry: 0, rose: vec![(site("JA.1"), 0.0, 0.14)], fell: vec![], in_question: (3, 3) },
        HuntStep {
            entry: 1,
            rose: vec![(site("JA.1"), 0.14, 0.996)],
            fell: vec![(Site::Nothing, 0.2, 0.001), (site("FA"), 0.3, 0.02)],
            in_question: (3, 1),
        },
    ];
    insta::assert_snapshot!(on_screen(&reasons(&case, &steps), WIDTH));
}

/// Two steps: one read, one seen; on to a step, to parts, to the tool.
#[test]
fn test_sheet() {
    let case = fresh("clinic_van");
    let reads = |from, below, is_sound| When::Reads { scale: Scale::Volts, from, below, is_sound };
    let found = |name: &str, share| (part(&case, name), share);
    let branch = |when, share, then| SheetBranch { when, share, then };
    let sense = Test::Sense { subject: part(&case, "FC1"), sense: halfsplit::plan::Sense::Fuse };
    let control = case.vehicle().find_control("S5").expect("a switch");
    let step = |test, sound, branches| sheet::SheetStep {
        settings: Vec::new(),
        test,
        opens: Vec::new(),
        minutes: Minutes(2.0),
        sound,
        branches,
    };
    let mut first = step(
        Test::Measure(between(&case, "FC1.out", "B2-")),
        Some(volts(12.46, 13.8)),
        vec![
            branch(reads(None, Some(3.0), false), 0.6, Then::Step(1)),
            branch(
                reads(Some(3.0), Some(11.7), false),
                0.1,
                Then::Parts(vec![found("FC1/out", 0.67), found("FC1", 0.33)]),
            ),
            branch(reads(Some(11.7), None, true), 0.3, Then::Tool(vec![found("fridge", 0.5)])),
        ],
    );
    first.settings = vec![(control, Position::On)];
    let second = step(
        sense,
        None,
        vec![
            branch(When::Signs(vec![Sign::LooksBlown]), 0.5, Then::Parts(vec![found("FC1", 1.0)])),
            branch(When::Signs(vec![Sign::LooksWhole]), 0.5, Then::Parts(vec![found("FC1/out", 0.96)])),
        ],
    );
    let lamp = step(
        Test::Measure(Probe::Current { part: part(&case, "FC1") }),
        Some(Range { scale: Scale::Amps, low: 3.0, high: 5.0 }),
        vec![branch(
            When::Reads { scale: Scale::Amps, from: Some(3.0), below: None, is_sound: true },
            1.0,
            Then::Tool(vec![]),
        )],
    );
    let share = |hits| Share { hits, of: 480 };
    let of = TestSheet {
        load: part(&case, "fridge"),
        settings: vec![(control, Position::On)],
        black: case.vehicle().black,
        meter: MeterKind::Cheap,
        steps: vec![first, second, lamp],
        figures: sheet::Figures {
            tests: 3.4,
            minutes: Minutes(6.0),
            first: share(461),
            among: share(466),
            tool: share(10),
        },
    };
    insta::assert_snapshot!(words::sheet(case.vehicle(), &of, Paper::Markdown));
}

#[test]
fn trial_tables() {
    let case = fresh("bench_board");
    let share = |hits| Share { hits, of: 200 };
    let mean = |mean| Mean { mean, half: 0.1 * mean.abs(), percentile_95: 2.0 * mean, of: 200 };
    let column = |policy| Column {
        policy,
        cases: 200,
        right: share(190),
        in_segment: share(196),
        segment: mean(1.2),
        tests: mean(4.0),
        minutes: mean(12.0),
        cleared: share(0),
        nothing_left: share(3),
        found: share(180),
        doubted: share(2),
        instrument_blamed: share(1),
        renewed: mean(0.1),
        utility: mean(0.99),
        ours_tests: Some((0.8, (0.75, 0.85))),
        ours_minutes: None,
    };
    let levels = vec![Calibration { level: 0.95, announced: 0.97, held: share(193) }];
    let bands = vec![Band { announced: (0.95, 0.99), held: share(190), cases: 120 }];
    let table = Some(CalibrationTable { levels, bands, error: 0.0123, error_interval: (0.01, 0.02) });
    let pairs =
        PairedFigure::ALL.map(|figure| PairedCase { figure, without: 4.0, with: 3.5, difference: mean(-0.5) }).to_vec();
    let kinds = [
        FailureKind::WrongFound,
        FailureKind::DrawingBlamed,
        FailureKind::SaidSound,
        FailureKind::WrongSet,
        FailureKind::NothingLeft,
        FailureKind::NothingAmiss,
        FailureKind::GaveUp,
        FailureKind::ClearedOnly,
    ];
    let hidden = Hidden {
        trouble: Trouble::One(Fault::new(part(&case, "JA.1"), FailureMode::HighResistance), 2.2),
        departure: None,
        blown: vec![part(&case, "FA")],
        subject: part(&case, "lampA"),
        sign: Sign::Looks(Appearance::Weak),
        beside: Vec::new(),
        settings: Vec::new(),
        is_mistaken: true,
    };
    let outcome = trial::CaseOutcome {
        seed: 7,
        hidden: Some(hidden),
        unnoticed: 0,
        restless: 0,
        alike: 0,
        played: Vec::new(),
        informed: None,
    };
    let of = Report {
        cases: 200,
        unnoticed: share(20),
        restless: share(1),
        alike: share(2),
        columns: Policy::ALL.into_iter().map(column).collect(),
        nothing_named: 0.9,
        at_end: table.clone(),
        at_every_answer: table.clone(),
        paired: Some(Paired { cases: 200, pairs, at_every_answer: table }),
        failures: kinds
            .map(|kind| FailedCase { seed: 7, case: 0, kind, is_mistaken: true, is_misread: false })
            .to_vec(),
    };
    insta::assert_snapshot!(on_screen(&words::trial::report(case.vehicle(), &of, &[outcome]), 120));
}

/// A lesson in which only one outcome is shown, and held against a yardstick
/// that is given.
#[test]
fn lesson() {
    let attempt = Attempt::new(of_course(5)).unwrap_or_else(|error| panic!("{error}"));
    let yardstick = Yardstick { tests: 3, minutes: 7.0 };
    let mut session = LessonSession::new(attempt, yardstick, None);
    let mut screen = vec![on_screen(&session.greeting(), WIDTH)];
    let typed = [
        "help",
        "on SA",
        "look lampA",
        "dial volts 2",
        "measure TA4",
        "measure TA9",
        "TA4 12.3",
        "next",
        "dial amps",
        "measure BP",
        "bridge TA5 E0",
        "measure JA.2 ohms",
        "measure across JA.2 volts",
        "it is JA.2",
        "replace JA.2",
        "look lampA",
        "measure across JA.2",
    ];
    for line in typed {
        screen.push(format!("lesson> {line}"));
        screen.push(session.handle(line).text(WIDTH));
    }
    insta::assert_snapshot!(screen.join("\n"));
}

/// Marks with every reason to lose some.
#[test]
fn marks_and_why_they_were_lost() {
    let attempt = Attempt::new(of_course(5)).unwrap_or_else(|error| panic!("{error}"));
    let fuse = attempt.lesson().vehicle().find_part("FA").expect("a fuse");
    let (from, to) = attempt.lesson().vehicle().part(fuse).ends();
    let probe = halfsplit::predict::Probe::voltage(from, to);
    let whys = [
        (Ground::Safety, Why::Unsafe(Unsafe::Bridged)),
        (Ground::Safety, Why::Unsafe(Unsafe::AmmeterAcross)),
        (Ground::Safety, Why::Unsafe(Unsafe::RenewedLive)),
        (Ground::Safety, Why::Unsafe(Unsafe::FuseAfterFuse)),
        (Ground::Complaint, Why::NotLooked),
        (Ground::FirstTest, Why::PoorFirst { bits: 0.2, best: 1.1 }),
        (Ground::FirstTest, Why::NoTest),
        (Ground::States, Why::Void),
        (Ground::Economy, Why::Known),
        (Ground::Conclusion, Why::NoConclusion),
        (Ground::Conclusion, Why::Wrong),
        (Ground::Conclusion, Why::Incomplete),
        (Ground::Conclusion, Why::Lucky),
        (Ground::Conclusion, Why::Scattered),
        (Ground::Economy, Why::TooManyTests { tests: 6, planner: 3 }),
        (Ground::Economy, Why::TooLong { minutes: 23.0, planner: 7.0 }),
        (Ground::Repair, Why::SoundPart(fuse)),
        (Ground::Repair, Why::NotRepaired),
        (Ground::Proof, Why::NotSeenWorking),
        (Ground::Proof, Why::NothingRead),
        (Ground::Proof, Why::NotShown { probe }),
        (Ground::Hints, Why::Hint),
    ];
    let reasons = whys.map(|(ground, why)| Reason { ground, why, lost: 2.0, act: None, at: Minutes(3.5) }).to_vec();
    let judgements = [Judgement::Right, Judgement::Lucky, Judgement::Wrong, Judgement::Missing];
    let said = judgements.map(|judgement| {
        let reasons = if judgement == Judgement::Missing { reasons.clone() } else { Vec::new() };
        let marks = Marks {
            total: 34.0,
            is_pass: judgement == Judgement::Right,
            judgement,
            full: Ground::ALL.iter().map(|&ground| (ground, ground.full(&built_in().training))).collect(),
            reasons,
            tests: 6,
            minutes: 22.9,
            cost: 85.0,
            yardstick: Yardstick { tests: 3, minutes: 7.0 },
        };
        on_screen(&words::training::marked(&attempt, &marks), WIDTH)
    });
    insta::assert_snapshot!(said.join("\n\n"));
}
