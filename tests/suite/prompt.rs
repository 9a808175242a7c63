//! The prompt: its verbs and commands are closed lists, and what `help` says
//! comes from the vehicle at hand.

use halfsplit::belief::{Appearance, Engine, Sign};
use halfsplit::case::Case;
use halfsplit::complaint::built_in_trees;
use halfsplit::files::{SAMPLES, built_in_tables};
use halfsplit::repl::{Command, CommandError, Grammar, Session, Understanding, VERBS, parse};
use halfsplit::source::SourceFile;
use std::rc::Rc;

/// Wider than any line of help, so that none is broken.
const UNBROKEN: usize = 10_000;

fn sample(name: &str) -> String {
    let (_, text) = SAMPLES.iter().find(|(known, _)| *known == name).expect("a sample");
    text.to_string()
}

fn session(text: String) -> Session {
    let loaded =
        halfsplit::files::parse(SourceFile::new("van.ron".into(), text)).unwrap_or_else(|error| panic!("{error}"));
    let tables = built_in_tables().unwrap_or_else(|error| panic!("{error}"));
    let trees = Rc::new(built_in_trees().unwrap_or_else(|error| panic!("{error}")));
    let engine = Engine::new(Rc::new(loaded.vehicle), tables).with_trees(trees);
    Session::new(Case::new(engine).unwrap_or_else(|error| panic!("{error}")), loaded.file, loaded.warnings)
}

/// A load may be called like anything that stands in the text of help.
#[test]
fn help_advises_a_load_by_its_own_name() {
    let text = sample("clinic_van").replace("\"fridge\"", "\"S2pump\"");
    let mut session = session(text);
    let load = session.case().vehicle().find_part("S2pump").expect("the load");
    assert!(session.case().vehicle().loads().any(|one| one == load));
    let said = session.handle("help").text(UNBROKEN);
    assert!(said.contains("`S2pump is dead`"), "{said}");
    // What it advises is understood.
    let advised = session.handle("S2pump is dead");
    assert_eq!(advised.outcome, Understanding::Understood, "{}", advised.text(UNBROKEN));
}

/// A line for each command: a new one does not compile until it has a line, and
/// the line is not understood until it has a verb.
macro_rules! lines {
    ($($command:pat => $line:literal,)*) => {
        fn line_for(command: &Command) -> &'static str {
            match command { $($command => $line,)* }
        }
        const LINES: &[&str] = &[$($line,)*];
    };
}

lines! {
    Command::Enter(_) => "on SA",
    Command::EnterAll(_) => "BM 12.31 BA 4.2",
    Command::Heard { .. } => "complaint the fan is dead",
    Command::Undo => "undo",
    Command::Redo => "redo",
    Command::Next => "next",
    Command::Others => "others",
    Command::Why => "why",
    Command::Suspects => "suspects",
    Command::Segment => "segment",
    Command::Good => "good",
    Command::Sketch(_) => "sketch",
    Command::Save(_) => "save board.ron",
    Command::Trees => "trees",
    Command::Tree(_) => "tree dead",
    Command::Questions => "questions",
    Command::Helping => "phone",
    Command::NeverByPhone => "phone never",
    Command::Readings => "readings",
    Command::Proof => "proof",
    Command::What { .. } => "what TA5",
    Command::Expect { .. } => "expect TA5",
    Command::Trace(_) => "trace lampA",
    Command::Profile(_) => "profile lampA",
    Command::Part(_) => "part lampA",
    Command::State => "state",
    Command::Record => "record",
    Command::Report(_) => "report report.html",
    Command::Sheet { .. } => "sheet lampA sheet.html",
    Command::Handover(_) => "handover",
    Command::Walk(..) => "handover list walk.html",
    Command::Comeback(_) => "comeback past.html",
    Command::OpenCase { .. } => "case board",
    Command::WhichCase => "case",
    Command::CloseCase => "case off",
    Command::Cases => "cases",
    Command::List => "list",
    Command::Warnings => "warnings",
    Command::Help(_) => "help",
    Command::Leave => "leave",
    Command::Nothing => "# a remark",
}

#[test]
fn each_command_has_a_line() {
    let with_panel = format!("    instruments: [{}],\n    states: [", crate::panel::MONITOR.replace("BATTERY", "PSU"));
    let session = session(sample("bench_board").replacen("    states: [", &with_panel, 1));
    for line in LINES {
        let command = parse(line, session.case()).unwrap_or_else(|error| panic!("`{line}`: {error}"));
        assert_eq!(line_for(&command), *line, "{command:?}");
    }
}

/// What help shows of a verb begins with it, and is a line that is read: if not
/// as a command here and now, then for what it says of the vehicle, never for
/// its words.
#[test]
fn each_verb_has_an_example_that_can_be_typed() {
    let mut session = session(sample("clinic_van"));
    for verb in &VERBS {
        let help = session.handle(&format!("help {}", verb.word())).text(UNBROKEN);
        let first = help.lines().next().unwrap_or_default();
        let example = first.split("  ").next().unwrap_or_default().trim();
        // A reading may do without its verb.
        let begins = example.split(' ').next() == Some(verb.word());
        assert!(begins || verb.grammar == Grammar::Read, "{}: {help}", verb.word());
        assert!(help.contains(verb.does), "{}: {help}", verb.word());
        let wording = match parse(example, session.case()) {
            Ok(_) => None,
            Err(error @ (CommandError::Unknown { .. } | CommandError::NoSuch { .. })) => Some(error),
            Err(error @ (CommandError::TooMany { .. } | CommandError::WrongVerb { .. })) => Some(error),
            Err(_) => None,
        };
        assert_eq!(wording, None, "{example}");
    }
}

#[test]
fn no_two_verbs_share_a_word() {
    let mut words: Vec<&str> = VERBS.iter().flat_map(|verb| verb.words()).copied().collect();
    let count = words.len();
    words.sort_unstable();
    words.dedup();
    assert_eq!(words.len(), count);
}

/// The verb of each sign: a new one does not compile until it has one here, and
/// the word is not found until it stands in the vocabulary.
macro_rules! signs {
    ($($sign:pat => $word:literal,)*) => {
        fn verb_for(sign: Sign) -> &'static str {
            match sign { $($sign => $word,)* }
        }
        const SAYING: &[&str] = &[$($word,)*];
    };
}

signs! {
    Sign::Looks(Appearance::Dead) => "dead",
    Sign::Looks(Appearance::Weak) => "weak",
    Sign::Looks(Appearance::Works) => "works",
    Sign::StaysOn => "stays",
    Sign::Sometimes => "sometimes",
    Sign::BlowsFuse => "blows",
    Sign::GoesFlat => "flat",
    Sign::Uncharged => "uncharged",
    Sign::Glows => "glows",
    Sign::Clicks => "clicks",
    Sign::Silent => "silent",
    Sign::LooksWhole => "whole",
    Sign::LooksBlown => "blown",
    Sign::LampBright => "bright",
    Sign::LampDim => "dark",
    Sign::Gives => "gives",
    Sign::Idle => "idle",
    Sign::Hot => "hot",
    Sign::Cool => "cool",
    Sign::Green => "green",
    Sign::ChargesLittle => "undercharged",
    Sign::ComesBack | Sign::NoBetter => "reseated",
}

#[test]
fn each_sign_has_a_verb() {
    let says: Vec<(&str, Sign)> = VERBS.iter().filter_map(|verb| Some((verb.word(), verb.says()?))).collect();
    for (word, sign) in &says {
        assert_eq!(verb_for(*sign), *word);
    }
    for word in SAYING {
        assert!(says.iter().any(|(said, _)| said == word), "{word} is no verb");
    }
}
