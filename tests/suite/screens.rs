//! Screens: the wording itself, `tests/screens/`, of lines whose answer hangs on
//! no tuning.
//!
//! A file has `sample: NAME` and then the lines that are typed, after
//! `halfsplit> `, or after `quietly> ` where the answer is not the matter. What
//! the screen shows is a snapshot; `INSTA_UPDATE=always cargo test` takes all
//! snapshots anew, to be read before they are committed.

use crate::stories::{Folder, session};
use halfsplit::words::document::on_screen;

const PROMPT: &str = "halfsplit> ";
const QUIET: &str = "quietly> ";
const WIDTH: usize = 80;

/// The screen for what is typed.
fn shown(sample: &str, typed: &str) -> String {
    let folder = Folder::new();
    let mut session = session(sample, &folder);
    let mut screen = vec![on_screen(&session.greeting(), WIDTH)];
    for line in typed.lines() {
        if let Some(line) = line.strip_prefix(QUIET) {
            session.handle(line);
        } else if let Some(typed) = line.strip_prefix(PROMPT) {
            screen.push(line.to_string());
            screen.push(session.handle(typed).text(WIDTH));
        }
    }
    screen.retain(|text| !text.is_empty());
    screen.join("\n")
}

#[test]
fn screens_are_as_they_were() {
    insta::glob!("../screens", "*.txt", |path| {
        let script = std::fs::read_to_string(path).expect("readable");
        let sample = script.lines().find_map(|line| line.strip_prefix("sample: ")).expect("a sample");
        let screen = shown(sample, &script);
        assert!(screen.lines().all(|line| line.starts_with(PROMPT) || line.chars().count() <= WIDTH), "{screen}");
        insta::assert_snapshot!(screen);
    });
}

/// The session in the README is what its lines really bring about.
#[test]
fn the_readme_shows_a_real_session() {
    let readme = include_str!("../../README.md");
    let from = readme.find("Hollow Creek Vets, van 3").expect("a session");
    let session = &readme[from..];
    let session = &session[..session.find("```").expect("its end")];
    let screen = shown("clinic_van", session);
    assert_eq!(session.trim_end(), screen, "README.md shows another session; the real one is:\n{screen}");
}
