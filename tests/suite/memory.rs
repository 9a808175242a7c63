//! Memos move no answer, only when it comes.

use halfsplit::belief::Engine;
use halfsplit::case::Case;
use halfsplit::complaint::built_in_trees;
use halfsplit::files::{built_in_tables, parse_tables, sample};
use halfsplit::repl::{Session, Understanding};
use halfsplit::source::SourceFile;
use halfsplit::tables::Tables;
use halfsplit::tables::row::ParameterTable;
use serde_json::Value;
use std::rc::Rc;

/// A session on each sample: single faults, a repair that cured nothing, a path
/// that is not drawn, a fuse that blows, a record taken back.
const SESSIONS: [(&str, &[&str]); 3] = [
    (
        "bench_board",
        &["lampA is dim", "CB.out TA4 3.29", "TA1 12.90", "undo", "TA3 12.62", "fixed JA.1", "lampA is dim"],
    ),
    ("sprayer_truck", &["on S0", "blows F1", "lamp F1", "F1.out 1.539"]),
    ("clinic_van", &["dead fridge", "works oven", "FC1.b 12.90", "FC1.out 11.40", "fixed FC1/out", "proof"]),
];

/// The tables with room for nothing.
fn without_memos() -> Rc<Tables> {
    let built_in = built_in_tables().expect("good tables");
    let rows = built_in.memory.rows().into_iter().map(|row| format!("{}: (0, \"none\")", row.name));
    let text = format!("Memory({})", rows.collect::<Vec<_>>().join(", "));
    let tables = parse_tables(SourceFile::new("none.ron".into(), text)).unwrap_or_else(|error| panic!("{error}"));
    assert!(tables.memory.rows().iter().all(|row| row.value == "0"));
    tables
}

fn engine(name: &str, tables: Rc<Tables>) -> Rc<Engine> {
    let loaded = sample(name).expect("there is such a sample").unwrap_or_else(|error| panic!("{error}"));
    let trees = Rc::new(built_in_trees().unwrap_or_else(|error| panic!("{error}")));
    Rc::new(Engine::new(Rc::new(loaded.vehicle), tables).with_trees(trees))
}

/// All that is believed, to the last bit.
fn beliefs(session: &Session) -> String {
    let belief = &session.case().assessment().belief;
    let explanations: Vec<_> =
        belief.explanations.iter().map(|one| (one.hypothesis, one.probability, one.phase)).collect();
    format!("{explanations:?} {:?} {:?} {:?}", belief.suspects, belief.parts, belief.misread)
}

/// What a program is told after each line, and what is believed then.
fn played(engine: &Rc<Engine>, lines: &[&str]) -> Vec<Answer> {
    let file = SourceFile::new("van.ron".into(), String::new());
    let case = Case::new(Rc::clone(engine)).unwrap_or_else(|error| panic!("{error}"));
    let mut session = Session::new(case, file, Vec::new());
    let answers = lines.iter().map(|line| {
        let reply = session.handle(line);
        assert_eq!(reply.outcome, Understanding::Understood, "`{line}`: {}", reply.text(80));
        (reply.machine.expect("an object"), beliefs(&session))
    });
    answers.collect()
}

/// What a line brings about: the object and every belief, bit for bit.
type Answer = (Value, String);

#[track_caller]
fn assert_same(name: &str, lines: &[&str], (one, other): (&[Answer], &[Answer])) {
    assert_eq!((one.len(), other.len()), (lines.len(), lines.len()));
    for ((line, one), other) in lines.iter().zip(one).zip(other) {
        assert!(one == other, "{name}, `{line}`:\n{one:?}\n{other:?}");
    }
}

#[test]
fn with_nothing_held_every_answer_is_the_same() {
    for (name, lines) in SESSIONS {
        let plain = played(&engine(name, built_in_tables().expect("good tables")), lines);
        assert_same(name, lines, (&plain, &played(&engine(name, without_memos()), lines)));
    }
}

/// Whatever the engine has served before: the same lines in another order, with
/// another complaint first.
#[test]
fn an_engine_that_has_served_another_session_answers_as_a_fresh_one() {
    const OTHERS: [&[&str]; 3] = [
        &["lampA is dead", "TA3 12.62", "TA1 12.90", "fixed JA.1", "lampA is dim", "CB.out TA4 3.29"],
        &["on S0", "weak reel", "F1.out 24.87", "fixed F1", "blows F1", "lamp F1"],
        &["blows FC1", "fixed FC1", "dead fridge", "FC1.out 11.40", "FC1.b 12.90", "works oven"],
    ];
    for ((name, lines), other) in SESSIONS.into_iter().zip(OTHERS) {
        let tables = built_in_tables().expect("good tables");
        let fresh = played(&engine(name, Rc::clone(&tables)), lines);
        let used = engine(name, tables);
        played(&used, other);
        assert_same(name, lines, (&fresh, &played(&used, lines)));
        assert_same(name, lines, (&fresh, &played(&used, lines)));
    }
}
