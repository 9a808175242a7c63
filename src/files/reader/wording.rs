//! Slips inside an entry, in words for the person who wrote the file.

use crate::files::outline::lists::home;
use crate::source::nearest;
use crate::tables::limits::{BOUNDS, Bound};
use ron::Error;

/// Units people write, as multiples of the unit a key is in.
const UNITS: [(&str, &[(&str, f64)]); 10] = [
    ("m", &[("mm", 1e-3), ("cm", 1e-2), ("m", 1.0), ("km", 1e3), ("ft", 0.3048), ("in", 0.0254)]),
    ("mm²", &[("mm²", 1.0), ("mm2", 1.0), ("mm", 1.0), ("sqmm", 1.0), ("qmm", 1.0)]),
    ("gauge", &[("AWG", 1.0), ("awg", 1.0), ("ga", 1.0)]),
    (
        "Ω",
        &[
            ("mΩ", 1e-3),
            ("mohm", 1e-3),
            ("mOhm", 1e-3),
            ("Ω", 1.0),
            ("ohm", 1.0),
            ("ohms", 1.0),
            ("Ohm", 1.0),
            ("R", 1.0),
            ("k", 1e3),
            ("kΩ", 1e3),
            ("kohm", 1e3),
        ],
    ),
    ("A", &[("mA", 1e-3), ("A", 1.0), ("amp", 1.0), ("amps", 1.0)]),
    ("V", &[("mV", 1e-3), ("V", 1.0), ("v", 1.0), ("volt", 1.0), ("volts", 1.0)]),
    ("W", &[("W", 1.0), ("w", 1.0), ("kW", 1e3), ("watts", 1.0)]),
    ("min", &[("min", 1.0), ("m", 1.0), ("s", 1.0 / 60.0), ("sec", 1.0 / 60.0), ("h", 60.0)]),
    ("A·h", &[("Ah", 1.0), ("ah", 1.0), ("mAh", 1e-3)]),
    ("°C", &[("°C", 1.0), ("C", 1.0)]),
];

/// Layout: choices that a line of help can name.
const MOST_LISTED: usize = 24;

/// Where in an entry something is wrong.
pub struct Spot<'a> {
    /// The word the entry starts with.
    pub entry: &'a str,
    /// The key whose value is wrong; none for the entry itself.
    pub key: Option<&'a str>,
    /// That value as written.
    pub value: &'a str,
}

/// What is said about a slip.
pub struct Message {
    pub headline: String,
    pub label: &'static str,
    pub help: String,
}

impl Message {
    fn new(headline: String, label: &'static str, help: String) -> Self {
        Self { headline, label, help }
    }
}

/// How to write a number under a key, given what was written there.
pub fn bare_number(key: &str, written: &str) -> String {
    let unit = BOUNDS.iter().find(|bound| bound.key == key).map(|bound| bound.unit);
    let bare = written.trim_matches(['"', '“', '”', '\'']).trim().replace(',', ".");
    let digits = bare.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))).unwrap_or(bare.len());
    let (number, suffix) = (bare[..digits].parse::<f64>(), bare[digits..].trim());
    let scales = UNITS.iter().find(|row| Some(row.0) == unit).map_or(&[][..], |row| row.1);
    let scale = if suffix.is_empty() { Some(1.0) } else { scales.iter().find(|row| row.0 == suffix).map(|row| row.1) };
    match (number, scale, unit) {
        (Ok(number), Some(scale), Some(unit)) => {
            format!("write `{key}: {}`: the number alone, in {unit}", plain(number * scale))
        }
        (Ok(number), Some(scale), None) => format!("write `{key}: {}`", plain(number * scale)),
        (_, _, Some(unit)) => format!("write the number alone, in {unit}, without quotes"),
        (_, _, None) => "write the number alone, without a unit or quotes".to_string(),
    }
}

/// What to look at when a number is out of bounds: the usual slip, or the
/// number it would be if it was meant in thousandths.
pub fn out_of_bounds(bound: &Bound, value: f64) -> String {
    // Format: units that people write lengths, volts and amperes in.
    let smaller = match bound.unit {
        "m" if value < 1000.0 => ("cm", 1e-2),
        "m" => ("mm", 1e-3),
        "V" => ("mV", 1e-3),
        "A" => ("mA", 1e-3),
        _ => return bound.slip.to_string(),
    };
    let meant = value * smaller.1;
    if (bound.least..=bound.most).contains(&meant) {
        format!("{}; if {value} {} is meant, write `{}: {}`", bound.slip, smaller.0, bound.key, plain(meant))
    } else {
        bound.slip.to_string()
    }
}

/// A number without the dust of a multiplication.
fn plain(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// What a slip found while reading an entry means.
pub fn slip(error: &Error, spot: &Spot<'_>) -> Message {
    match error {
        Error::NoSuchEnumVariant { expected, found, .. } => unknown_choice(found, expected, spot),
        Error::NoSuchStructField { expected, found, .. } => unknown_key(spot.entry, found, expected),
        Error::MissingStructField { field, .. } => missing_key(spot.entry, field),
        Error::DuplicateStructField { field, .. } => given_twice(field),
        Error::ExpectedDifferentStructName { found, .. } if home(found).is_some() => unknown_choice(found, &[], spot),
        Error::ExpectedDifferentStructName { expected, found } => Message::new(
            format!("expected `{expected}(` in this list, but found `{found}`"),
            "another kind of entry",
            format!("write `{expected}( … )`, or move this entry to its own list"),
        ),
        _ => wrong_value(error, spot),
    }
}

/// A key no entry of this kind has.
pub fn unknown_key(entry: &str, found: &str, expected: &[&'static str]) -> Message {
    let help = with_nearest(found, expected, "its keys are");
    Message::new(format!("`{entry}` has no key `{found}`"), "unknown key", help)
}

/// A key that has to be there.
pub fn missing_key(entry: &str, key: &str) -> Message {
    Message::new(format!("`{entry}` needs `{key}`, but has none"), "missing from this entry", format!("add `{key}: …`"))
}

/// The same key twice.
pub fn given_twice(key: &str) -> Message {
    Message::new(format!("`{key}` is given twice"), "second one", "keep one of them".to_string())
}

fn unknown_choice(found: &str, expected: &[&'static str], spot: &Spot<'_>) -> Message {
    match spot.key {
        Some(key) => Message::new(
            format!("`{found}` is no choice for `{key}`"),
            "unknown choice",
            with_nearest(found, expected, "the choices are"),
        ),
        None => match home(found) {
            Some(list) => Message::new(
                format!("`{found}` belongs in `{list}`, but stands in another list"),
                "in the wrong list",
                format!("move it to `{list}: [ … ]`"),
            ),
            None => Message::new(
                format!("there is no kind of entry called `{found}`"),
                "unknown kind",
                with_nearest(found, expected, "this list takes"),
            ),
        },
    }
}

fn with_nearest(found: &str, expected: &[&'static str], lead: &str) -> String {
    let list = expected.join("`, `");
    match nearest(found, expected.iter().copied()) {
        Some(near) if expected.len() > MOST_LISTED => format!("did you mean `{near}`?"),
        Some(near) => format!("did you mean `{near}`? {lead} `{list}`"),
        None => format!("{lead} `{list}`"),
    }
}

fn wrong_value(error: &Error, spot: &Spot<'_>) -> Message {
    let key = spot.key.unwrap_or("value");
    let found = shortened(spot.value);
    let (expected, label, help) = match error {
        Error::ExpectedFloat
        | Error::ExpectedInteger
        | Error::FloatUnderscore
        | Error::UnderscoreAtBeginning
        | Error::InvalidIntegerDigit { .. }
        | Error::IntegerOutOfBounds => ("a bare number", "no bare number", bare_number(key, spot.value)),
        Error::ExpectedArray | Error::ExpectedArrayEnd => ("a list", "no list", format!("write `{key}: [ {found} ]`")),
        Error::ExpectedString | Error::ExpectedStringEnd | Error::InvalidValueForType { .. }
            if spot.value.starts_with('"') =>
        {
            ("a name without `\\`", "holds a backslash", "a name is made of letters, digits, `-` and `_`".to_string())
        }
        Error::ExpectedString | Error::ExpectedStringEnd => {
            ("a text in quotes", "no text in quotes", format!("write `{key}: \"{found}\"`"))
        }
        Error::InvalidEscape(_) => {
            ("a text without `\\`", "holds a backslash", "write `/` instead, or two backslashes".to_string())
        }
        Error::ExpectedIdentifier | Error::InvalidIdentifier(_) if spot.key.is_none() => {
            let headline = format!("expected an entry in this list, but found `{found}`");
            return Message::new(headline, "no entry", "an entry starts with a word, such as `Cable( … )`".to_string());
        }
        Error::ExpectedIdentifier | Error::InvalidIdentifier(_) => (
            "a choice without quotes",
            "no such word",
            format!("write the word alone, such as `{key}: {}`", found.trim_matches('"')),
        ),
        _ if spot.value.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.')) => {
            ("a bare number", "more than a number", bare_number(key, spot.value))
        }
        _ => ("something else", "cannot be read", format!("compare `{key}` with the samples")),
    };
    Message::new(format!("expected {expected} for `{key}`, but found `{found}`"), label, help)
}

/// A value for a headline.
pub fn shortened(value: &str) -> String {
    let line = value.lines().next().unwrap_or("");
    match line.char_indices().nth(30) {
        Some((index, _)) => format!("{}…", &line[..index]),
        None => line.to_string(),
    }
}
