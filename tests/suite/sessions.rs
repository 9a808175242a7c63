//! Sessions as readable scripts with the expected screen: `tests/sessions/`.
//!
//! A file starts with `sample: NAME` and, where it matters, `width: N`; lines
//! after `halfsplit> ` are typed, what follows is the screen. To write the
//! screens anew, look at the difference, and commit: HALFSPLIT_RECORD=1, or a
//! part of the names to record.

use crate::complaints::told_again;
use halfsplit::belief::Engine;
use halfsplit::case::Case;
use halfsplit::case::journal::{Clock, Shelf};
use halfsplit::complaint::built_in_trees;
use halfsplit::files::{built_in_tables, sample};
use halfsplit::predict::{Predictor, check_drops};
use halfsplit::repl::{Beginning, Session};
use std::fs;
use std::path::{Path, PathBuf};
use std::rc::Rc;

pub const PROMPT: &str = "halfsplit> ";

/// A folder for the cases of one script, empty at first.
pub struct Folder(std::path::PathBuf);

impl Folder {
    /// Of its own for every script.
    pub fn new() -> Self {
        static COUNT: std::sync::atomic::AtomicUsize = std::sync::atomic::AtomicUsize::new(0);
        let count = COUNT.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        Self(std::env::temp_dir().join(format!("halfsplit-session-{}-{count}", std::process::id())))
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// What stands after a key in the lines before the screen.
pub fn headers<'a>(script: &'a str, key: &'a str) -> impl Iterator<Item = &'a str> {
    let head = script.lines().take_while(|line| !line.trim().is_empty());
    head.filter_map(move |line| line.strip_prefix(key)).map(str::trim)
}

/// A session with the sample of a script.
pub fn session(script: &str, folder: &Folder) -> Session {
    let name = headers(script, "sample:").next().expect("a script names its sample");
    let loaded = sample(name).expect("a sample").unwrap_or_else(|error| panic!("{error}"));
    let vehicle = Rc::new(loaded.vehicle);
    let warnings = check_drops(&Predictor::new(Rc::clone(&vehicle), built_in_tables().expect("tables")));
    let rates = built_in_tables().unwrap_or_else(|error| panic!("{error}"));
    let trees = Rc::new(built_in_trees().unwrap_or_else(|error| panic!("{error}")));
    let case = Case::new(Engine::new(vehicle, rates).with_trees(trees)).unwrap_or_else(|error| panic!("{error}"));
    let clock = Clock::Standing("2026-11-25 10:12:00 +01:00".parse().expect("a moment"));
    let shelf = Shelf::new(folder.0.join("cases"), loaded.file.path.clone(), "ann".into(), clock);
    Session::new(case, loaded.file, warnings).with_shelf(shelf, Beginning::WhenTold)
}

/// The whole screen for what is typed in a script.
pub fn replay(script: &str) -> String {
    let width: usize = headers(script, "width:").next().map_or(80, |width| width.parse().expect("a width"));
    let folder = Folder::new();
    let mut session = session(script, &folder);
    let mut screen: Vec<String> = script
        .lines()
        .take_while(|line| !line.starts_with(PROMPT))
        .filter(|line| line.contains(": ") || line.starts_with('#'))
        .map(str::to_string)
        .collect();
    screen.truncate(script.lines().take_while(|line| !line.trim().is_empty()).count());
    screen.push(String::new());
    screen.push(session.greeting(width));
    for typed in script.lines().filter_map(|line| line.strip_prefix(PROMPT)) {
        screen.push(format!("{PROMPT}{typed}"));
        let reply = session.handle(typed, width);
        if !reply.text.is_empty() {
            screen.push(reply.text);
        }
    }
    screen.join("\n") + "\n"
}

/// The scripts; with HALFSPLIT_RECORD set to part of a name, those alone.
pub fn scripts() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/sessions");
    let part = std::env::var("HALFSPLIT_RECORD").ok().filter(|part| part != "1").unwrap_or_default();
    let entries = fs::read_dir(folder).expect("sessions").map(|entry| entry.expect("a file").path());
    let mut paths: Vec<_> =
        entries.filter(|path| path.file_name().is_some_and(|name| name.to_string_lossy().contains(&part))).collect();
    paths.sort();
    paths
}

#[test]
fn every_session_shows_the_expected_screen() {
    let record = std::env::var_os("HALFSPLIT_RECORD").is_some();
    let mut different = Vec::new();
    for path in scripts() {
        let expected = fs::read_to_string(&path).expect("readable");
        let screen = match record {
            true => replay(&told_again(&expected)),
            false => replay(&expected),
        };
        if screen != expected {
            if record {
                fs::write(&path, &screen).expect("writable");
            } else {
                let at = screen.lines().zip(expected.lines()).position(|(now, then)| now != then);
                let line = at.unwrap_or(0);
                let now = screen.lines().nth(line).unwrap_or("");
                different.push(format!(
                    "{} line {}:\n  expected {}\n  shown    {now}",
                    path.display(),
                    line + 1,
                    expected.lines().nth(line).unwrap_or("")
                ));
            }
        }
    }
    assert!(different.is_empty(), "{}", different.join("\n"));
}

#[test]
fn no_line_is_wider_than_the_screen() {
    for path in scripts() {
        let script = fs::read_to_string(&path).expect("readable");
        let width = script
            .lines()
            .find_map(|line| line.strip_prefix("width:"))
            .map_or(80, |width| width.trim().parse().expect("a width"));
        for line in replay(&script).lines().filter(|line| !line.starts_with(PROMPT) && !line.starts_with('#')) {
            assert!(line.chars().count() <= width, "{}: {line}", path.display());
        }
    }
}

/// The session shown in the README is one of these, word for word.
#[test]
fn the_readme_shows_a_real_session() {
    let readme = include_str!("../../README.md");
    let session = include_str!("../sessions/van_fridge_fuse_holder.txt");
    let from_greeting = session.split_once("\n\n").expect("a header").1;
    assert!(
        readme.contains(from_greeting.trim_end()),
        "the session in README.md is not tests/sessions/van_fridge_fuse_holder.txt"
    );
}
