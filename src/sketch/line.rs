//! A line to words and amounts.

use super::error::SketchError;
use super::vocabulary::{LineWord, all_words, read};
use crate::source::nearest;

/// From: ASTM B258: diameter of a wire by its gauge number, in mm, and the ratio of one
/// size to the next.
const GAUGE: (f64, f64, f64, f64) = (0.127, 92.0, 36.0, 39.0);
/// From: the international foot, m.
const FOOT: f64 = 0.3048;

/// From: the prefixes of units.
const MILLI: f64 = 1e-3;
/// From: the same.
const CENTI: f64 = 1e-2;
/// From: the same.
const KILO: f64 = 1e3;

/// Units of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    Volts,
    Amps,
    AmpereHours,
    Watts,
    Metres,
    Mm2,
    /// None is said.
    None,
}

/// A number with its unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Amount {
    pub value: f64,
    pub unit: Unit,
    /// As it was said.
    pub said: String,
}

/// A piece of a line.
#[derive(Debug, Clone, PartialEq)]
pub enum LineToken {
    Word {
        word: LineWord,
        said: String,
    },
    Amount(Amount),
    /// A comma or an arrow.
    Cut,
}

/// A unit by its word, and what one of it is; a gauge is no multiple.
fn unit(word: &str) -> Option<(Unit, f64)> {
    Some(match word {
        "v" | "volt" | "volts" => (Unit::Volts, 1.0),
        "a" | "amp" | "amps" | "ampere" | "amperes" => (Unit::Amps, 1.0),
        "ma" => (Unit::Amps, MILLI),
        "ah" => (Unit::AmpereHours, 1.0),
        "w" | "watt" | "watts" => (Unit::Watts, 1.0),
        "kw" => (Unit::Watts, KILO),
        "m" | "metre" | "metres" | "meter" | "meters" => (Unit::Metres, 1.0),
        "cm" => (Unit::Metres, CENTI),
        "ft" | "feet" | "foot" => (Unit::Metres, FOOT),
        "mm2" | "mm" | "sqmm" | "qmm" | "square" => (Unit::Mm2, 1.0),
        "awg" | "gauge" => (Unit::Mm2, f64::NAN),
        _ => return None,
    })
}

fn amount(number: f64, word: &str, said: String) -> Option<Amount> {
    let (unit, one) = unit(word)?;
    let diameter = |gauge: f64| GAUGE.0 * GAUGE.1.powf((GAUGE.2 - gauge) / GAUGE.3);
    let value = if one.is_nan() { std::f64::consts::FRAC_PI_4 * diameter(number).powi(2) } else { number * one };
    Some(Amount { value, unit, said })
}

/// Raw words; `,` for a cut. A comma between digits is a decimal one; a number and
/// the letters on it are two.
fn raw(line: &str) -> Vec<String> {
    let line = line.replace('²', "2").replace("->", ",");
    let chars: Vec<char> = line.chars().collect();
    let is_digit = |at: Option<usize>| at.and_then(|at| chars.get(at)).is_some_and(char::is_ascii_digit);
    let mut words: Vec<String> = Vec::new();
    let mut word = String::new();
    for (at, &c) in chars.iter().enumerate() {
        let is_decimal = matches!(c, ',' | '.') && is_digit(at.checked_sub(1)) && is_digit(Some(at + 1));
        let number = word.chars().next().is_some_and(|first| first.is_ascii_digit());
        if is_decimal || c.is_alphanumeric() && !(number && c.is_alphabetic()) {
            word.push(if is_decimal { '.' } else { c });
            continue;
        }
        words.extend((!word.is_empty()).then(|| std::mem::take(&mut word)));
        match c {
            ',' | ';' | '>' | '\n' | '→' | '+' => words.push(",".to_string()),
            c if c.is_alphanumeric() => word.push(c),
            _ => {}
        }
    }
    words.extend((!word.is_empty()).then_some(word));
    words
}

/// Words and amounts of a line.
///
/// # Errors
/// [`SketchError::Unknown`] of the first word that is none.
pub fn tokens(line: &str) -> Result<Vec<LineToken>, SketchError> {
    let as_said = raw(line);
    let raw: Vec<String> = as_said.iter().map(|word| word.to_lowercase()).collect();
    let mut tokens = Vec::new();
    let mut at = 0;
    while at < raw.len() {
        let word = raw[at].as_str();
        if word == "," {
            tokens.push(LineToken::Cut);
            at += 1;
            continue;
        }
        if let Ok(number) = word.parse::<f64>() {
            let next = raw.get(at + 1).map(String::as_str).unwrap_or_default();
            match amount(number, next, as_said[at..raw.len().min(at + 2)].join(" ")) {
                Some(amount) => {
                    tokens.push(LineToken::Amount(amount));
                    at += 2;
                }
                // `7 pin`: it says more of what it stands with.
                None if matches!(read(&[next]), Some((LineWord::Note, _))) => {
                    tokens.push(LineToken::Word { word: LineWord::Note, said: as_said[at..at + 2].join(" ") });
                    at += 2;
                }
                None => {
                    tokens.push(LineToken::Amount(Amount { value: number, unit: Unit::None, said: word.to_string() }));
                    at += 1;
                }
            }
            continue;
        }
        let ahead: Vec<&str> = raw[at..].iter().map(String::as_str).take_while(|word| *word != ",").collect();
        let Some((meaning, count)) = read(&ahead) else {
            let number = raw[..=at].iter().filter(|word| *word != ",").count();
            let near = nearest(word, all_words()).map(str::to_string);
            return Err(SketchError::Unknown { word: as_said[at].clone(), number, near });
        };
        tokens.push(LineToken::Word { word: meaning, said: ahead[..count].join(" ") });
        at += count;
    }
    Ok(tokens)
}
