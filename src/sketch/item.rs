//! One line of text to parts in current-flow order.

use super::vocabulary::{PartWord, load_of, part_of, usual_words};
use crate::quantity::{NOMINAL, Volts};
use crate::source::nearest;
use crate::vehicle::LoadKind;
use thiserror::Error;

/// Format: A; what a file takes of fuses and loads.
const AMPS: (f64, f64) = (0.01, 2000.0);
/// Format: W; the same of loads.
const WATTS: (f64, f64) = (0.1, 20_000.0);
/// Format: A·h; the same of batteries.
const AMPERE_HOURS: (f64, f64) = (1.0, 5000.0);
/// Format: m; the same of cables.
const METRES: (f64, f64) = (0.05, 100.0);
/// Format: mm²; the same.
const MM2: (f64, f64) = (0.2, 240.0);

/// A part as the line names it; what it does not say is `None`.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    Battery {
        /// Nominal voltage.
        volts: Option<f64>,
        /// Capacity, A·h.
        ampere_hours: Option<f64>,
        /// Whether it is a lithium one.
        lithium: bool,
    },
    Fuse {
        /// Rating, A.
        amps: Option<f64>,
    },
    Breaker {
        /// Rating, A.
        amps: Option<f64>,
    },
    Cable {
        /// Length, m.
        metres: Option<f64>,
        /// Cross-section, mm².
        mm2: Option<f64>,
    },
    Switch,
    Isolator,
    /// A relay: its contact.
    Relay,
    /// A plug.
    Plug,
    /// A joint, stud or terminal.
    Joint,
    /// A load.
    Load {
        kind: LoadKind,
        /// Power, W.
        watts: Option<f64>,
        /// Current, A.
        amps: Option<f64>,
    },
    /// Return by body metal.
    Chassis,
}

/// Why a line is no circuit.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SketchError {
    /// A piece without a known part.
    #[error("`{piece}` (number {number} of the line) names no part{}; known are {}", hint(.near.as_deref()), usual_words().collect::<Vec<_>>().join(", "))]
    Unknown {
        /// The piece.
        piece: String,
        /// Its number, from 1.
        number: usize,
        /// The nearest known word.
        near: Option<String>,
    },
    /// A number out of all reason.
    #[error("`{piece}` (number {number} of the line): {value} {unit} is not between {least} and {most} {unit}")]
    OutOfBounds {
        /// The piece.
        piece: String,
        /// Its number, from 1.
        number: usize,
        /// The value.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least that makes sense.
        least: f64,
        /// Most that makes sense.
        most: f64,
    },
    /// A battery that is neither of 12 nor of 24 V.
    #[error("a battery of {volts} V: say 12 V or 24 V, which are what vehicles have")]
    Voltage {
        /// What was said.
        volts: f64,
    },
    /// Two loads.
    #[error("`{piece}` is a second load: sketch the circuit of the one that is complained of")]
    SecondLoad {
        /// The piece.
        piece: String,
    },
    /// No load.
    #[error("say what is to run at the end of it, such as `battery 12 V, fuse 15 A, switch, lamp 55 W, chassis`")]
    NoLoad,
}

fn hint(near: Option<&str>) -> String {
    near.map(|near| format!(", did you mean `{near}`?")).unwrap_or_default()
}

/// A number with the unit behind it, if one stands there.
struct Amount<'a> {
    value: f64,
    unit: &'a str,
}

/// The parts of a line, apart by commas.
pub fn items(line: &str) -> Result<Vec<Item>, SketchError> {
    let mut items = Vec::new();
    for (index, piece) in pieces(line).into_iter().enumerate() {
        let item = item(piece, index + 1)?;
        if matches!(item, Item::Load { .. }) && items.iter().any(|known| matches!(known, Item::Load { .. })) {
            return Err(SketchError::SecondLoad { piece: piece.to_string() });
        }
        items.push(item);
    }
    Ok(items)
}

/// The pieces between commas; a comma between digits is a decimal one.
fn pieces(line: &str) -> Vec<&str> {
    let bytes = line.as_bytes();
    let is_digit = |at: Option<usize>| at.and_then(|at| bytes.get(at)).is_some_and(u8::is_ascii_digit);
    let is_cut = |(at, c): &(usize, char)| match c {
        ';' | '>' | '\n' => true,
        ',' => !(is_digit(at.checked_sub(1)) && is_digit(Some(at + 1))),
        _ => false,
    };
    let mut start = 0;
    let mut pieces = Vec::new();
    for (at, c) in line.char_indices().filter(is_cut) {
        pieces.push(&line[start..at]);
        start = at + c.len_utf8();
    }
    pieces.push(&line[start..]);
    pieces.into_iter().map(str::trim).filter(|piece| !piece.is_empty()).collect()
}

fn item(piece: &str, number: usize) -> Result<Item, SketchError> {
    let lower = piece.to_lowercase().replace(',', ".").replace('²', "2");
    let tokens = tokens(&lower);
    let figures = figures(&tokens);
    let words: Vec<&str> =
        tokens.iter().copied().filter(|token| token.parse::<f64>().is_err() && !is_unit(token)).collect();
    let bounded = |value: Option<f64>, unit: &'static str, (least, most): (f64, f64)| match value {
        Some(value) if !(least..=most).contains(&value) => {
            Err(SketchError::OutOfBounds { piece: piece.to_string(), number, value, unit, least, most })
        }
        value => Ok(value),
    };
    let figure = |units: &[&str]| figures.iter().find(|figure| units.contains(&figure.unit)).map(|figure| figure.value);
    let amps = || bounded(figure(&["a", "amp", "amps"]), "A", AMPS);
    let load = words.iter().rev().find_map(|word| load_of(word));
    if let Some(kind) = load {
        let watts = bounded(figure(&["w", "watt", "watts"]), "W", WATTS)?;
        return Ok(Item::Load { kind, watts, amps: amps()? });
    }
    let sort = words.iter().rev().find_map(|word| part_of(word));
    // A length says cable by itself.
    let sort = sort.or(figure(&["m"]).map(|_| PartWord::Cable));
    Ok(match sort {
        Some(PartWord::Battery) => {
            let volts = figure(&["v", "volt", "volts"]);
            if let Some(volts) = volts.filter(|volts| !NOMINAL.contains(&Volts(*volts))) {
                return Err(SketchError::Voltage { volts });
            }
            let ampere_hours = bounded(figure(&["ah"]), "Ah", AMPERE_HOURS)?;
            Item::Battery { volts, ampere_hours, lithium: words.contains(&"lithium") }
        }
        Some(PartWord::Fuse) => Item::Fuse { amps: amps()? },
        Some(PartWord::Breaker) => Item::Breaker { amps: amps()? },
        Some(PartWord::Cable) => {
            // A bare number is the size, as people say it.
            let mm2 = figure(&["mm2", "mm"]).or_else(|| figure(&[""]));
            Item::Cable { metres: bounded(figure(&["m"]), "m", METRES)?, mm2: bounded(mm2, "mm²", MM2)? }
        }
        Some(PartWord::Switch) => Item::Switch,
        Some(PartWord::Isolator) => Item::Isolator,
        Some(PartWord::Relay) => Item::Relay,
        Some(PartWord::Plug) => Item::Plug,
        Some(PartWord::Joint) => Item::Joint,
        Some(PartWord::Chassis) => Item::Chassis,
        None => {
            let near = words.iter().find_map(|word| nearest(word, usual_words())).map(str::to_string);
            return Err(SketchError::Unknown { piece: piece.to_string(), number, near });
        }
    })
}

fn is_unit(token: &str) -> bool {
    matches!(token, "v" | "volt" | "volts" | "a" | "amp" | "amps" | "ah" | "w" | "watt" | "watts" | "m" | "mm2" | "mm")
}

/// Words and numbers; `15a` is two.
fn tokens(text: &str) -> Vec<&str> {
    let mut tokens = Vec::new();
    for word in text.split_whitespace() {
        let digits = word.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(word.len());
        let (number, rest) = word.split_at(digits);
        tokens.extend([number, rest].into_iter().filter(|token| !token.is_empty()));
    }
    tokens
}

/// Every number with its unit.
fn figures<'a>(tokens: &[&'a str]) -> Vec<Amount<'a>> {
    let numbers = tokens.iter().enumerate().filter_map(|(at, token)| Some((at, token.parse::<f64>().ok()?)));
    numbers
        .map(|(at, value)| Amount {
            value,
            unit: tokens.get(at + 1).copied().filter(|next| is_unit(next)).unwrap_or(""),
        })
        .collect()
}
