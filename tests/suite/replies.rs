//! What is said to what is typed: a line alone goes with what is advised, or is
//! told what that is; what does not count is told why.

use crate::answers::{advice, assessment, belief, outcome, part, point};
use crate::played::{fresh, session};
use halfsplit::belief::{Sign, Site};
use halfsplit::case::proof::{CheckOutcome, What};
use halfsplit::case::{Case, Entry};
use halfsplit::complaint::Channel;
use halfsplit::plan::{Next, OutcomeSeen, Range, Sense, Test};
use halfsplit::predict::{Probe, Scale};
use halfsplit::repl::{Command, CommandError, Session, Understanding, parse};
use halfsplit::words::document::{Block, on_screen};
use halfsplit::words::{answer, next_test};

/// Wider than any line, so that none is broken.
const UNBROKEN: usize = 10_000;

fn typed(session: &mut Session, lines: &[&str]) -> String {
    let reply = |line: &&str| {
        let reply = session.handle(line);
        assert_eq!(reply.outcome, Understanding::Understood, "{line}: {}", reply.text(UNBROKEN));
        reply.text(UNBROKEN)
    };
    lines.iter().map(reply).last().unwrap_or_default()
}

/// The van, with this advised and nothing else known.
fn advised(test: Test, channel: Channel) -> Case {
    let mut case = fresh("clinic_van");
    case.add(Entry::Helping { channel }).expect("stands");
    let of = assessment(belief(&case, &[]), Next::Test(advice(test).into()));
    case.with_assessment(of)
}

fn sense(sense: Sense) -> Test {
    let case = fresh("clinic_van");
    let subject = match sense {
        Sense::Look => "fridge",
        Sense::Listen => "K3.coil",
        Sense::Fuse | Sense::Lamp => "FC1",
        Sense::Feel => "FC1/out",
        Sense::Source => "DCO",
    };
    Test::Sense { subject: part(&case, subject), sense }
}

fn question() -> Test {
    let case = fresh("clinic_van");
    let tree = case.trees().find("dead").expect("a tree");
    Test::Ask(case.trees().find_question(tree, "onset").expect("a question"))
}

/// What a line says of the part that the advised sense is of.
fn told(line: &str, case: &Case) -> Result<Sign, CommandError> {
    match parse(line, case)? {
        Command::Enter(Entry::Observe { sign, .. }) => Ok(sign),
        other => panic!("{line}: {other:?}"),
    }
}

#[test]
fn yes_and_no_answer_a_look_that_has_them() {
    let clear = [
        (Sense::Listen, Sign::Clicks, Sign::Silent),
        (Sense::Fuse, Sign::LooksWhole, Sign::LooksBlown),
        (Sense::Feel, Sign::Hot, Sign::Cool),
        (Sense::Source, Sign::Gives, Sign::Idle),
    ];
    for (of, yes, no) in clear {
        let case = advised(sense(of), Channel::OnSite);
        assert_eq!((told("yes", &case), told("No", &case)), (Ok(yes), Ok(no)), "{of:?}");
    }
    let look = advised(sense(Sense::Look), Channel::OnSite);
    assert_eq!(told("yes", &look), Ok(Sign::WORKS));
    assert!(matches!(told("no", &look), Err(CommandError::WhichOne { .. })), "dead and weak are both no");
    // By phone people are asked to choose between two things, which yes does not.
    for of in [Sense::Look, Sense::Fuse] {
        let case = advised(sense(of), Channel::ByPhone);
        for line in ["yes", "no"] {
            let Err(CommandError::WhichOne { of: words, .. }) = told(line, &case) else { panic!("{of:?}, {line}") };
            // What it says to say is understood.
            let said = words.split('`').skip(1).step_by(2).map(|word| told(word, &case));
            assert_eq!(said.collect::<Result<Vec<_>, _>>().as_deref(), Ok(of.outcomes()), "{words}");
        }
    }
}

#[test]
fn who_does_not_know_passes_over_a_look_or_a_question() {
    for test in [Sense::ALL.map(sense).to_vec(), vec![question()]].concat() {
        let case = advised(test, Channel::OnSite);
        let skipped = parse("skip", &case);
        assert_eq!(skipped, Ok(Command::Enter(Entry::Unwanted { test })));
        assert_eq!(parse("don't know", &case), skipped);
    }
}

/// In a hunt, with what has to be set for it.
#[test]
fn no_answers_the_listening_just_advised() {
    let mut session = session("sprayer_truck");
    typed(&mut session, &["dead reel"]);
    let Next::Test(advice) = &session.case().assessment().next else { panic!("a test") };
    let Test::Sense { subject, sense: Sense::Listen } = advice.test else { panic!("{:?}", advice.test) };
    typed(&mut session, &["no"]);
    let last = session.case().entries().last();
    assert_eq!(last.and_then(Entry::seen), Some((subject, Sign::Silent)));
}

/// By phone people answer in more words than one.
#[test]
fn an_answer_is_understood_however_it_is_said() {
    let mut session = session("sprayer_truck");
    typed(&mut session, &["dead reel"]);
    let said = |line: &str| parse(line, session.case()).unwrap_or_else(|error| panic!("{line}: {error}"));
    for (said_so, plain) in [
        ("I think so", "yes"),
        ("yep", "yes"),
        ("I don't think so", "no"),
        ("nope", "no"),
        ("dunno", "don't know"),
        ("I'm not sure", "don't know"),
    ] {
        assert_eq!(said(said_so), said(plain), "{said_so}");
    }
    let measuring = advised(
        Test::Measure(Probe::voltage(point(&fresh("clinic_van"), "FC1.out"), point(&fresh("clinic_van"), "B2-"))),
        Channel::ByPhone,
    );
    for line in ["it says about 12.4 volts", "about 12.4 V", "it shows 12.4"] {
        assert_eq!(parse(line, &measuring), parse("12.4 V", &measuring), "{line}");
    }
}

/// Nothing is taken for a misspelt name, and nothing changes.
#[test]
fn yes_and_no_to_anything_else_are_told_what_is_asked() {
    let case = fresh("clinic_van");
    let volts = Test::Measure(Probe::voltage(point(&case, "FC1.out"), point(&case, "B2-")));
    let measuring = advised(volts, Channel::OnSite);
    for line in ["yes", "no", "don't know"] {
        assert!(matches!(parse(line, &case), Err(CommandError::NothingAsked { .. })), "{line}");
        assert!(matches!(parse(line, &measuring), Err(CommandError::NoYesOrNo { .. })), "{line}");
    }
    // A question that has other answers.
    let asking = advised(question(), Channel::OnSite);
    let Err(CommandError::WhichOne { of, .. }) = parse("no", &asking) else { panic!("no such answer") };
    for word in of.split('`').skip(1).step_by(2) {
        assert!(matches!(parse(word, &asking), Ok(Command::Enter(Entry::Answer { .. }))), "{word}");
    }
    assert_eq!(parse("skip", &case), Err(CommandError::NothingToSkip));
}

/// It says what is advised instead, and its example is understood.
#[test]
fn a_value_alone_is_told_what_is_advised() {
    let case = fresh("clinic_van");
    let kinds = [("12.6", Scale::Volts), ("3.4A", Scale::Amps), ("92ohm", Scale::LogOhms)];
    for test in [Sense::ALL.map(sense).to_vec(), vec![question()]].concat() {
        let case = advised(test, Channel::OnSite);
        let name = match test {
            Test::Sense { subject, .. } => case.vehicle().part(subject).name.clone(),
            _ => "onset".to_string(),
        };
        for (value, scale) in kinds {
            let Err(CommandError::NoValueAdvised { advised, example }) = parse(value, &case) else {
                panic!("{test:?}, {value}")
            };
            assert!(advised.contains(&name), "{name}: {advised}");
            let Ok(Command::Enter(Entry::Read { probe, .. })) = parse(&example, &case) else { panic!("{example}") };
            assert_eq!(probe.scale(), scale, "{example}");
        }
    }
    let of = assessment(belief(&case, &[]), Next::ReadAgain { reading: 0 });
    let mut again = fresh("clinic_van");
    let measured = "12.6".parse().expect("a reading");
    let probe = Probe::voltage(point(&case, "FC1.out"), point(&case, "B2-"));
    again.add(Entry::Read { settings: vec![], probe, measured, symptom: Default::default() }).expect("stands");
    let again = again.with_assessment(of);
    let Err(CommandError::RetakeAdvised { number, .. }) = parse("12.7", &again) else { panic!("to be taken again") };
    assert_eq!(number, 1);
}

/// In another state than that in which the fault showed, what works proves
/// nothing; the answer says which state counts, and in it it does.
#[test]
fn what_does_not_count_for_a_proof_is_told_why() {
    let mut session = session("sprayer_truck");
    let said = typed(&mut session, &["dead reel", "fixed F6/out", "on S1", "works reel"]);
    let proof = session.case().proof().expect("solvable").expect("a repair");
    let state = &session.case().standing().state;
    let look = proof.checks.iter().find(|check| matches!(check.what, What::Shows { .. })).expect("a look");
    assert_eq!((look.outcome, look.in_other_state.as_ref()), (CheckOutcome::Open, Some(state)));
    assert!(said.contains("S1 on") && said.contains("S1 off"), "{said}");
    let said = typed(&mut session, &["off S1", "works reel"]);
    let proof = session.case().proof().expect("solvable").expect("a repair");
    let look = proof.checks.iter().find(|check| matches!(check.what, What::Shows { .. })).expect("a look");
    assert!(matches!(look.outcome, CheckOutcome::Passed(_)) && look.in_other_state.is_none(), "{look:?}");
    assert!(!said.contains("S1"), "{said}");
    // Of a reading the same.
    let Some((red, black)) = proof.next().and_then(|check| match check.what {
        What::Read { probe, .. } => probe.plain_voltage(),
        What::Shows { .. } => None,
    }) else {
        panic!("a reading")
    };
    let name = |point| session.case().vehicle().point(point).name().to_string();
    let line = format!("{} {} 0.030", name(red), name(black));
    let said = typed(&mut session, &["on S1", &line]);
    assert!(said.contains("S1 on") && said.contains("S1 off"), "{said}");
}

/// Where the planner parts no readings, no reading is said to mean anything: what
/// is believed already is no news.
#[test]
fn a_reading_that_is_not_parted_means_nothing_yet() {
    let case = fresh("clinic_van");
    let site = Site::Part(part(&case, "FC1"));
    let mut clamp = advice(Test::Measure(Probe::Current { part: part(&case, "B2") }));
    let amps = |low, high| Range { scale: Scale::Amps, low, high };
    clamp.sound = Some(amps(3.8, 5.8));
    let said = |case: Case, outcomes: &[(Range, f64)]| {
        let mut clamp = clamp.clone();
        clamp.outcomes = outcomes
            .iter()
            .map(|&(range, held)| outcome(OutcomeSeen::Reads(range), held, vec![(site, 0.97)]))
            .collect();
        let of = assessment(belief(&case, &[(site, 0.5)]), Next::Test(clamp.into()));
        on_screen(&next_test(&case.with_assessment(of)), UNBROKEN)
    };
    let parted = said(fresh("clinic_van"), &[(amps(0.0, 3.0), 0.6), (amps(4.0, 90.0), 0.4)]);
    assert_eq!(parted.matches("FC1").count(), 2, "{parted}");
    let whole = said(case, &[(amps(0.0, 90.0), 1.0)]);
    assert!(whole.contains("5.8") && !whole.contains("FC1"), "{whole}");
}

/// Before anything is read of a battery that goes flat no part is named as suspect;
/// the battery itself and a drain are weighed against each other.
#[test]
fn a_drain_is_not_laid_to_a_part_before_anything_is_read() {
    let mut session = session("clinic_van");
    typed(&mut session, &["flat B1"]);
    let named = |case: &Case| {
        let suspects = case.assessment().belief.suspects.iter().filter(|suspect| suspect.probability.value() > 0.05);
        let parts = suspects.flat_map(|suspect| suspect.site.parts()).filter(|&id| id != part(case, "B1"));
        let names: Vec<&str> = parts.map(|id| case.vehicle().part(id).name.as_str()).collect();
        assert!(!names.is_empty(), "nothing could be named");
        let paragraphs = answer(case).into_iter().filter_map(|block| match block {
            Block::Paragraph(text) => Some(text),
            _ => None,
        });
        paragraphs.filter(|text| text.starts_with("So far") && names.iter().any(|name| text.contains(name))).count()
    };
    assert_eq!(named(session.case()), 0);
    let may = session.case().may_empty().expect("nothing is read");
    assert_eq!(may.battery, part(session.case(), "B1"));
    assert!(may.drain > may.itself && may.itself > 0.05, "{may:?}");
    typed(&mut session, &["B1 5A"]);
    assert_eq!(session.case().may_empty(), None);
    assert!(named(session.case()) > 0);
}

/// What is not wanted is not advised again with something pulled for it.
#[test]
fn a_clamp_that_is_skipped_is_skipped() {
    let mut session = session("clinic_van");
    typed(&mut session, &["flat B2"]);
    let Next::Test(advice) = &session.case().assessment().next else { panic!("a test") };
    let test = advice.test;
    assert!(matches!(test, Test::Measure(Probe::Current { .. })), "{test:?}");
    typed(&mut session, &["skip"]);
    let assessment = session.case().assessment();
    let next = match &assessment.next {
        Next::Test(advice) => Some(advice.as_ref()),
        _ => None,
    };
    assert!(next.into_iter().chain(&assessment.others).all(|advice| advice.test != test), "{test:?}");
}

/// Text is made for whoever reads it: at a prompt by its width, for a program when
/// it is asked for.
#[test]
fn text_is_made_for_a_program_when_it_is_asked_for() {
    let mut session = session("bench_board");
    let reply = session.handle("dead lampA");
    let kept = reply.machine.as_ref().expect("how things stand");
    assert!(kept.get("text").is_none() && kept.get("next").is_some(), "{kept}");
    let given = reply.for_program().expect("an object");
    assert_eq!(given["text"].as_str(), Some(reply.text(80).as_str()));
    assert_eq!(given["next"], kept["next"]);
    let refused = session.handle("dead lmapA").for_program().expect("an object");
    assert!(refused.get("text").is_none() && refused["error"].is_string(), "{refused}");
    assert_eq!(session.handle("").for_program(), None);
}

/// What runs, well or weakly, has its relay pulled in: nobody is sent to listen to it.
#[test]
fn a_relay_of_what_runs_is_not_listened_to() {
    for (sample, load, coil) in [("clinic_van", "lamp", "K2.coil"), ("bench_board", "fan", "KB.coil")] {
        let mut session = session(sample);
        typed(&mut session, &[&format!("weak {load}")]);
        let coil = part(session.case(), coil);
        for _ in 0..20 {
            let Next::Test(advice) = &session.case().assessment().next else { break };
            assert_ne!(advice.test, Test::Sense { subject: coil, sense: Sense::Listen }, "{sample}");
            typed(&mut session, &["skip"]);
        }
        let mut dead = crate::played::session(sample);
        typed(&mut dead, &[&format!("dead {load}")]);
        let listens = |case: &Case| {
            let tests = case.assessment().others.iter().map(|advice| advice.test);
            let next = if let Next::Test(advice) = &case.assessment().next { Some(advice.test) } else { None };
            tests.chain(next).any(|test| test == Test::Sense { subject: coil, sense: Sense::Listen })
        };
        assert!(listens(dead.case()), "{sample}: of a dead load it is worth listening");
    }
}
