//! Numbers stand in tables, one row a value and its source. What is a constant
//! in the code says in its comment what it is from; a decimal amid the code says
//! it in a comment above, which holds to the end of the block that it stands in.

use std::fs;
use std::path::{Path, PathBuf};

/// What the comment of a constant can begin with.
const ORIGINS: [&str; 5] = [
    // Guards of the arithmetic and of memory: no belief hangs on them.
    "Numerical:",
    // Widths and lengths of what is written.
    "Layout:",
    // What a file, a unit or a type fixes.
    "Format:",
    // Streams of chance.
    "Seed:",
    // Published, with the place.
    "From:",
];

/// Types of which a constant is a number.
const NUMBERS: [&str; 18] = [
    "f64", "f32", "usize", "u8", "u16", "u32", "u64", "i32", "i64", "Volts", "Amps", "Ohms", "Siemens", "Watts",
    "Metres", "Minutes", "Celsius", "Duration",
];

/// Decimals that say nothing but none, half, one and two.
const PLAIN: [&str; 4] = ["0.0", "0.5", "1.0", "2.0"];

/// Drawings: every figure in them is a place on the sheet.
const DRAWINGS: [&str; 3] = ["words/document/drawing.rs", "words/report/chart.rs", "words/report/circuit.rs"];

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

/// Names of the numeric constants of a text that do not say what they are from.
fn silent(text: &str) -> Vec<String> {
    let text = text.split("#[cfg(test)]\nmod ").next().unwrap_or("");
    let mut silent = Vec::new();
    let mut comment: Vec<&str> = Vec::new();
    for line in text.lines() {
        let line = line.trim();
        if let Some(said) = line.strip_prefix("///") {
            comment.push(said.trim());
            continue;
        }
        if line.starts_with("#[") {
            continue;
        }
        let words: Vec<&str> = line.split_whitespace().collect();
        let keyword = words.iter().position(|&word| word == "const" || word == "static");
        let declared = keyword.filter(|&at| at == 0 || words[0].starts_with("pub")).and_then(|at| {
            let declared = words[at + 1..].join(" ");
            let (name, rest) = declared.split_once(": ")?;
            let kind = rest.split(" =").next()?;
            let mut parts = kind.split(|c: char| !c.is_alphanumeric() && c != '_');
            (!name.contains('(') && parts.any(|part| NUMBERS.contains(&part)) && !kind.contains("str"))
                .then(|| name.to_string())
        });
        if let Some(name) = declared {
            let says = comment.first().is_some_and(|first| ORIGINS.iter().any(|origin| first.starts_with(origin)));
            if !says {
                silent.push(name);
            }
        }
        comment.clear();
    }
    silent
}

/// A text with the inside of its literals blanked, line by line, each with its
/// comment apart.
fn code_and_comments(text: &str) -> Vec<(String, String)> {
    let mut lines = vec![(String::new(), String::new())];
    let mut letters = text.chars().peekable();
    let (mut in_text, mut in_comment) = (false, false);
    while let Some(letter) = letters.next() {
        if letter == '\n' {
            in_comment = false;
            lines.push((String::new(), String::new()));
            continue;
        }
        let Some((code, comment)) = lines.last_mut() else { break };
        match letter {
            _ if in_comment => comment.push(letter),
            '\\' if in_text => {
                if letters.next() == Some('\n') {
                    lines.push((String::new(), String::new()));
                }
            }
            '"' => {
                in_text = !in_text;
                code.push(letter);
            }
            _ if in_text => {}
            // A letter, not a lifetime.
            '\'' => {
                let mut ahead = letters.clone();
                let first = ahead.next();
                if first == Some('\\') || ahead.next() == Some('\'') {
                    letters.next();
                    let end = if first == Some('\\') { 2 } else { 1 };
                    letters.nth(end - 1);
                }
            }
            '/' if letters.peek() == Some(&'/') => {
                in_comment = true;
                letters.next();
            }
            _ => code.push(letter),
        }
    }
    lines
}

/// The decimals of a line: digits with a point or an exponent.
fn decimals(code: &str) -> Vec<&str> {
    let is_part = |c: char| c.is_alphanumeric() || c == '_' || c == '.';
    let mut found = Vec::new();
    let mut start = None;
    let mut before = ' ';
    for (at, letter) in code.char_indices().chain([(code.len(), ' ')]) {
        let is_sign =
            matches!(letter, '-' | '+') && before == 'e' && start.is_some_and(|from| is_number(&code[from..at]));
        match (start, is_part(letter) || is_sign) {
            (None, true) => start = Some(at),
            (Some(from), false) => {
                found.push(&code[from..at]);
                start = None;
            }
            _ => {}
        }
        before = letter;
    }
    let is_decimal = |word: &&str| is_number(word) && (word.contains('.') || has_exponent(word));
    // A range of whole numbers has two points, a method of one a name behind it.
    let parts = found.into_iter().flat_map(|word| word.split("..")).map(|word| match word.split_once('.') {
        Some((whole, rest)) if !rest.starts_with(|c: char| c.is_ascii_digit()) => whole,
        _ => word,
    });
    parts.filter(is_decimal).map(|word| word.trim_end_matches("f64").trim_end_matches('_')).collect()
}

fn is_number(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit())
}

/// Whether a number goes on as `1e3` or `1e-9`, not as `0xe` or `1usize`.
fn has_exponent(word: &str) -> bool {
    let power = word.split_once('e').filter(|(digits, _)| digits.chars().all(|c| c.is_ascii_digit() || c == '_'));
    power.is_some_and(|(_, power)| power.starts_with(|c: char| c.is_ascii_digit() || c == '-' || c == '+'))
}

/// Decimals amid the code that nothing above them says the origin of.
fn unexplained(text: &str) -> Vec<String> {
    let text = text.split("#[cfg(test)]\nmod ").next().unwrap_or("");
    let mut unexplained = Vec::new();
    let (mut in_constant, mut covered_from) = (false, None);
    for (code, comment) in code_and_comments(text) {
        let says = ORIGINS.iter().any(|origin| comment.trim_start().starts_with(origin));
        let indent = code.len() - code.trim_start().len();
        let line = code.trim();
        if covered_from.is_some_and(|from| indent < from && !line.is_empty()) {
            covered_from = None;
        }
        if says && line.is_empty() {
            covered_from = Some(indent);
        }
        let words: Vec<&str> = line.split_whitespace().collect();
        in_constant |= match words.iter().position(|&word| word == "const" || word == "static") {
            Some(at) => (at == 0 || words[0].starts_with("pub")) && words.get(at + 1) != Some(&"fn"),
            None => false,
        };
        if !in_constant && covered_from.is_none() && !says {
            let odd = decimals(line).into_iter().filter(|decimal| !PLAIN.contains(decimal));
            unexplained.extend(odd.map(|decimal| format!("{decimal} in `{line}`")));
        }
        in_constant &= !line.ends_with(';');
    }
    unexplained
}

/// The files of the program with their names.
fn files() -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&root, &mut files);
    files.sort();
    let named = files.into_iter().map(|path| {
        let name = path.strip_prefix(&root).expect("below src").to_string_lossy().into_owned();
        (name, fs::read_to_string(&path).expect("readable"))
    });
    named.filter(|(name, _)| !name.starts_with("tables/")).collect()
}

#[test]
fn every_number_in_the_code_says_what_it_is_from() {
    let mut wrong: Vec<String> = Vec::new();
    for (name, text) in files() {
        let silent = silent(&text);
        if !silent.is_empty() {
            wrong.push(format!("{name}: {silent:?} do not say what they are from: {ORIGINS:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_decimal_decides_anything_amid_the_code() {
    let looked_at = files().into_iter().filter(|(name, _)| {
        // The network is physics: its laws are written as they stand in a book.
        !name.starts_with("network/") && !DRAWINGS.contains(&name.as_str())
    });
    let wrong: Vec<String> = looked_at
        .flat_map(|(name, text)| unexplained(&text).into_iter().map(move |what| format!("{name}: {what}")))
        .collect();
    assert!(wrong.is_empty(), "a row of a table or a constant for each of\n{}", wrong.join("\n"));
}

#[test]
fn a_constant_without_its_origin_is_found() {
    assert_eq!(silent("/// How many.\nconst MOST: usize = 4;\n"), ["MOST"]);
    assert_eq!(silent("const ODD: (f64, f64) = (0.1, 0.05);\n"), ["ODD"]);
    assert_eq!(silent("impl X {\n    pub(super) const FEW: Ohms = Ohms(1.0);\n}\n"), ["FEW"]);
    assert!(silent("/// Numerical: so many rounds.\nconst MOST: usize = 4;\n").is_empty());
    assert!(silent("const WORDS: [&str; 2] = [\"a\", \"b\"];\nconst fn f(a: f64) {}\n").is_empty());
}

#[test]
fn a_decimal_without_its_origin_is_found() {
    let found = |text: &str| {
        unexplained(text).iter().map(|what| what.split(' ').next().unwrap_or("").to_string()).collect::<Vec<_>>()
    };
    assert_eq!(found("let far = 0.03 * near;\n"), ["0.03"]);
    assert_eq!(found("let far = near.max(1e-9) + 2.6f64;\n"), ["1e-9", "2.6"]);
    assert_eq!(found("(0.25..3.0).contains(&a)\n"), ["0.25", "3.0"]);
    assert!(found("let half = 0.5 * (1.0 + 2.0) - 0.0;\n").is_empty());
    assert!(found("const FAR: [f64; 2] =\n    [0.03, 7.5];\npub const X: f64 = 4.0;\n").is_empty());
    assert!(found("let said = \"12.5 V \\\"at\\\" 1e3\"; // 3.5 of them\n").is_empty());
    assert!(
        found("let a = 'x'; fn f<'a>(b: &'a str) {} for c in 0..12 { d.0.1 = pair.0 + 0usize + 0xE1 + 0xfe1 }\n")
            .is_empty()
    );
    let covered = "    {\n        // Layout: digits.\n        a(3.5);\n        {\n            b(4.5);\n        }\n    }\n    c(5.5);\n";
    assert_eq!(found(covered), ["5.5"]);
    assert!(found("let a = b.max(1e-9); // Numerical: no division by nought.\n").is_empty());
}
