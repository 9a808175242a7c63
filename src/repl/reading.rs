//! A line that holds a reading: where the leads were, what the display showed,
//! what bridged them, and whether the fault showed.

use super::command::{Command, CommandError};
use super::lookup::Lookup;
use crate::belief::Symptom;
use crate::case::{Case, Entry};
use crate::plan::{Next, Test};
use crate::predict::{Burden, Probe, Scale};
use crate::quantity::{Amps, Measured, Typed, Volts};
use crate::tables::instruments::Instruments;
use crate::vehicle::{ControlId, Position};

/// Words that carry no meaning in a reading.
const FILLERS: [&str; 11] = ["read", "reads", "shows", "red", "black", "lead", "to", "at", "and", "is", "clamp"];

/// Units that may stand apart from their number.
const UNITS: [&str; 18] = [
    "v", "mv", "volts", "volt", "a", "ma", "amps", "amp", "ohm", "ohms", "kohm", "kohms", "mohm", "ω", "kω", "mω", "k",
    "m",
];

type Settings = Vec<(ControlId, Position)>;

/// Whether a word is a unit by itself.
pub fn is_unit(word: &str) -> bool {
    UNITS.contains(&word.to_lowercase().as_str())
}

/// Whether a word is what an ohmmeter shows without a path.
pub fn is_no_path(word: &str) -> bool {
    word.eq_ignore_ascii_case("ol")
}

/// Whether a word is how a test lamp burns.
pub fn is_brightness(word: &str) -> bool {
    Brightness::of(word).is_some()
}

/// The value in a word, spaces and long units allowed.
pub fn value(word: &str) -> Result<Measured, CommandError> {
    Ok(word.split_whitespace().collect::<String>().parse()?)
}

/// `[POINT [POINT] | across PART] VALUE [lamp] [min | max | working | faulty]`;
/// a resistance or a current needs no `across`.
pub fn reading(words: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let mut symptom = case.usual_symptom();
    let mut burden = None;
    let mut kept: Vec<&str> = Vec::new();
    for &word in words {
        match word.to_lowercase().as_str() {
            "working" | "max" | "highest" => symptom = Symptom::Absent,
            "faulty" => symptom = Symptom::Present,
            "min" | "lowest" => symptom = Symptom::Perhaps,
            "lamp" if lookup.is_no_name(word) => burden = Some(Burden::Lamp),
            filler if FILLERS.contains(&filler) => {}
            _ => kept.push(word),
        }
    }
    let Some((&last, points)) = kept.split_last() else {
        let example = format!("{} 12.31", lookup.example_point());
        return Err(CommandError::Missing { verb: "read", what: "a point and a reading", example });
    };
    if let Some(panel) = panel(&kept, symptom, case, lookup)? {
        return Ok(Command::EnterAll(panel));
    }
    let measured = match Brightness::of(last) {
        Some(brightness) => {
            burden = Some(Burden::Lamp);
            Measured::Volts(brightness.volts(&case.engine().tables().instruments, case.vehicle().nominal))
        }
        None => value(last)?,
    };
    let (settings, probe) = leads(points, &measured, burden, case, lookup)?;
    if let Probe::Voltage { red, black, .. } | Probe::Resistance { red, black } = probe
        && red == black
    {
        return Err(CommandError::SamePoint { point: case.vehicle().point(red).name().to_string() });
    }
    Ok(Command::Enter(Entry::Read { settings, probe, measured, symptom }))
}

/// `BM 12.31 CD 14.2`: what instruments of the vehicle show, by their names. None
/// where the first word is none of them.
fn panel(
    words: &[&str],
    symptom: Symptom,
    case: &Case,
    lookup: &Lookup<'_>,
) -> Result<Option<Vec<Entry>>, CommandError> {
    if words.first().is_none_or(|first| lookup.instrument(first).is_err()) {
        return Ok(None);
    }
    let entry = |pair: &[&str]| {
        let instrument = lookup.instrument(pair[0])?;
        let [_, shown] = *pair else {
            let example = format!("{} 12.31", pair[0]);
            return Err(CommandError::Missing { verb: "read", what: "what the instrument shows", example });
        };
        let probe = Probe::fixed(case.vehicle(), instrument).ok_or_else(|| lookup.unknown(pair[0]))?;
        // A number alone is in the unit of the display.
        let measured = match value(shown)? {
            Measured::Volts(number) if probe.scale() == Scale::Amps && looks_like_bare_number(shown) => {
                Measured::Amps(Typed { value: Amps(number.value.0), step: Amps(number.step.0) })
            }
            measured => measured,
        };
        if !probe.fits(&measured) {
            let (shows, example) = if probe.scale() == Scale::Amps { ("amperes", "4.2A") } else { ("volts", "12.31") };
            return Err(CommandError::NotItsUnit { instrument: pair[0].to_string(), shows, example });
        }
        Ok(Entry::Read { settings: Vec::new(), probe, measured, symptom })
    };
    words.chunks(2).map(entry).collect::<Result<Vec<Entry>, CommandError>>().map(Some)
}

fn looks_like_bare_number(word: &str) -> bool {
    word.ends_with(|last: char| last.is_ascii_digit())
}

/// How a test lamp burns.
#[derive(Clone, Copy)]
enum Brightness {
    Bright,
    Dim,
    Dark,
}

impl Brightness {
    fn of(word: &str) -> Option<Self> {
        match word.to_lowercase().as_str() {
            "bright" => Some(Self::Bright),
            "dim" => Some(Self::Dim),
            "dark" => Some(Self::Dark),
            _ => None,
        }
    }

    /// What it says of the voltage across the lamp.
    fn volts(self, instruments: &Instruments, nominal: Volts) -> Typed<Volts> {
        let [share, step] = match self {
            Self::Bright => instruments.bright,
            Self::Dim => instruments.dim,
            Self::Dark => instruments.dark,
        };
        Typed { value: nominal * share, step: nominal * step }
    }
}

/// Where the leads were.
fn leads(
    points: &[&str],
    measured: &Measured,
    burden: Option<Burden>,
    case: &Case,
    lookup: &Lookup<'_>,
) -> Result<(Settings, Probe), CommandError> {
    let between = |red, black| match measured {
        Measured::Ohms(_) | Measured::NoPath => Probe::Resistance { red, black },
        _ => Probe::Voltage { red, black, burden: burden.unwrap_or(Burden::Bare) },
    };
    let vehicle = case.vehicle();
    let probe = match (points, measured) {
        ([], _) => return advised(measured, burden, case, lookup),
        ([name], Measured::Amps(_)) => Probe::Current { part: lookup.part(name)? },
        (_, Measured::Amps(_)) => return Err(CommandError::CurrentOfOnePart { example: lookup.example_fuse() }),
        (["across", name], _) | ([name], Measured::Ohms(_) | Measured::NoPath) => {
            let (red, black) = vehicle.part(lookup.part(name)?).ends();
            between(red, black)
        }
        ([red], _) => between(lookup.point(red)?, case.standing().black),
        ([red, black], _) => between(lookup.point(red)?, lookup.point(black)?),
        ([.., word], _) => return Err(CommandError::TooMany { word: word.to_string() }),
    };
    Ok((Vec::new(), probe))
}

/// A value alone answers the advised test.
fn advised(
    measured: &Measured,
    burden: Option<Burden>,
    case: &Case,
    lookup: &Lookup<'_>,
) -> Result<(Settings, Probe), CommandError> {
    let none = || CommandError::NoTestAdvised { example: lookup.example_point() };
    let Next::Test(advice) = &case.assessment().next else { return Err(none()) };
    let Test::Measure(probe) = advice.test else { return Err(none()) };
    let lit = matches!(probe, Probe::Voltage { burden: Burden::Lamp, .. });
    let other_burden = burden == Some(Burden::Lamp) && !lit;
    if !probe.fits(measured) || other_burden {
        return Err(CommandError::OtherQuantity { advised: crate::words::probe(case.vehicle(), probe) });
    }
    Ok((advice.settings.clone(), probe))
}
