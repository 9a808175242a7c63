//! The prompt: what `help` says comes from the vehicle at hand.

use halfsplit::belief::Engine;
use halfsplit::case::Case;
use halfsplit::complaint::built_in_trees;
use halfsplit::files::{SAMPLES, built_in_rates, parse};
use halfsplit::repl::Session;
use halfsplit::source::SourceFile;
use std::rc::Rc;

/// Wider than any line of help, so that none is broken.
const UNBROKEN: usize = 10_000;

fn session(text: String) -> Session {
    let loaded = parse(SourceFile { path: "van.ron".into(), text }).unwrap_or_else(|error| panic!("{error}"));
    let rates = built_in_rates().unwrap_or_else(|error| panic!("{error}"));
    let trees = Rc::new(built_in_trees().unwrap_or_else(|error| panic!("{error}")));
    let engine = Engine::new(Rc::new(loaded.vehicle), rates).with_trees(trees);
    Session::new(Case::new(engine).unwrap_or_else(|error| panic!("{error}")), loaded.file, loaded.warnings)
}

/// A load may be called like anything that stands in the text of help.
#[test]
fn help_advises_a_load_by_its_own_name() {
    let (_, text) = SAMPLES.iter().find(|(name, _)| *name == "clinic_van").expect("a sample");
    let text = text.replace("\"fridge\"", "\"S2pump\"");
    let mut session = session(text);
    let load = session.case().vehicle().find_part("S2pump").expect("the load");
    assert!(session.case().vehicle().loads().any(|one| one == load));
    let said = session.handle("help", UNBROKEN).text;
    assert!(said.contains("`S2pump is dead`"), "{said}");
    // What it advises is understood.
    let advised = session.handle("S2pump is dead", 80);
    assert_eq!(advised.outcome, halfsplit::repl::Outcome::Understood, "{}", advised.text);
}
