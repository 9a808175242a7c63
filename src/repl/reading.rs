//! A line that holds a reading: where the leads were, what the display showed,
//! what bridged them, and whether the fault showed.

use super::command::{Command, CommandError};
use super::lookup::Lookup;
use crate::belief::Symptom;
use crate::case::{Case, Entry};
use crate::plan::{Next, Test};
use crate::predict::{Burden, Probe, Scale};
use crate::quantity::{Amps, Measured, Typed, Volts, looks_like_number};
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

/// Whether a word says how a voltage is to another, without volts of its own.
pub fn is_comparison(word: &str) -> bool {
    matches!(word.to_lowercase().as_str(), "same" | "voltage")
}

/// The value in a word, spaces and long units allowed.
pub fn value(word: &str) -> Result<Measured, CommandError> {
    Ok(word.split_whitespace().collect::<String>().parse()?)
}

/// What the display wandered between: `4..11ohm`, or `4.8` and `11.9V` apart. A
/// unit said once is of both.
fn wandering(one: &str, other: &str) -> Result<Measured, CommandError> {
    let unit = other.trim_start_matches(|letter: char| letter.is_ascii_digit() || ".,+-\u{2212} ".contains(letter));
    let one = value(&if looks_like_bare_number(one) { format!("{one}{unit}") } else { one.to_string() })?;
    let other = value(other)?;
    Measured::wandering(one, other).ok_or(CommandError::TwoQuantities)
}

/// `POINT VALUE less than POINT`, `POINT VALUE more than POINT`, `POINT same as
/// POINT`, `POINT battery voltage`: both points against the usual black lead.
fn compared(kept: &[&str], case: &Case, lookup: &Lookup<'_>) -> Option<Result<(Probe, Measured), CommandError>> {
    let lower: Vec<String> = kept.iter().map(|word| word.to_lowercase()).collect();
    let plain: Vec<&str> = lower.iter().map(String::as_str).collect();
    let (first, typed, sign, than) = match plain[..] {
        [.., "battery", "voltage"] => (kept.len() - 2, None, 1.0, "battery"),
        [.., "same", "as", _] => (kept.len() - 3, None, 1.0, kept[kept.len() - 1]),
        [.., _, how, "than", _] => {
            let sign = match how {
                "less" | "lower" => -1.0,
                "more" | "higher" => 1.0,
                _ => return None,
            };
            (kept.len() - 4, Some(kept[kept.len() - 4]), sign, kept[kept.len() - 1])
        }
        _ => return None,
    };
    let probe = || {
        let (red, against) = match kept[..first] {
            [red] => (lookup.point(red)?, case.standing().black),
            [red, black] => (lookup.point(red)?, lookup.point(black)?),
            [] => return Err(lookup.missing_point()),
            [_, _, word, ..] => return Err(CommandError::TooMany { word: word.to_string() }),
        };
        let black = lookup.point_or_battery(than)?;
        let measured = typed.map_or(Ok(Measured::THE_SAME), value)?.signed(sign);
        Ok((Probe::Voltage { red, black, burden: Burden::Each(against) }, measured))
    };
    Some(probe().and_then(|(probe, measured)| match probe.fits(&measured) {
        true => Ok((probe, measured)),
        false => Err(CommandError::OnlyVoltsCompare),
    }))
}

/// `[POINT [POINT] | across PART] VALUE [lamp] [min | max | working | faulty]`;
/// a resistance or a current needs no `across`. The value may have wandered, or be
/// by how much one point has more than another.
pub fn reading(words: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let mut symptom = case.usual_symptom();
    let mut burden = None;
    let mut kept: Vec<&str> = Vec::new();
    // What stands between two values is no filler: the display wandered.
    let between = words.windows(3).position(|three| {
        looks_like_number(three[0]) && matches!(three[1], "to" | "and" | "-") && looks_like_number(three[2])
    });
    for (at, &word) in words.iter().enumerate() {
        if between.is_some_and(|start| (start..start + 3).contains(&at)) {
            kept.push(word);
            continue;
        }
        match word.to_lowercase().as_str() {
            "working" | "max" | "highest" => symptom = Symptom::Absent,
            "faulty" => symptom = Symptom::Present,
            "min" | "lowest" => symptom = Symptom::Perhaps,
            // After the value it is what bridged the leads, whatever has that name.
            "lamp" if lookup.is_no_name(word) || (at > 0 && looks_like_number(words[at - 1])) => {
                burden = Some(Burden::Lamp)
            }
            filler if FILLERS.contains(&filler) => {}
            _ => kept.push(word),
        }
    }
    let on_mains = |&word: &&str| {
        let part = lookup.part(word).is_ok_and(|part| case.vehicle().is_on_mains(part));
        part || lookup.point(word).is_ok_and(|point| case.vehicle().is_mains(point))
    };
    if let Some(word) = kept.iter().copied().find(|word| on_mains(word)) {
        return Err(CommandError::Mains { name: word.to_string() });
    }
    if let Some(panel) = panel(&kept, symptom, case, lookup)? {
        return Ok(Command::EnterAll(panel));
    }
    let compared = compared(&kept, case, lookup).transpose()?;
    let (settings, probe, measured) = match compared {
        Some((probe, measured)) => (Vec::new(), probe, measured),
        None => {
            let Some((&last, points)) = kept.split_last() else { return Err(lookup.missing_point()) };
            let (points, measured) = match (Brightness::of(last), last.split_once(".."), points) {
                (Some(brightness), ..) => {
                    burden = Some(Burden::Lamp);
                    let instruments = &case.engine().tables().instruments;
                    (points, Measured::Volts(brightness.volts(instruments, case.vehicle().nominal)))
                }
                (_, Some((one, other)), _) => {
                    symptom = Symptom::Wanders;
                    (points, wandering(one, other)?)
                }
                (_, _, [points @ .., one, _]) if between.is_some() => {
                    symptom = Symptom::Wanders;
                    (points, wandering(one, last)?)
                }
                _ => (points, value(last)?),
            };
            let (settings, probe) = leads(points, &measured, burden, case, lookup)?;
            (settings, probe, measured)
        }
    };
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
        ([name], _) if lookup.is_battery(name) => {
            let battery = vehicle.part(lookup.battery(name)?);
            between(battery.to, battery.from)
        }
        ([red], _) => {
            let red = lookup.point(red)?;
            between(red, case.black_for(red))
        }
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
    let example = || lookup.example_reading(measured);
    let advice = match &case.assessment().next {
        Next::Test(advice) => advice,
        &Next::ReadAgain { reading } => {
            return Err(CommandError::RetakeAdvised { number: case.standing().number_of(reading), example: example() });
        }
        _ => return Err(CommandError::NoTestAdvised { example: example() }),
    };
    let probe = match advice.test {
        Test::Measure(probe) => probe,
        Test::Ask(_) | Test::Sense { .. } => {
            let advised = crate::words::test(case, advice.test);
            return Err(CommandError::NoValueAdvised { advised, example: example() });
        }
    };
    let lit = matches!(probe, Probe::Voltage { burden: Burden::Lamp, .. });
    let other_burden = burden == Some(Burden::Lamp) && !lit;
    if !probe.fits(measured) || other_burden {
        return Err(CommandError::OtherQuantity { advised: crate::words::probe(case.vehicle(), probe) });
    }
    Ok((advice.settings.clone(), probe))
}
