//! The house: a room imports only rooms below it, and inside a room a file
//! imports only files that do not import it, by whatever way.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Rooms by floor; rooms of one floor do not meet, but for those at the bottom.
const FLOORS: [(&str, u8); 25] = [
    ("memo", 0),
    ("odds", 0),
    ("quantity", 0),
    ("source", 0),
    ("tables", 0),
    ("vehicle", 1),
    ("meter", 1),
    ("sketch", 2),
    ("files", 2),
    ("network", 2),
    ("fault", 3),
    ("predict", 4),
    ("complaint", 4),
    ("belief", 5),
    ("findings", 5),
    ("plan", 6),
    ("case", 7),
    ("trial", 8),
    ("review", 9),
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

/// A module, by the names on the way to it.
type Module = Vec<String>;

/// What a module says, without comments, texts and its tests.
struct Source {
    text: String,
    /// Names that it hands on from elsewhere.
    reexports: BTreeMap<String, Module>,
    /// Paths that it uses itself, from the root of the crate.
    uses: Vec<Module>,
}

pub fn files() -> Vec<(PathBuf, String)> {
    fn below(folder: &Path, found: &mut Vec<(PathBuf, String)>) {
        for entry in fs::read_dir(folder).expect("src") {
            let path = entry.expect("a file").path();
            if path.is_dir() {
                below(&path, found);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                let text = fs::read_to_string(&path).expect("readable");
                found.push((path, text));
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    below(&root, &mut found);
    assert!(found.len() > 40, "found only {} files", found.len());
    found.into_iter().map(|(path, text)| (path.strip_prefix(&root).expect("below src").to_path_buf(), text)).collect()
}

fn module_of(path: &Path) -> Module {
    let names = path.with_extension("").iter().map(|name| name.to_string_lossy().into_owned()).collect::<Vec<_>>();
    match names.split_last() {
        Some((last, rest)) if last == "mod" => rest.to_vec(),
        _ if names == ["lib"] => Vec::new(),
        _ => names,
    }
}

/// Without comments, the insides of texts, and the unit tests.
fn stripped(text: &str) -> String {
    let code = text.split("#[cfg(test)]\nmod ").next().unwrap_or_default();
    let mut out = String::new();
    for line in code.lines() {
        let mut in_text = false;
        let mut before = ' ';
        let mut letters = line.chars().peekable();
        while let Some(letter) = letters.next() {
            match letter {
                '"' if before != '\\' && before != '\'' => in_text = !in_text,
                '/' if !in_text && letters.peek() == Some(&'/') => break,
                _ if in_text => {}
                _ => out.push(letter),
            }
            before = letter;
        }
        out.push('\n');
    }
    out
}

/// The paths of a `use`, with braces written out; each with the name it gets.
fn spread(prefix: &[String], tree: &str, all: &mut Vec<(Module, String)>) {
    let mut depth = 0;
    let parts = tree.split(|letter| {
        depth += i32::from(letter == '{') - i32::from(letter == '}');
        letter == ',' && depth == 0
    });
    for part in parts.map(str::trim).filter(|part| !part.is_empty()) {
        let names = |path: &str| -> Module {
            path.split("::").map(str::trim).filter(|name| !name.is_empty()).map(str::to_string).collect()
        };
        match part.split_once('{') {
            Some((head, rest)) => {
                let prefix: Module = prefix.iter().cloned().chain(names(head)).collect();
                spread(&prefix, rest.rsplit_once('}').map_or(rest, |(inside, _)| inside), all);
            }
            None => {
                let (path, alias) = part.split_once(" as ").unwrap_or((part, ""));
                let path: Module = prefix.iter().cloned().chain(names(path)).collect();
                let own = path.last().cloned().unwrap_or_default();
                all.push((path, if alias.is_empty() { own } else { alias.trim().to_string() }));
            }
        }
    }
}

struct House {
    sources: BTreeMap<Module, Source>,
}

impl House {
    fn of(files: &[(PathBuf, String)]) -> Self {
        let blank = |text: &str| Source { text: stripped(text), reexports: BTreeMap::new(), uses: Vec::new() };
        let sources = files.iter().map(|(path, text)| (module_of(path), blank(text))).collect();
        let mut house = Self { sources };
        for module in house.sources.keys().cloned().collect::<Vec<_>>() {
            let (reexports, uses) = house.read(&module, &house.sources[&module].text);
            let source = house.sources.get_mut(&module).expect("known");
            (source.reexports, source.uses) = (reexports, uses);
        }
        house
    }

    fn read(&self, module: &Module, text: &str) -> (BTreeMap<String, Module>, Vec<Module>) {
        let (mut reexports, mut uses) = (BTreeMap::new(), Vec::new());
        let mut rest = String::new();
        for statement in text.split_inclusive(';') {
            let at = statement.rfind("use ").filter(|at| {
                statement[..*at].chars().next_back().is_none_or(|before| before.is_whitespace() || before == '}')
            });
            let Some(at) = at else {
                rest.push_str(statement);
                continue;
            };
            let line = statement[..at].rsplit('\n').next().unwrap_or_default();
            rest.push_str(&statement[..at]);
            let mut all = Vec::new();
            spread(&[], statement[at + 4..].trim_end_matches(';'), &mut all);
            for (path, name) in all {
                let Some(path) = self.rooted(module, &path) else { continue };
                if line.contains("pub") {
                    reexports.insert(name, path);
                } else {
                    uses.push(path);
                }
            }
        }
        let is_name = |letter: char| letter.is_alphanumeric() || letter == '_' || letter == ':';
        for word in rest.split(|letter| !is_name(letter)).filter(|word| word.contains("::")) {
            let path: Module = word.split("::").map(str::to_string).collect();
            uses.extend(self.rooted(module, &path));
        }
        (reexports, uses)
    }

    /// A path from the root of the crate; none if it leads out of it.
    fn rooted(&self, module: &Module, path: &[String]) -> Option<Module> {
        let ups = path.iter().take_while(|name| *name == "super").count();
        let below = |depth: usize, rest: &[String]| module[..depth].iter().chain(rest).cloned().collect::<Module>();
        match path.first().map(String::as_str)? {
            "crate" => Some(path[1..].to_vec()),
            "self" => Some(below(module.len(), &path[1..])),
            "super" => Some(below(module.len().checked_sub(ups)?, &path[ups..])),
            name => {
                let child = below(module.len(), &[name.to_string()]);
                self.sources.contains_key(&child).then(|| below(module.len(), path))
            }
        }
    }

    /// The module that defines what a path names, through whatever hands it on.
    fn home(&self, path: &[String], seen: &mut BTreeSet<Module>) -> Option<Module> {
        let depth = (0..=path.len()).rev().find(|&depth| self.sources.contains_key(&path[..depth]))?;
        let module = path[..depth].to_vec();
        let handed_on = path.get(depth).and_then(|name| self.sources[&module].reexports.get(name));
        match handed_on {
            Some(onward) if seen.insert(path.to_vec()) => {
                let onward: Module = onward.iter().chain(&path[depth + 1..]).cloned().collect();
                self.home(&onward, seen)
            }
            _ => Some(module),
        }
    }

    /// The modules that a module uses.
    fn used_by(&self, module: &Module) -> BTreeSet<Module> {
        let homes = self.sources[module].uses.iter().filter_map(|path| self.home(path, &mut BTreeSet::new()));
        homes.filter(|home| home != module && !home.is_empty()).collect()
    }
}

#[test]
fn no_arrow_points_up() {
    let house = House::of(&files());
    for (module, source) in house.sources.iter().filter(|(module, _)| !module.is_empty()) {
        for used in source.uses.iter().filter_map(|path| path.first()) {
            if !FLOORS.iter().any(|(name, _)| name == used) || *used == module[0] {
                continue;
            }
            let (from, to) = (floor(&module[0]), floor(used));
            assert!(to < from || to == 0, "{} uses {used}", module.join("/"));
        }
    }
}

/// Files too have an order: whoever reads one can begin below it.
#[test]
fn no_file_comes_back_to_itself() {
    let house = House::of(&files());
    let uses: BTreeMap<Module, BTreeSet<Module>> =
        house.sources.keys().map(|module| (module.clone(), house.used_by(module))).collect();
    // What uses nothing that is left, or is used by nothing that is left, goes in
    // no circle.
    let mut left: BTreeSet<&Module> = uses.keys().collect();
    loop {
        let is_free = |module: &&Module| {
            let used: BTreeSet<&Module> = left.iter().flat_map(|user| &uses[*user]).collect();
            uses[*module].iter().all(|used| !left.contains(used)) || !used.contains(module)
        };
        let free: Vec<&Module> = left.iter().copied().filter(is_free).collect();
        if free.is_empty() {
            break;
        }
        free.into_iter().for_each(|module| assert!(left.remove(module)));
    }
    let arrows: Vec<String> = left
        .iter()
        .flat_map(|module| uses[*module].iter().filter(|used| left.contains(used)).map(move |used| (module, used)))
        .map(|(module, used)| format!("{} uses {}", module.join("/"), used.join("/")))
        .collect();
    assert!(arrows.is_empty(), "in circles:\n{}", arrows.join("\n"));
}

/// The reader of arrows sees each way of writing one.
#[test]
fn every_way_to_write_an_arrow_is_seen() {
    let file = |path: &str, text: &str| (PathBuf::from(path), text.to_string());
    let house = House::of(&[
        file("lib.rs", "pub mod a;\npub mod b;"),
        file("a/mod.rs", "mod one;\nmod two;\npub use one::{First, deep::Second as Third};"),
        file("a/one.rs", "use super::two::Two; // use crate::b::B;\nconst WORD: &str = \"crate::b::B\";"),
        file("a/two.rs", "fn two() { super::one::first(); }"),
        file("b.rs", "use crate::{\n    a::First,\n};\nuse std::fmt;"),
    ]);
    let used = |module: &[&str]| -> Vec<String> {
        let module: Module = module.iter().map(|name| name.to_string()).collect();
        house.used_by(&module).iter().map(|used| used.join("/")).collect()
    };
    assert_eq!(used(&["a", "one"]), ["a/two"]);
    assert_eq!(used(&["a", "two"]), ["a/one"]);
    assert_eq!(used(&["b"]), ["a/one"]);
    assert!(used(&["a"]).is_empty());
}

/// One word for one thing: a name stands for one type.
#[test]
fn no_name_stands_for_two_types() {
    let mut homes: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (path, text) in files() {
        let declared = stripped(&text);
        for line in declared.lines().map(str::trim_start) {
            let words: Vec<&str> = line.split_whitespace().collect();
            let at = words.iter().position(|word| matches!(*word, "struct" | "enum" | "trait"));
            let Some(at) = at.filter(|&at| words[..at].iter().all(|word| word.starts_with("pub"))) else { continue };
            let name = words.get(at + 1).map_or("", |name| name);
            let name: String = name.chars().take_while(|letter| letter.is_alphanumeric()).collect();
            // What a macro makes has no name yet.
            if !name.is_empty() {
                homes.entry(name).or_default().push(path.display().to_string());
            }
        }
    }
    assert!(homes.len() > 300, "found only {} types", homes.len());
    let twice: Vec<_> = homes.iter().filter(|(_, homes)| homes.len() > 1).collect();
    assert!(twice.is_empty(), "{twice:?}");
}

/// Files that draw the truth of a case: what is wrong, how bad, what people see
/// and say of it, what instruments show.
fn draws_truth(module: &[String]) -> bool {
    let names: Vec<&str> = module.iter().map(String::as_str).collect();
    matches!(
        names[..],
        ["trial", "world", ..] | ["trial", "draw" | "complaint" | "conditions" | "trouble" | "threads" | "seed"]
    )
}

/// What such files know of what the engine supposes, arrow by arrow and field by
/// field.
fn supposed_by_the_engine(files: &[(PathBuf, String)]) -> Vec<String> {
    const ROOMS: [&str; 4] = ["belief", "plan", "case", "complaint"];
    const TABLES: [&str; 9] =
        ["faults", "signs", "spreads", "belief", "plan", "telling", "sketch", "proof", "training"];
    const FIELDS: [&str; 9] =
        ["faults", "signs", "spreads", "belief", "plan", "telling", "rates", "instruments", "engine"];
    const WORDS: [&str; 5] = ["Uncertain", "gain_deviation", "offset_deviation", "predictor", "sizes("];
    let house = House::of(files);
    let mut found = Vec::new();
    for module in house.sources.keys().filter(|module| draws_truth(module)) {
        let name = module.join("/");
        for home in house.used_by(module) {
            let names: Vec<&str> = home.iter().map(String::as_str).collect();
            let is_supposed = match names[..] {
                // How the leads lie is the question, not what is expected.
                ["predict", "probe"] => false,
                ["predict", ..] => true,
                ["fault", "size"] => true,
                ["tables", table] => TABLES.contains(&table),
                [room, ..] => ROOMS.contains(&room),
                [] => false,
            };
            if is_supposed {
                found.push(format!("{name} uses {}", home.join("/")));
            }
        }
        let text = &house.sources[module].text;
        for field in FIELDS {
            let is_field = |(at, _): (usize, &str)| {
                let rest = &text[at + 1 + field.len()..];
                !rest.starts_with(|next: char| next.is_alphanumeric() || next == '_' || next == '(')
            };
            if text.match_indices(&format!(".{field}")).any(is_field) {
                found.push(format!("{name} reads `.{field}`"));
            }
        }
        found.extend(WORDS.iter().filter(|word| text.contains(*word)).map(|word| format!("{name} says `{word}`")));
    }
    found
}

/// The trial is a trial only if its world is not the engine's.
#[test]
fn what_draws_the_truth_knows_nothing_of_what_the_engine_supposes() {
    let files = files();
    let drawing = files.iter().filter(|(path, _)| draws_truth(&module_of(path))).count();
    assert!(drawing >= 15, "only {drawing} files draw the truth");
    let found = supposed_by_the_engine(&files);
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn a_world_that_peeps_is_found() {
    let file = |path: &str, text: &str| (PathBuf::from(path), text.to_string());
    let with = |text: &str| {
        supposed_by_the_engine(&[
            file("lib.rs", "pub mod belief;\npub mod tables;\npub mod predict;\npub mod trial;"),
            file("belief/mod.rs", "pub struct Sign;"),
            file("tables/mod.rs", "pub mod signs;"),
            file("tables/signs.rs", "pub struct Signs;"),
            file("predict/mod.rs", "mod probe;\nmod uncertain;\npub use probe::Probe;\npub use uncertain::Deviations;"),
            file("predict/probe.rs", "pub struct Probe;"),
            file("predict/uncertain.rs", "pub struct Deviations;"),
            file("trial/mod.rs", "mod world;"),
            file("trial/world/mod.rs", text),
        ])
    };
    assert!(with("use crate::predict::Probe;\nfn one(of: &T) { of.world.x; trouble.faults(); }").is_empty());
    assert_eq!(with("use crate::belief::Sign;"), ["trial/world uses belief"]);
    assert_eq!(with("use crate::tables::signs::Signs;"), ["trial/world uses tables/signs"]);
    assert_eq!(with("use crate::predict::Deviations;"), ["trial/world uses predict/uncertain"]);
    assert_eq!(with("fn one(of: &T) { of.signs.lamp; }"), ["trial/world reads `.signs`"]);
}

/// The core never prints.
#[test]
fn only_main_and_the_prompt_write() {
    for (path, text) in files() {
        for word in ["println!", "eprintln!", "print!(", "dbg!"] {
            assert!(!text.contains(word), "{} prints", path.display());
        }
    }
}
