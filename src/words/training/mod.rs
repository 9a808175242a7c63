//! A lesson in words: what the customer says, what the display shows, what a
//! teacher says at the moment.

mod class;
mod marks;
mod series;

pub use class::{class_csv, class_table};
pub use marks::{debriefed, marked, mistake, page};
pub use series::{course_list, series_table};

use crate::case::Case;
use crate::plan::Test;
use crate::predict::{Burden, Probe};
use crate::quantity::{KILO, MEGA};
use crate::training::{
    Act, Attempt, Conclusion, Dial, Display, Done, Function, Hint, Leads, Lesson, Loom, Told, Unsafe,
};
use crate::vehicle::{PartId, PlaceId, Vehicle};
use crate::words::document::Block;
use crate::words::names::capital;
use crate::words::{caution, names};

/// What is said before the first act.
pub fn opening(lesson: &Lesson) -> Vec<Block> {
    let vehicle = lesson.vehicle();
    let brief = &lesson.brief;
    let mut lines = vec![format!("{}. On {}, {:.0} V.", brief.title, vehicle.name, vehicle.nominal.0)];
    if !brief.aim.is_empty() {
        lines.push(format!("Aim: {}", brief.aim));
    }
    let set = names::settings_between(vehicle, &lesson.hidden.settings, " It shows with ", ".");
    let complaint = names::sign(vehicle, lesson.hidden.subject, lesson.hidden.sign);
    match brief.words.is_empty() {
        true => lines.push(format!("The customer says: {complaint}.{set}")),
        false => lines.push(format!("The customer says: \"{}\" That is: {complaint}.{set}", brief.words)),
    }
    lines.push("The vehicle stands there with everything at rest. You choose every test; `help` lists the words, `hint` helps and costs marks, `done` ends the lesson.".into());
    lines.into_iter().map(Block::Paragraph).collect()
}

/// What is said after an act; `opened` are the places that were open before.
pub fn told(attempt: &Attempt, done: &Done, opened: &[PlaceId]) -> Vec<Block> {
    let vehicle = attempt.lesson().vehicle();
    let new = |place: &PlaceId| attempt.opened().contains(place) && !opened.contains(place);
    let mut lines: Vec<String> = caution::said_of(vehicle, new).collect();
    lines.push(match &done.told {
        Told::Done { opened } => format!("{}.{}", act_said(vehicle, &done.act), fuses(vehicle, opened)),
        Told::Shown { display, worked } => {
            let meanwhile = match worked {
                None => "",
                Some(true) => " It worked as you read.",
                Some(false) => " It was out as you read.",
            };
            format!("{}: {}.{meanwhile}", act_said(vehicle, &done.act), displayed(vehicle, display))
        }
        Told::Seen(sign) => match done.act {
            Act::Sense(subject, _) => format!("You find: {}.", names::sign(vehicle, subject, *sign)),
            _ => String::new(),
        },
        Told::Flickered(true) => "As you move it, the thing complained of comes and goes.".into(),
        Told::Flickered(false) => "You move it, pull gently and push; nothing changes.".into(),
        Told::Bridged(short) => {
            format!("Through the wire: {}.{}", short.amps, fuses(vehicle, &short.opened))
        }
        Told::Renewed { price, opened } => {
            format!("{}; parts {price:.0}.{}", act_said(vehicle, &done.act), fuses(vehicle, opened))
        }
        Told::Concluded { .. } => {
            format!(
                "Taken down: {}. Repair it if there is anything to repair, and prove it; then `done`.",
                act_said(vehicle, &done.act)
            )
        }
        Told::Hint(hint) => hinted(attempt.case(), hint),
    });
    lines.extend(done.hazard.map(|hazard| format!("Caution: {}", hazard_said(hazard))));
    lines.extend(teacher(done).map(str::to_string));
    let clock = Block::Detail(format!("[{:.1} min]", done.at.0));
    lines.into_iter().map(Block::Paragraph).chain([clock]).collect()
}

fn fuses(vehicle: &Vehicle, opened: &[PartId]) -> String {
    let names = names::short_parts(vehicle, opened.iter().copied());
    if names.is_empty() { names } else { format!(" {names} opens.") }
}

/// What a display shows, as somebody would call it out.
fn displayed(vehicle: &Vehicle, display: &Display) -> String {
    match display {
        Display::Value(measured) => measured.to_string(),
        Display::Crept { from, to } => format!("{from} at first, creeping to {to}"),
        Display::Over => "1. (over the range that is set)".into(),
        Display::Live(measured) => format!("{measured}, jumping about"),
        Display::Through { amps, short } => {
            format!("{:.2} A.{}", amps.value.0, fuses(vehicle, &short.opened)).trim_end_matches('.').to_string()
        }
        Display::Nothing => "0.00 A".into(),
        Display::Short(short) => format!("a flash, then 0.00 A.{}", fuses(vehicle, &short.opened)),
    }
}

/// What a teacher says to a reading at the moment, where it is a matter of safe
/// or honest work. Sources: OpenStax University Physics 2, 10.4 (no ohmmeter on
/// a live circuit); the rest common practice, no source.
fn teacher(done: &Done) -> Option<&'static str> {
    let Told::Shown { display, .. } = &done.told else { return None };
    match display {
        Display::Live(_) => Some(
            "Caution: the circuit is live there. An ohmmeter on it shows nonsense and may be harmed: open the isolator or pull the fuse, read volts to be sure, then ohms. This is not written down.",
        ),
        Display::Over => Some("Nothing to write down: turn the dial to a higher range, or to `dial volts`."),
        Display::Short(_) => {
            Some("The fuse of the ammeter is gone: it reads 0.00 A of everything from now on; `dial fuse` renews it.")
        }
        Display::Crept { .. } => {
            Some("The display took its time: there is a great deal of resistance before this point.")
        }
        _ => None,
    }
}

fn hazard_said(hazard: Unsafe) -> &'static str {
    match hazard {
        Unsafe::Bridged => {
            "never bridge points with a wire: it goes past the fuse, and whatever is wrong gets all the current there is. A test lamp shows as much and limits itself."
        }
        Unsafe::AmmeterAcross => {
            "an ammeter across a voltage is a short circuit: only its own fuse, or the limit of the source, saves your hand. Put the leads back into the volt jack after every current (`dial volts`)."
        }
        Unsafe::RenewedLive => {
            "that was live. Switch off and isolate before a part comes off: negative off first, on last."
        }
        Unsafe::FuseAfterFuse => {
            "one fuse after another finds nothing and may start a fire. Find what blows it; a lamp in its place (`lamp FUSE`) lights instead. Never a bigger one."
        }
    }
}

/// What was done, in a few words.
pub fn act_said(vehicle: &Vehicle, act: &Act) -> String {
    match act {
        Act::Set(settings) => capital(&names::settings(vehicle, settings)),
        Act::Open(place) => format!("Open: {}", names::place(vehicle, *place)),
        Act::Black(point) => format!("Black lead on {}", names::point(vehicle, *point)),
        Act::Take(kind) => format!("{} meter in hand", capital(kind.word())),
        Act::Turn(dial) => format!("Dial on {}", dial_said(dial)),
        Act::RenewMeterFuse => "A new fuse in the ammeter, of the same rating".into(),
        Act::Measure(Leads::Between(red, black), loom) => {
            let moved = if *loom == Loom::Moved { ", lowest while the loom is moved" } else { "" };
            format!("Red {}, black {}{moved}", names::short_point(vehicle, *red), names::short_point(vehicle, *black))
        }
        Act::Measure(Leads::Round(part), _) => format!("Clamp at {}", names::short_part(vehicle, *part)),
        Act::Sense(subject, sense) => capital(&names::sense_said(vehicle, *subject, *sense)),
        Act::Move(part) => format!("Move {}", names::part(vehicle, *part)),
        Act::Bridge(from, to) => {
            format!("A wire from {} to {}", names::short_point(vehicle, *from), names::short_point(vehicle, *to))
        }
        Act::Replace(part) => format!("{} renewed", names::part(vehicle, *part)),
        Act::Conclude(conclusion) => concluded(vehicle, conclusion),
        Act::Hint => "Hint".into(),
        Act::Note(text) => format!("Note: {text}"),
    }
}

fn concluded(vehicle: &Vehicle, conclusion: &Conclusion) -> String {
    match conclusion {
        Conclusion::Parts(parts) => {
            let names: Vec<String> = parts.iter().map(|&part| names::part(vehicle, part)).collect();
            format!("it is {}", names.join(" and "))
        }
        Conclusion::Nothing => "nothing is wrong".into(),
        Conclusion::Undrawn => "it is something that the drawing does not show".into(),
    }
}

/// How the dial is set.
pub fn dial_said(dial: &Dial) -> String {
    let (function, unit) = match dial.function {
        Function::Volts => ("volts", "V"),
        Function::Lamp => ("volts with a test lamp across the leads", "V"),
        Function::Ohms => ("ohms", "Ω"),
        Function::Amps => ("amperes, leads in the 10 A jack", "A"),
        Function::Clamp => ("amperes by clamp", "A"),
    };
    match dial.range {
        Some(range) if range < 1.0 => format!("{function}, {} m{unit}", range * KILO),
        Some(range) if range >= MEGA => format!("{function}, {} M{unit}", range / MEGA),
        Some(range) if range >= 2.0 * KILO => format!("{function}, {} k{unit}", range / KILO),
        Some(range) => format!("{function}, {range} {unit}"),
        None => function.to_string(),
    }
}

fn hinted(case: &Case, hint: &Hint) -> String {
    let vehicle = case.vehicle();
    match hint {
        Hint::Where(parts) => {
            format!("Hint: still in question are {}.", names::short_parts(vehicle, parts.iter().copied()))
        }
        Hint::Kind(advice) => format!("Hint: what would tell most now is {}.", kind_of(advice.test)),
        Hint::Test(advice) => {
            let set = names::settings_between(vehicle, &advice.settings, "with ", ": ");
            format!("Hint: {set}{}.", names::test(case, advice.test))
        }
        Hint::Enough => "Hint: you have seen and read enough. Say what it is.".into(),
        Hint::NoTest => {
            "Hint: no test at hand tells much more. Take a doubtful reading again, or say what is likeliest.".into()
        }
    }
}

fn kind_of(test: Test) -> &'static str {
    match test {
        Test::Ask(_) => "a question",
        Test::Sense { .. } => "something to see, hear or feel, without an instrument",
        Test::Measure(Probe::Voltage { burden: Burden::Lamp, .. }) => "a voltage under a test lamp",
        Test::Measure(Probe::Voltage { .. }) => "a voltage, with the load on",
        Test::Measure(Probe::Resistance { .. }) => "a resistance, with everything dead",
        Test::Measure(Probe::Current { .. }) => "a current, by clamp",
        Test::Measure(Probe::Fixed { .. }) => "what an instrument of the vehicle shows",
    }
}
