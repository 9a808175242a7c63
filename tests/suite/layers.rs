//! The house: a room imports only rooms below it.

use std::fs;
use std::path::{Path, PathBuf};

/// Rooms by floor; rooms of one floor do not meet, but for what is named.
const FLOORS: [(&str, u8); 22] = [
    ("memo", 0),
    ("quantity", 0),
    ("source", 0),
    ("tables", 0),
    ("vehicle", 1),
    ("sketch", 2),
    ("files", 2),
    ("network", 2),
    ("fault", 3),
    ("meter", 1),
    ("predict", 4),
    ("complaint", 4),
    ("belief", 5),
    ("plan", 6),
    ("case", 7),
    ("trial", 8),
    ("sheet", 9),
    ("training", 9),
    ("words", 10),
    ("repl", 11),
    ("main", 12),
    ("lib", 13),
];

fn floor(room: &str) -> u8 {
    FLOORS.iter().find(|(name, _)| *name == room).unwrap_or_else(|| panic!("room `{room}` has no floor")).1
}

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("src") {
        let path = entry.expect("a file").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
}

#[test]
fn no_arrow_points_up() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&root, &mut files);
    assert!(files.len() > 40, "found only {} files", files.len());
    for path in files {
        let relative = path.strip_prefix(&root).expect("below src");
        let room = relative.components().next().expect("a room").as_os_str().to_string_lossy().replace(".rs", "");
        let text = fs::read_to_string(&path).expect("readable");
        for (line, text) in text.lines().enumerate() {
            let uses = text
                .split("crate::")
                .skip(1)
                .filter_map(|rest| rest.split(|c: char| !c.is_alphanumeric() && c != '_').next());
            for used in uses.filter(|used| FLOORS.iter().any(|(name, _)| name == used)) {
                let (from, to) = (floor(&room), floor(used));
                let neighbours = used != room && from == to && from > 0;
                assert!(to <= from && !neighbours, "{}:{}: {room} uses {used}", relative.display(), line + 1);
            }
        }
    }
}

/// The core never prints.
#[test]
fn only_main_and_the_prompt_write() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&root, &mut files);
    for path in files {
        let text = fs::read_to_string(&path).expect("readable");
        for word in ["println!", "eprintln!", "print!(", "dbg!"] {
            assert!(!text.contains(word), "{} prints", path.display());
        }
    }
}
