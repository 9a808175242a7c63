//! Names of things, and small phrases made of them.

use crate::belief::{Appearance, Past, Sign, Site, Symptom};
use crate::case::{Case, Entry};
use crate::complaint::Channel;
use crate::fault::FailureMode;
use crate::plan::walk::Scope;
use crate::plan::{Sense, Test};
use crate::predict::{Burden, Probe};
use crate::quantity::Measured;
use crate::vehicle::{Aid, ControlId, ControlKind, LoadKind, PartId, PlaceId, PointId, Position, Reach, Vehicle};

/// A point, with what people call it.
pub fn point(vehicle: &Vehicle, id: PointId) -> String {
    let point = vehicle.point(id);
    match &point.label {
        Some(label) => format!("{} ({label})", point.name()),
        None => point.name().to_string(),
    }
}

/// A point by name alone.
pub fn short_point(vehicle: &Vehicle, id: PointId) -> &str {
    vehicle.point(id).name()
}

/// A part, with what people call it.
pub fn part(vehicle: &Vehicle, id: PartId) -> String {
    let part = vehicle.part(id);
    match &part.label {
        Some(label) if *label != part.name => format!("{} ({label})", part.name),
        _ => format!("{} ({})", part.name, part.kind.words()),
    }
}

/// A part by name alone.
pub fn short_part(vehicle: &Vehicle, id: PartId) -> &str {
    &vehicle.part(id).name
}

/// Several parts, with what people call them.
pub fn parts(vehicle: &Vehicle, ids: impl IntoIterator<Item = PartId>) -> String {
    ids.into_iter().map(|id| part(vehicle, id)).collect::<Vec<_>>().join(", ")
}

/// Several parts by name alone.
pub fn short_parts(vehicle: &Vehicle, ids: impl IntoIterator<Item = PartId>) -> String {
    ids.into_iter().map(|id| short_part(vehicle, id)).collect::<Vec<_>>().join(", ")
}

/// Several places by name alone.
pub fn places(vehicle: &Vehicle, ids: &[PlaceId]) -> String {
    ids.iter().map(|&id| vehicle.place(id).name.as_str()).collect::<Vec<_>>().join(", ")
}

/// A site in a list of suspects.
pub fn site(vehicle: &Vehicle, site: Site) -> String {
    match site {
        Site::Part(id) => part(vehicle, id),
        Site::Both(first, second) => format!("both {} and {}", part(vehicle, first), part(vehicle, second)),
        Site::Nothing => "nothing wrong with the wiring".to_string(),
        Site::Undrawn => "something not in the drawing".to_string(),
    }
}

/// A site in a sentence.
pub fn short_site(vehicle: &Vehicle, site: Site) -> String {
    match site {
        Site::Part(id) => short_part(vehicle, id).to_string(),
        Site::Both(first, second) => format!("{} with {}", short_part(vehicle, first), short_part(vehicle, second)),
        Site::Nothing => "all sound".to_string(),
        Site::Undrawn => "not as drawn".to_string(),
    }
}

/// How a part has failed.
pub fn mode(mode: FailureMode) -> &'static str {
    match mode {
        FailureMode::OpenCircuit => "open",
        FailureMode::HighResistance => "added resistance",
        FailureMode::ContactWelded => "stuck closed",
        FailureMode::ShortAcross => "shorted",
        FailureMode::ShortToGround => "leaking to body metal",
        FailureMode::LowVoltage => "low voltage",
        FailureMode::HighDraw => "draws too much",
        FailureMode::LowDraw => "draws too little",
        FailureMode::StaysAwake => "does not go to sleep",
        FailureMode::WrongTerminal => "wired to the wrong contact of its relay",
        FailureMode::WrongRating => "a fuse of too small a rating",
        FailureMode::Undersized => "thinner or longer than drawn",
        FailureMode::ShortBetweenCircuits => "shorted to its neighbour",
        FailureMode::Crossed => "changed places with its neighbour",
        FailureMode::Leakage => "a path across it where it should be open",
        FailureMode::CommonCause => "added resistance of one cause in several ways",
        FailureMode::Stuck => "stuck",
        FailureMode::ReadsOff => "reads off",
        FailureMode::WrongScale => "reads a multiple of what there is",
        FailureMode::Drifts => "drifts",
    }
}

/// How a load looks.
pub fn appearance(appearance: Appearance) -> &'static str {
    match appearance {
        Appearance::Dead => "dead",
        Appearance::Weak => "weak",
        Appearance::Works => "works",
    }
}

/// A place and what it takes to get there.
pub fn place(vehicle: &Vehicle, id: PlaceId) -> String {
    let place = vehicle.place(id);
    format!("{}: {} ({})", place.name, place.open, place.minutes)
}

/// Where a point is found.
pub fn whereabouts(vehicle: &Vehicle, id: PointId) -> String {
    match vehicle.reach(id) {
        Reach::At(place) => vehicle.place(place).name.clone(),
        Reach::Never => "no way to it".to_string(),
    }
}

/// A setting as an order: `S2 on`, `pull F4`, `unplug K1`.
pub fn setting(vehicle: &Vehicle, (id, position): (ControlId, Position)) -> String {
    let control = vehicle.control(id);
    match (control.kind, position) {
        (ControlKind::Aid(_), Position::On) => control.label.clone(),
        (ControlKind::Aid(Aid::Off { part, at }), _) => {
            format!("{} on {} again", short_part(vehicle, part), short_point(vehicle, at))
        }
        (ControlKind::Aid(Aid::Lamp { load }), _) => format!("{} in again", short_part(vehicle, load)),
        (ControlKind::Aid(Aid::Bridge { part }), _) => format!("the bridge off {}", short_part(vehicle, part)),
        (ControlKind::Aid(Aid::Feed { load, .. }), _) => format!("the lead off {}", short_part(vehicle, load)),
        (ControlKind::Fuse, Position::Off) => format!("pull {}", control.name),
        (ControlKind::Fuse, Position::On) => format!("fit {}", control.name),
        (ControlKind::Plug, Position::Off) => format!("unplug {}", control.name),
        (ControlKind::Plug, Position::On) => format!("plug {}", control.name),
        (_, Position::Lamp) => format!("a lamp in place of {}", control.name),
        (_, Position::On) => format!("{} on", control.name),
        (_, Position::Off) => format!("{} off", control.name),
    }
}

/// Several settings.
pub fn settings(vehicle: &Vehicle, settings: &[(ControlId, Position)]) -> String {
    settings.iter().map(|&each| setting(vehicle, each)).collect::<Vec<_>>().join(", ")
}

/// The same with what stands before and after them; nothing where there are none.
pub fn settings_between(vehicle: &Vehicle, all: &[(ControlId, Position)], before: &str, after: &str) -> String {
    if all.is_empty() { String::new() } else { format!("{before}{}{after}", settings(vehicle, all)) }
}

/// What was said of a part.
pub fn sign(vehicle: &Vehicle, subject: PartId, sign: Sign) -> String {
    sign_of(&part(vehicle, subject), sign)
}

/// The same of a part by name alone.
pub fn short_sign(vehicle: &Vehicle, subject: PartId, sign: Sign) -> String {
    sign_of(short_part(vehicle, subject), sign)
}

fn sign_of(name: &str, sign: Sign) -> String {
    match sign {
        Sign::Looks(look) => format!(
            "{name} {}",
            if look == Appearance::Works { "works".into() } else { format!("is {}", appearance(look)) }
        ),
        Sign::StaysOn => format!("{name} stays on"),
        Sign::Sometimes => format!("{name} works only sometimes"),
        Sign::BlowsFuse => format!("{name} blows"),
        Sign::GoesFlat => format!("{name} goes flat"),
        Sign::Uncharged => format!("{name} is not charged"),
        Sign::Glows => format!("{name} glows or creeps when off"),
        Sign::Clicks => format!("{name} clicks"),
        Sign::Silent => format!("{name} does not click"),
        Sign::LooksWhole => format!("{name} looks whole"),
        Sign::LooksBlown => format!("{name} looks blown"),
        Sign::LampBright => format!("the lamp in place of {name} is bright"),
        Sign::LampDim => format!("the lamp in place of {name} is dim or out"),
        Sign::Gives => format!("{name} gives current"),
        Sign::Idle => format!("{name} gives nothing"),
        Sign::Hot => format!("{name} is hot"),
        Sign::Cool => format!("{name} is cool"),
        Sign::Green => format!("{name} is green or wet"),
        Sign::ChargesLittle => format!("{name} is charged too little"),
        Sign::ComesBack => format!("it came back when {name} was re-seated or moved"),
        Sign::NoBetter => format!("re-seating or moving {name} changed nothing"),
    }
}

/// A sign by itself.
pub fn bare_sign(sign: Sign) -> &'static str {
    match sign {
        Sign::Looks(look) => appearance(look),
        Sign::StaysOn => "stays on",
        Sign::Sometimes => "works only sometimes",
        Sign::BlowsFuse => "blows",
        Sign::GoesFlat => "goes flat",
        Sign::Uncharged => "not charged",
        Sign::Glows => "glows",
        Sign::Clicks => "clicks",
        Sign::Silent => "silent",
        Sign::LooksWhole => "whole",
        Sign::LooksBlown => "blown",
        Sign::LampBright => "bright",
        Sign::LampDim => "dark",
        Sign::Gives => "gives",
        Sign::Idle => "idle",
        Sign::Hot => "hot",
        Sign::Cool => "cool",
        Sign::Green => "green",
        Sign::ChargesLittle => "charged too little",
        Sign::ComesBack => "came back",
        Sign::NoBetter => "no better",
    }
}

/// A measurement in a few words.
pub fn probe(vehicle: &Vehicle, probe: Probe) -> String {
    let pair = |red, black| format!("red {}, black {}", short_point(vehicle, red), short_point(vehicle, black));
    match probe {
        Probe::Voltage { red, black, burden: Burden::Bare } => pair(red, black),
        Probe::Voltage { red, black, burden: Burden::Lamp } => format!("{} under a test lamp", pair(red, black)),
        Probe::Voltage { red, black, burden: Burden::Each(_) } => {
            format!("{} compared with {}", short_point(vehicle, red), short_point(vehicle, black))
        }
        Probe::Resistance { red, black } => {
            format!("resistance {} to {}", short_point(vehicle, red), short_point(vehicle, black))
        }
        Probe::Current { part } => format!("current through {}", short_part(vehicle, part)),
        Probe::Fixed { instrument, .. } => part(vehicle, instrument),
    }
}

/// What a display showed.
pub fn shown(measured: Measured, symptom: Symptom) -> String {
    match symptom {
        Symptom::Wanders => measured.wandered_between().map(|end| end.to_string()).join(" to "),
        Symptom::Present | Symptom::Absent | Symptom::Perhaps => measured.to_string(),
    }
}

/// How much of a name.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Length {
    /// The name alone.
    Short,
    /// With what people call it.
    Full,
}

/// Where the leads were, for two columns.
pub fn leads(vehicle: &Vehicle, probe: Probe, length: Length) -> (String, String) {
    let named = |id| match length {
        Length::Short => short_point(vehicle, id).to_string(),
        Length::Full => point(vehicle, id),
    };
    match probe {
        Probe::Current { part } => (short_part(vehicle, part).to_string(), "(clamp)".to_string()),
        Probe::Fixed { instrument, .. } => (short_part(vehicle, instrument).to_string(), "(display)".to_string()),
        Probe::Voltage { red, black, burden: Burden::Lamp } => (format!("{} (lamp)", named(red)), named(black)),
        Probe::Voltage { red, black, burden: Burden::Each(_) } => {
            (named(red), format!("(compared with {})", named(black)))
        }
        Probe::Voltage { red, black, .. } | Probe::Resistance { red, black } => (named(red), named(black)),
    }
}

/// A test in a few words.
pub fn test(case: &Case, test: Test) -> String {
    let vehicle = case.vehicle();
    match test {
        Test::Measure(of) => probe(vehicle, of),
        Test::Ask(question) => format!("ask about `{}`", case.trees().question(question).name),
        Test::Sense { subject, sense } => sense_said(vehicle, subject, sense),
    }
}

/// The words that tell what was seen, heard or felt.
pub fn told_by(sense: Sense) -> String {
    let words: Vec<&str> = sense.outcomes().iter().map(|&sign| bare_sign(sign)).collect();
    alternatives(&words)
}

/// `a`, `b` or `c`.
pub fn alternatives(words: &[&str]) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    match quoted.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} or {last}", rest.join(", ")),
        None => String::new(),
    }
}

/// What to look at, listen to or feel.
pub fn sense_said(vehicle: &Vehicle, subject: PartId, sense: Sense) -> String {
    let name = part(vehicle, subject);
    match sense {
        Sense::Look => format!("see whether {name} works"),
        Sense::Listen => format!("listen whether {name} clicks as it is switched on"),
        Sense::Fuse => format!("see whether {name} looks whole"),
        Sense::Lamp => format!("see whether the lamp in place of {name} is bright, or dim or out"),
        Sense::Feel => format!("feel near {name} whether it is hot"),
        Sense::Source => format!("see by its lamp or display whether {name} gives current"),
    }
}

/// What an entry says, for the echo after it and for the record.
pub fn entry_said(case: &Case, entry: &Entry) -> String {
    let vehicle = case.vehicle();
    let with = |set: &[(ControlId, Position)]| settings_between(vehicle, set, ", with ", "");
    match entry {
        Entry::Observe { settings, subject, sign: seen } => {
            format!("{}{}", sign(vehicle, *subject, *seen), with(settings))
        }
        Entry::Complain { settings, subject, sign: seen, tree } => {
            let class = &case.trees().tree(*tree).class;
            format!("{}{}, complaint `{class}`", sign(vehicle, *subject, *seen), with(settings))
        }
        Entry::Answer { question, answer } => {
            let question = case.trees().question(*question);
            format!("`{}`: {}", question.name, question.answers[*answer].says)
        }
        Entry::Helping { channel: Channel::OnSite } => "at the vehicle from here on".to_string(),
        Entry::Helping { channel: Channel::ByPhone } => "by phone from here on".to_string(),
        Entry::Set { settings: set } => settings(vehicle, set),
        Entry::Read { settings, probe: of, measured, symptom } => {
            let when = match symptom {
                Symptom::Present => "",
                Symptom::Absent => ", while it worked",
                Symptom::Perhaps => ", whether it failed or not",
                Symptom::Wanders => ", wandering",
            };
            format!("{}: {}{}{when}", probe(vehicle, *of), shown(*measured, *symptom), with(settings))
        }
        Entry::Retake { number, measured } => format!("reading {number} taken again: {measured}"),
        Entry::Strike { number } => format!("reading {number} struck out"),
        Entry::Repaired { part: done } => format!("{} repaired", part(vehicle, *done)),
        Entry::BlackLead { point: at } => format!("black lead on {}", point(vehicle, *at)),
        Entry::TakeMeter { kind } => format!("{} meter", kind.word()),
        Entry::OutOfReach { point: at } => format!("{} cannot be reached", point(vehicle, *at)),
        Entry::Unwanted { test: unwanted } => format!("not now: {}", test(case, *unwanted)),
        Entry::Walk { scope } => walk(vehicle, *scope),
        Entry::Heed { past, counts } => {
            let what = match past {
                Past::Handover => "what was read at handover",
                Past::History => "what was repaired before",
            };
            format!("{what} {}", if *counts { "counts" } else { "is left out of account" })
        }
        Entry::Note { text } => format!("note: {text}"),
    }
}

/// Which walk it is.
pub fn walk(vehicle: &Vehicle, scope: Scope) -> String {
    match scope {
        Scope::Short => "the short walk".to_string(),
        Scope::All => "the walk to every point".to_string(),
        Scope::Of(load) => format!("the walk of {}", part(vehicle, load)),
    }
}

/// `; did you mean ...?`, or nothing.
pub fn nearest_hint(near: Option<&str>) -> String {
    near.map(|near| format!("; did you mean `{near}`?")).unwrap_or_default()
}

/// A load to use in examples: one that a person would complain of.
pub fn example_load(vehicle: &Vehicle) -> &str {
    let plain = |load: &PartId| vehicle.part(*load).kind.load().is_some_and(|load| is_familiar(load.kind));
    vehicle.loads().find(plain).or_else(|| vehicle.loads().next()).map_or("LOAD", |load| short_part(vehicle, load))
}

/// Whether anybody knows such a load and would complain of it.
fn is_familiar(kind: LoadKind) -> bool {
    match kind {
        LoadKind::Fridge | LoadKind::Lamp | LoadKind::Pump | LoadKind::Fan | LoadKind::Led => true,
        LoadKind::Motor
        | LoadKind::Heater
        | LoadKind::Compressor
        | LoadKind::Electronics
        | LoadKind::Radio
        | LoadKind::Camera
        | LoadKind::Socket
        | LoadKind::Inverter
        | LoadKind::Charger
        | LoadKind::Valve
        | LoadKind::Module
        | LoadKind::Beacon
        | LoadKind::Actuator => false,
    }
}

/// The same with a capital at its start.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
