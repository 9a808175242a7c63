//! The words of a sketched line.

use crate::vehicle::LoadKind;

/// Kinds of part by their words.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PartWord {
    Battery,
    Fuse,
    Breaker,
    Cable,
    Switch,
    Isolator,
    Relay,
    Plug,
    Joint,
    Chassis,
}

const PARTS: [(&str, PartWord); 10] = [
    ("battery", PartWord::Battery),
    ("fuse", PartWord::Fuse),
    ("breaker", PartWord::Breaker),
    ("cable", PartWord::Cable),
    ("switch", PartWord::Switch),
    ("isolator", PartWord::Isolator),
    ("relay", PartWord::Relay),
    ("plug", PartWord::Plug),
    ("joint", PartWord::Joint),
    ("chassis", PartWord::Chassis),
];
const OTHER_WORDS: [(&str, PartWord); 14] = [
    ("wire", PartWord::Cable),
    ("lead", PartWord::Cable),
    ("button", PartWord::Switch),
    ("connector", PartWord::Plug),
    ("socket", PartWord::Plug),
    ("stud", PartWord::Joint),
    ("lug", PartWord::Joint),
    ("terminal", PartWord::Joint),
    ("splice", PartWord::Joint),
    ("earth", PartWord::Chassis),
    ("ground", PartWord::Chassis),
    ("body", PartWord::Chassis),
    ("frame", PartWord::Chassis),
    ("contactor", PartWord::Relay),
];

/// Kinds of load that a line can name.
const LOADS: [LoadKind; 14] = [
    LoadKind::Lamp,
    LoadKind::Led,
    LoadKind::Fan,
    LoadKind::Pump,
    LoadKind::Motor,
    LoadKind::Fridge,
    LoadKind::Heater,
    LoadKind::Compressor,
    LoadKind::Radio,
    LoadKind::Camera,
    LoadKind::Inverter,
    LoadKind::Valve,
    LoadKind::Beacon,
    LoadKind::Actuator,
];

/// The word for a kind of load in a line.
pub fn word_of(kind: LoadKind) -> &'static str {
    match kind {
        LoadKind::Lamp => "lamp",
        LoadKind::Led => "led",
        LoadKind::Fan => "fan",
        LoadKind::Pump => "pump",
        LoadKind::Motor => "motor",
        LoadKind::Fridge => "fridge",
        LoadKind::Heater => "heater",
        LoadKind::Compressor => "compressor",
        LoadKind::Radio => "radio",
        LoadKind::Camera => "camera",
        LoadKind::Inverter => "inverter",
        LoadKind::Valve => "valve",
        LoadKind::Beacon => "beacon",
        LoadKind::Actuator => "actuator",
        LoadKind::Electronics | LoadKind::Socket | LoadKind::Charger | LoadKind::Module => "load",
    }
}

/// Other words for them.
const OTHER_LOADS: [(&str, LoadKind); 8] = [
    ("light", LoadKind::Lamp),
    ("bulb", LoadKind::Lamp),
    ("leds", LoadKind::Led),
    ("vent", LoadKind::Fan),
    ("winch", LoadKind::Motor),
    ("lift", LoadKind::Motor),
    ("fridges", LoadKind::Fridge),
    ("screen", LoadKind::Camera),
];

/// The words to be shown for parts and loads.
pub fn usual_words() -> impl Iterator<Item = &'static str> + Clone {
    PARTS.iter().map(|(word, _)| *word).chain(LOADS.iter().map(|&kind| word_of(kind)))
}

/// The kind of part that a word means.
pub fn part_of(word: &str) -> Option<PartWord> {
    find(&PARTS, word).or_else(|| find(&OTHER_WORDS, word))
}

/// The kind of load that a word means.
pub fn load_of(word: &str) -> Option<LoadKind> {
    LOADS.into_iter().find(|&kind| word_of(kind) == word).or_else(|| find(&OTHER_LOADS, word))
}

fn find<T: Copy>(table: &[(&str, T)], word: &str) -> Option<T> {
    table.iter().find(|(known, _)| *known == word).map(|(_, value)| *value)
}
