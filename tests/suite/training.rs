//! The training room: marks that a teacher would give, and how four learners
//! come out whose lines stand in `tests/lessons/`.

use halfsplit::belief::{Sign, Site};
use halfsplit::files::{built_in_tables, sample};
use halfsplit::quantity::Measured;
use halfsplit::repl::LessonSession;
use halfsplit::tables::Tables;
use halfsplit::training::{
    Act, Attempt, Dial, Display, Function, Ground, Judgement, Leads, Learner, Lesson, LessonSeries, Loom, Marks,
    PlayedLesson, TakenLesson, Told, Unsafe, Why, class, course, curtain, debrief, example, lesson_file, marks, play,
    play_all, rows, yardstick,
};
use halfsplit::trial::{Look, Trouble, WrongKind, likeliest};
use halfsplit::vehicle::PartKind;
use halfsplit::words::document::on_screen;
use halfsplit::words::training::{class_csv, class_table, mistake};
use std::cell::RefCell;
use std::fs;
use std::path::Path;
use std::rc::Rc;

fn rates() -> Rc<Tables> {
    built_in_tables().unwrap_or_else(|error| panic!("{error}"))
}

pub fn of_course(number: usize) -> Rc<Lesson> {
    let course = course().unwrap_or_else(|error| panic!("{error}"));
    Rc::new(course[number - 1].lesson("samples/course.ron", rates()).unwrap_or_else(|error| panic!("{error}")))
}

fn acts(attempt: &Attempt) -> Vec<Act> {
    attempt.done().iter().map(|done| done.act.clone()).collect()
}

/// What acts lead to.
fn replay(lesson: Rc<Lesson>, acts: &[Act]) -> Attempt {
    let mut attempt = Attempt::new(lesson).unwrap_or_else(|error| panic!("{error}"));
    for act in acts {
        attempt.act(act.clone()).unwrap_or_else(|error| panic!("{error}"));
    }
    attempt
}

fn played(lessons: usize, threads: usize) -> (LessonSeries, Vec<PlayedLesson>) {
    let vehicle = sample("bench_board").expect("a sample").unwrap_or_else(|error| panic!("{error}")).vehicle;
    let series = LessonSeries { lessons, seed: 1, learners: Learner::ALL.to_vec(), wrong: WrongKind::OnePart, threads };
    let played = play_all(&vehicle, &rates(), &series, || {}).unwrap_or_else(|error| panic!("{error}"));
    (series, played)
}

#[test]
fn the_planner_gets_nearly_full_marks_and_who_has_not_learnt_gets_clearly_less() {
    let (series, played) = played(30, 2);
    let rows = rows(&series, &played);
    // A confirming reading costs it a mark or two now and then.
    assert!(rows[0].marks.mean > 98.0 && rows[0].passed.value() >= 0.95, "{:?}", rows[0]);
    for worse in &rows[1..] {
        assert!(worse.marks.mean + worse.marks.half < rows[0].marks.mean - 20.0, "{worse:?}");
        // Who probes at random and reasons, who walks and does not, who swaps.
        let behind = worse.behind.as_ref().expect("somebody is before it");
        assert!(behind.mean > behind.half, "{worse:?}");
    }
    assert_eq!(rows[3].passed.hits, 0, "{:?}", rows[3]);
}

#[test]
fn marks_do_not_depend_on_the_number_of_threads() {
    assert_eq!(played(5, 1).1, played(5, 3).1);
}

#[test]
fn marks_are_a_function_of_the_lesson_and_the_acts() {
    let lesson = of_course(5);
    let attempt = play(&lesson, Learner::Random, 0).unwrap_or_else(|error| panic!("{error}"));
    let first = marks(&attempt, yardstick(&lesson).expect("played")).expect("marked");
    let lesson = of_course(5);
    let again = replay(Rc::clone(&lesson), &acts(&attempt));
    assert_eq!(marks(&again, yardstick(&lesson).expect("played")).expect("marked"), first);
}

/// What a lesson of the course complains of is there to be seen, it says what
/// it is for, and whoever works as the planner does comes to the right end.
#[test]
fn every_lesson_of_the_course_can_be_learnt_from() {
    let course = course().unwrap_or_else(|error| panic!("{error}"));
    assert!(course.len() >= 12);
    let mut failed = Vec::new();
    for (index, written) in course.iter().enumerate() {
        assert!(
            !written.aim.is_empty() && !written.remember.is_empty() && !written.words.is_empty(),
            "{}",
            written.title
        );
        let lesson = of_course(index + 1);
        let hidden = &lesson.hidden;
        let is_load = matches!(lesson.vehicle().part(hidden.subject).kind, PartKind::Load { .. });
        if is_load && hidden.trouble != Trouble::Nothing {
            let looks = lesson.world().looks(&lesson.complaint_state(), hidden.subject).expect("solved");
            assert!(likeliest(&looks) != Look::Right, "{}: {looks:?}", written.title);
        }
        let attempt = play(&lesson, Learner::Planner, 0).unwrap_or_else(|error| panic!("{error}"));
        let marks = marks(&attempt, yardstick(&lesson).expect("played")).expect("marked");
        if marks.judgement != Judgement::Right || !marks.is_pass {
            let acts = attempt.done().iter().map(|done| format!("{:?} {:?}", done.act, done.told)).collect::<Vec<_>>();
            failed.push(format!("{}: {:?} {}\n{}", written.title, marks.judgement, marks.total, acts.join("\n")));
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n\n"));
}

/// The lesson about a drain can be solved by what it teaches.
#[test]
fn a_drain_shows_at_its_fuse_and_at_no_other() {
    let course = course().unwrap_or_else(|error| panic!("{error}"));
    let number = 1 + course.iter().position(|written| written.complaint == Sign::GoesFlat).expect("a drain");
    let lesson = of_course(number);
    let vehicle = lesson.vehicle();
    let mut attempt = Attempt::new(Rc::clone(&lesson)).unwrap_or_else(|error| panic!("{error}"));
    attempt.act(Act::Turn(Dial::of(Function::Clamp))).expect("turned");
    let mut amps = |name: &str| {
        let part = vehicle.find_part(name).expect("a fuse");
        match attempt.act(Act::Measure(Leads::Round(part), Loom::Still)).expect("measured").told {
            Told::Shown { display: Display::Value(Measured::Amps(amps)), .. } => amps.value.0,
            ref other => panic!("{other:?}"),
        }
    };
    assert!(amps("F14") > 1.0);
    assert!(amps("F7").abs() < 0.5 && amps("FC30").abs() < 0.5);
}

/// What the lines of a learner come to: the acts, as the prompt takes them, and
/// their marks.
fn taught(name: &str) -> (Attempt, Marks) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/lessons").join(name);
    let script = fs::read_to_string(path).expect("readable");
    let number = script.lines().find_map(|line| line.strip_prefix("lesson: ")).expect("a script names its lesson");
    let lesson = of_course(number.parse().expect("a number"));
    let attempt = Attempt::new(Rc::clone(&lesson)).unwrap_or_else(|error| panic!("{error}"));
    let yardstick = yardstick(&lesson).unwrap_or_else(|error| panic!("{error}"));
    let kept = Rc::new(RefCell::new(None));
    let keep = Rc::clone(&kept);
    let at_end = move |attempt: &mut Attempt, marks: &Marks| {
        *keep.borrow_mut() = Some((acts(attempt), marks.clone()));
        Ok(String::new())
    };
    let mut session = LessonSession::new(attempt, yardstick, Some(Box::new(at_end)));
    assert!(on_screen(&session.greeting(), 80).lines().all(|line| line.chars().count() <= 80));
    for typed in script.lines().filter_map(|line| line.strip_prefix("lesson> ")) {
        let text = session.handle(typed).text(80);
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    }
    let (acts, marks) = kept.take().expect("the lesson has ended");
    (replay(lesson, &acts), marks)
}

/// What was lost, and why.
fn lost(marks: &Marks, ground: Ground) -> Vec<&Why> {
    marks.reasons.iter().filter(|reason| reason.ground == ground && reason.lost > 0.0).map(|of| &of.why).collect()
}

/// Sees it, splits it, names it, mends it, proves it.
#[test]
fn who_has_learnt_it_gets_full_marks() {
    let (attempt, marks) = taught("perfect.txt");
    assert_eq!((marks.total, marks.is_pass, marks.judgement, marks.tests), (100.0, true, Judgement::Right, 1));
    let told = debrief(&attempt).expect("told");
    assert_eq!(told.len(), 1, "one test, one station");
    assert_eq!(told[0].better, None);
    let pin = attempt.lesson().vehicle().find_part("JA.2").expect("a pin");
    assert_eq!(told[0].left[0].0, Site::Part(pin));
}

/// Guesses, and is right.
#[test]
fn a_lucky_guess_is_no_pass() {
    let (attempt, marks) = taught("lucky.txt");
    assert!(marks.total < 50.0 && !marks.is_pass && marks.judgement == Judgement::Lucky, "{marks:?}");
    assert_eq!(lost(&marks, Ground::Conclusion), [&Why::Lucky]);
    assert_eq!(lost(&marks, Ground::FirstTest), [&Why::NoTest]);
    assert!(debrief(&attempt).expect("told").is_empty());
}

/// Measures with the lamp off, on too low a range, the same twice, buys a lamp,
/// and looks at nothing.
#[test]
fn carelessness_is_told_and_no_pass() {
    let (attempt, marks) = taught("careless.txt");
    assert!(marks.total < 50.0 && !marks.is_pass && marks.judgement == Judgement::Wrong, "{marks:?}");
    assert_eq!(lost(&marks, Ground::Complaint), [&Why::NotLooked]);
    assert!(lost(&marks, Ground::States).contains(&&Why::Void), "{marks:?}");
    assert!(lost(&marks, Ground::Economy).contains(&&Why::Known), "{marks:?}");
    let lamp = attempt.lesson().vehicle().find_part("lampA").expect("a lamp");
    assert!(lost(&marks, Ground::Repair).contains(&&Why::SoundPart(lamp)), "{marks:?}");
    assert_eq!(lost(&marks, Ground::Hints), [&Why::Hint]);
    let told = debrief(&attempt).expect("told");
    assert_eq!(told.len(), 6, "every test is told of");
    assert!(told.iter().any(|station| station.better.is_some()));
}

/// Ohms on a live circuit, an ammeter across the supply, a wire past the plug,
/// a part changed under current.
#[test]
fn what_is_unsafe_is_told_and_no_pass() {
    let (attempt, marks) = taught("unsafe.txt");
    assert!(!marks.is_pass && marks.judgement == Judgement::Right, "{marks:?}");
    assert_eq!(marks.got(Ground::Safety), 0.0);
    for what in [Unsafe::AmmeterAcross, Unsafe::Bridged, Unsafe::RenewedLive] {
        assert!(lost(&marks, Ground::Safety).contains(&&Why::Unsafe(what)), "{what:?}");
    }
    // What an ohmmeter shows on a live circuit is no reading.
    assert_eq!(attempt.case().standing().evidence.readings.len(), 1);
}

#[test]
fn a_teacher_s_lesson_is_the_same_behind_a_curtain() {
    let folder = std::env::temp_dir().join(format!("halfsplit-lesson-{}", std::process::id()));
    fs::create_dir_all(&folder).expect("a folder");
    let (open, hidden) = (folder.join("open.ron"), folder.join("hidden.lesson"));
    fs::write(&open, example()).expect("written");
    fs::write(&hidden, curtain::draw(example())).expect("written");
    let trouble = |path: &Path| {
        let path = path.to_string_lossy();
        let written = lesson_file(&path).unwrap_or_else(|error| panic!("{error}"));
        written.lesson(&path, rates()).unwrap_or_else(|error| panic!("{error}")).hidden.trouble
    };
    assert_eq!(trouble(&open), trouble(&hidden));
    let bad = |from: &str, to: &str| {
        fs::write(&open, example().replace(from, to)).expect("written");
        let path = open.to_string_lossy();
        match lesson_file(&path).map(|written| written.lesson(&path, rates())) {
            Ok(Err(error)) | Err(error) => error.to_string(),
            Ok(Ok(_)) => panic!("{to} was taken"),
        }
    };
    assert!(bad("\"JA.2\"", "\"JA.9\"").contains("no part is called `JA.9`; did you mean"));
    assert!(bad(", size: 2.2", "").contains("needs a `size`"));
    assert!(bad("seed: 7", "sed: 7").contains("line"));
    assert!(bad("bench_board", "bench_bord").contains("did you mean `bench_board`?"));
    fs::remove_dir_all(&folder).expect("removed");
}

#[test]
fn a_class_is_read_from_a_folder_and_what_cannot_be_read_is_told() {
    let folder = std::env::temp_dir().join(format!("halfsplit-class-{}", std::process::id()));
    fs::create_dir_all(&folder).expect("a folder");
    let lesson = of_course(5);
    let against = yardstick(&lesson).expect("played");
    for (learner, name) in [(Learner::Planner, "ann"), (Learner::Swap, "bob, junior")] {
        let attempt = play(&lesson, learner, 0).expect("played");
        let taken = TakenLesson::of(name, &lesson, &marks(&attempt, against).expect("marked"), mistake);
        fs::write(folder.join(format!("{}.marks", &name[..3])), taken.written()).expect("written");
    }
    fs::write(folder.join("torn.marks"), "TakenLesson(learner: \"eve").expect("written");
    let class = class(&folder).unwrap_or_else(|error| panic!("{error}"));
    let names: Vec<&str> = class.results.iter().map(|taken| taken.learner.as_str()).collect();
    assert_eq!(names, ["ann", "bob, junior"]);
    assert!(class.results[0].passed && !class.results[1].passed);
    let table = on_screen(&class_table(&class), 120);
    assert!(table.contains("sound part renewed") && table.contains("torn.marks"), "{table}");
    let csv = class_csv(&class);
    assert_eq!(csv.lines().count(), 3);
    assert!(csv.contains("\"bob, junior\""), "{csv}");
    fs::remove_dir_all(&folder).expect("removed");
}
