//! The format of a vehicle file in words.

use super::document::Block;
use crate::files::reference::{EntryKind, Key, KeyTakes, kinds};
use crate::source::nearest;

/// What a file can hold: all of it, or what goes by a word: a kind of entry, a key,
/// a choice.
///
/// # Errors
/// What to ask for instead.
pub fn reference(word: Option<&str>) -> Result<Vec<Block>, String> {
    let Some(word) = word else {
        let lead = Block::paragraph(
            "A vehicle file is `Vehicle( … )`: keys with their values, commas between them, `//` before a remark. Kinds of entries stand below with where they go, one from a sample, and their keys; `*` marks a key that has to be there.",
        );
        return Ok([lead].into_iter().chain(kinds().iter().flat_map(kind_told)).collect());
    };
    let same = |other: &str| other.eq_ignore_ascii_case(word);
    let told: Vec<Block> = kinds().iter().filter(|kind| same(kind.word)).flat_map(kind_told).collect();
    let with_key = |of: &'static EntryKind| of.keys.iter().filter(|key| same(key.name)).map(move |key| (of, key));
    let keyed: Vec<Vec<String>> = kinds().iter().flat_map(with_key).map(|(of, key)| row(of, key, of.word)).collect();
    let chosen = |of: &'static EntryKind| {
        let has = |key: &&Key| key.takes.choices().iter().any(|choice| same(choice));
        of.keys.iter().filter(has).map(move |key| row(of, key, of.word))
    };
    let chosen: Vec<Vec<String>> = kinds().iter().flat_map(chosen).collect();
    let table =
        |rows: Vec<Vec<String>>| (!rows.is_empty()).then(|| Block::table(&["in", "key", "takes", "what it is"], rows));
    let all: Vec<Block> = told.into_iter().chain(table(keyed)).chain(table(chosen)).collect();
    if !all.is_empty() {
        return Ok(all);
    }
    let known = || kinds().iter().flat_map(|kind| [kind.word].into_iter().chain(kind.keys.iter().map(|key| key.name)));
    let near = nearest(word, known()).map(|near| format!("; did you mean `{near}`?")).unwrap_or_default();
    Err(format!("no kind of entry, key or choice of a vehicle file is called `{word}`{near}"))
}

/// A kind with its keys.
fn kind_told(kind: &EntryKind) -> Vec<Block> {
    let places: Vec<String> = kind.stands_in().into_iter().map(|(of, key)| format!("`{key}` of `{of}`")).collect();
    let place = if places.is_empty() { "the whole file".to_string() } else { format!("in {}", places.join(", ")) };
    let does = kind.does();
    let head =
        if does.is_empty() { format!("{}: {place}.", kind.word) } else { format!("{}: {place}. {does}", kind.word) };
    let rows = kind.keys.iter().map(|key| row(kind, key, "")).map(|row| row[1..].to_vec());
    let example = (!places.is_empty()).then(|| Block::Detail(kind.example()));
    let blocks = [Block::Paragraph(head)].into_iter().chain(example);
    blocks.chain([Block::table(&["key", "takes", "what it is"], rows)]).collect()
}

fn row(of: &EntryKind, key: &Key, word: &str) -> Vec<String> {
    let mark = if key.is_needed { "*" } else { "" };
    vec![word.to_string(), format!("{}{mark}", key.name), takes(key), key.does(of)]
}

fn takes(key: &Key) -> String {
    let default = key.default.map(|default| format!("; else {default}")).unwrap_or_default();
    match (&key.takes, key.bound()) {
        (_, Some(bound)) => format!("{} to {} {}", bound.least, bound.most, bound.unit).trim_end().to_string(),
        (takes, None) => said(takes) + &default,
    }
}

fn said(takes: &KeyTakes) -> String {
    match takes {
        KeyTakes::Number => "a number".to_string(),
        KeyTakes::Name => "a name in quotes".to_string(),
        KeyTakes::Text => "words in quotes".to_string(),
        KeyTakes::Choice(words) => words.join(", "),
        KeyTakes::Any => "an entry of any kind".to_string(),
        KeyTakes::Entry(kinds) if kinds.len() == 1 => format!("{}( … )", kinds[0]),
        KeyTakes::Entry(kinds) => format!("one of {}", kinds.join(", ")),
        KeyTakes::List(inner) => format!("a list [ … ]: {}", said(inner)),
    }
}

/// The words of the format, for an editor that is to know them.
pub fn reference_syntax() -> String {
    let mut keys: Vec<&str> = kinds().iter().flat_map(|kind| kind.keys.iter().map(|key| key.name)).collect();
    let mut choices: Vec<&str> =
        kinds().iter().flat_map(|kind| kind.keys.iter().flat_map(|key| key.takes.choices())).copied().collect();
    keys.sort_unstable();
    keys.dedup();
    choices.sort_unstable();
    choices.dedup();
    let words: Vec<&str> = kinds().iter().map(|kind| kind.word).collect();
    format!(
        "comment line: //\ncomment block: /* */ (may nest)\ntext: \" … \" on one line\nnumber: 12, 0.5, -3\nbrackets: ( ) round an entry, [ ] round a list\nkey: a word and `:`\nseparator: , (one after the last is allowed)\nentries: {}\nkeys: {}\nchoices: {}",
        words.join(" "),
        keys.join(" "),
        choices.join(" ")
    )
}
