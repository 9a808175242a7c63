//! Slips in an entry, in words for the person who wrote the file.

use crate::source::nearest;
use crate::tables::limits::{BOUNDS, Bound};

/// Units people write, each with what it is of the unit that a key is in.
const UNITS: [(&str, &str); 10] = [
    ("m", "mm 0.001 cm 0.01 m 1 km 1000 ft 0.3048 in 0.0254"),
    ("mm²", "mm² 1 mm2 1 mm 1 sqmm 1 qmm 1"),
    ("gauge", "AWG 1 awg 1 ga 1"),
    ("Ω", "mΩ 0.001 mohm 0.001 mOhm 0.001 Ω 1 ohm 1 ohms 1 Ohm 1 R 1 k 1000 kΩ 1000 kohm 1000"),
    ("A", "mA 0.001 A 1 amp 1 amps 1"),
    ("V", "mV 0.001 V 1 v 1 volt 1 volts 1"),
    ("W", "W 1 w 1 kW 1000 watts 1"),
    ("min", "min 1 m 1 s 0.016666666666666666 sec 0.016666666666666666 h 60"),
    ("A·h", "Ah 1 ah 1 mAh 0.001"),
    ("°C", "°C 1 C 1"),
];

/// Layout: choices that a line of help can name.
const MOST_LISTED: usize = 24;

/// How to write a number under a key, given what was written there.
pub fn bare_number(key: &str, written: &str) -> String {
    let unit = BOUNDS.iter().find(|bound| bound.key == key).map(|bound| bound.unit);
    let bare = written.trim_matches(['"', '“', '”', '\'']).trim().replace(',', ".");
    let digits = bare.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))).unwrap_or(bare.len());
    let (number, suffix) = (bare[..digits].parse::<f64>(), bare[digits..].trim());
    let mut known = UNITS.iter().filter(|row| Some(row.0) == unit).flat_map(|row| row.1.split(' '));
    let scale = match suffix {
        "" => Some(1.0),
        _ => known.find(|name| *name == suffix).and_then(|_| known.next()?.parse::<f64>().ok()),
    };
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
    let (unit, share) = match bound.unit {
        "m" if value < 1000.0 => ("cm", 1e-2),
        "m" => ("mm", 1e-3),
        "V" => ("mV", 1e-3),
        "A" => ("mA", 1e-3),
        _ => return bound.slip.to_string(),
    };
    let meant = value * share;
    if !(bound.least..=bound.most).contains(&meant) {
        return bound.slip.to_string();
    }
    format!("{}; if {value} {unit} is meant, write `{}: {}`", bound.slip, bound.key, plain(meant))
}

/// A number without the dust of a multiplication.
fn plain(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// Which of some words was meant: capitals are a slip too.
pub fn meant<'k>(found: &str, known: &[&'k str]) -> Option<&'k str> {
    let other_capitals = known.iter().copied().find(|known| known.eq_ignore_ascii_case(found));
    other_capitals.or_else(|| nearest(found, known.iter().copied()))
}

/// The nearest of what could have been written, and all of it.
pub fn with_nearest(found: &str, expected: &[&'static str], lead: &str) -> String {
    let list = expected.join("`, `");
    match meant(found, expected) {
        Some(near) if expected.len() > MOST_LISTED => format!("did you mean `{near}`?"),
        Some(near) => format!("did you mean `{near}`? {lead} `{list}`"),
        None => format!("{lead} `{list}`"),
    }
}

/// A value for a headline.
pub fn shortened(value: &str) -> String {
    let line = value.lines().next().unwrap_or("");
    match line.char_indices().nth(30) {
        Some((index, _)) => format!("{}…", &line[..index]),
        None => line.to_string(),
    }
}
