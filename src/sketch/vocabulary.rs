//! The words of a sketched line: kinds of part and of load, as people call them.

use crate::vehicle::LoadKind;

/// What a word of a line is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LineWord {
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
    /// The negative post of the battery, where a return of cable ends.
    Negative,
    Solar,
    Alternator,
    Load(LoadKind),
    /// It says more of what stands beside it, and changes nothing.
    Note,
    /// It joins others.
    Filler,
}

use LineWord::{
    Alternator, Battery, Breaker, Cable, Chassis, Filler, Fuse, Isolator, Joint, Load, Negative, Note, Plug, Relay,
    Solar, Switch,
};

/// Words to be shown for parts and loads.
pub const USUAL: [&str; 12] =
    ["battery", "fuse", "cable", "switch", "relay", "plug", "joint", "chassis", "lamp", "pump", "fan", "fridge"];

/// Every word and phrase, by what it is.
const WORDS: [(LineWord, &[&str]); 34] = [
    (Battery, &["battery", "batteries", "batt", "bat", "accumulator"]),
    (Fuse, &["fuse", "fuses", "fuse holder", "fuseholder", "fuse box", "fuse block", "fusible link", "blade fuse"]),
    (Breaker, &["breaker", "circuit breaker", "trip"]),
    (
        Cable,
        &[
            "cable",
            "cables",
            "wire",
            "wires",
            "lead",
            "leads",
            "wiring",
            "loom",
            "harness",
            "core",
            "earth cable",
            "ground cable",
            "earth wire",
            "ground wire",
            "earth lead",
            "ground lead",
        ],
    ),
    (
        Switch,
        &[
            "switch",
            "toggle",
            "rocker",
            "button",
            "push button",
            "pushbutton",
            "toggle switch",
            "key switch",
            "ignition",
            "thermostat",
            "float switch",
            "pressure switch",
            "dimmer",
            "stalk",
        ],
    ),
    (Isolator, &["isolator", "master switch", "kill switch", "battery switch", "main switch", "disconnect", "cut off"]),
    (Relay, &["relay", "relays", "contactor", "relay coil", "relay contact", "coil", "contact", "control"]),
    (Plug, &["plug", "connector", "coupling", "trailer plug", "trailer socket", "plug and socket", "pin plug"]),
    (
        Joint,
        &[
            "joint",
            "stud",
            "lug",
            "terminal",
            "splice",
            "crimp",
            "clamp",
            "battery clamp",
            "battery terminal",
            "bus bar",
            "busbar",
            "terminal block",
            "junction",
            "screw",
            "hub",
        ],
    ),
    (
        Chassis,
        &[
            "chassis",
            "earth",
            "ground",
            "body",
            "frame",
            "body metal",
            "earth stud",
            "earth point",
            "ground point",
            "gnd",
        ],
    ),
    (Negative, &["negative", "battery negative", "minus", "battery minus", "negative post", "battery earth"]),
    (Solar, &["solar", "solar panel", "solar panels", "panel", "solar regulator", "mppt", "pv"]),
    (Alternator, &["alternator", "dynamo", "generator"]),
    (
        Load(LoadKind::Lamp),
        &[
            "lamp",
            "lamps",
            "light",
            "lights",
            "bulb",
            "bulbs",
            "headlight",
            "headlights",
            "headlamp",
            "spotlight",
            "spotlights",
            "tail light",
            "brake light",
            "stop light",
            "indicator",
            "indicators",
            "work light",
            "worklight",
            "floodlight",
        ],
    ),
    (Load(LoadKind::Led), &["led", "leds", "light bar", "lightbar", "led bar", "strip", "led strip", "strip light"]),
    (Load(LoadKind::Fan), &["fan", "fans", "vent", "blower", "ventilator", "extractor"]),
    (Load(LoadKind::Pump), &["pump", "pumps", "washer", "bilge", "macerator"]),
    (
        Load(LoadKind::Motor),
        &[
            "motor",
            "winch",
            "lift",
            "tail lift",
            "starter",
            "starter motor",
            "windlass",
            "wiper",
            "wipers",
            "window",
            "hoist",
            "crane",
            "thruster",
            "reel",
        ],
    ),
    (Load(LoadKind::Fridge), &["fridge", "fridges", "freezer", "refrigerator", "cooler", "cool box", "coolbox"]),
    (Load(LoadKind::Heater), &["heater", "furnace", "oven", "kettle", "pad", "boiler", "seat heater", "demister"]),
    (Load(LoadKind::Compressor), &["compressor", "air compressor", "air pump"]),
    (Load(LoadKind::Radio), &["radio", "stereo", "cb", "transceiver", "amplifier", "head unit"]),
    (Load(LoadKind::Camera), &["camera", "screen", "monitor", "display", "reversing camera"]),
    (Load(LoadKind::Inverter), &["inverter"]),
    (Load(LoadKind::Charger), &["charger", "chargers", "dc dc", "dcdc", "dc dc charger", "converter", "b2b"]),
    (
        Load(LoadKind::Socket),
        &[
            "socket",
            "sockets",
            "outlet",
            "outlets",
            "usb",
            "usb socket",
            "usb sockets",
            "usb outlet",
            "usb port",
            "cigarette lighter",
            "lighter",
            "power point",
        ],
    ),
    (Load(LoadKind::Valve), &["valve", "solenoid", "solenoid valve", "gas valve"]),
    (Load(LoadKind::Beacon), &["beacon", "strobe"]),
    (
        Load(LoadKind::Electronics),
        &["television", "tv", "gps", "plotter", "autopilot", "computer", "laptop", "router", "gauge"],
    ),
    (Load(LoadKind::Module), &["module", "tracker", "alarm", "controller", "ecu"]),
    (Load(LoadKind::Actuator), &["actuator", "ram", "horn", "siren", "lock", "brake magnets", "magnets"]),
    (
        Note,
        &[
            "pin", "pins", "pole", "way", "lithium", "agm", "gel", "acid", "main", "inline", "red", "black", "blue",
            "green", "white", "yellow", "brown", "orange", "old", "new", "big", "small", "heavy", "thick", "thin",
            "left", "right", "front", "rear", "roof", "cab", "trailer", "water", "brake", "tail", "work", "driving",
            "start", "house", "leisure", "air", "load", "device", "consumer", "spdt", "spst", "normally", "open",
            "positive", "plus", "feed", "supply",
        ],
    ),
    (
        Filler,
        &[
            "and", "then", "to", "the", "a", "an", "with", "of", "via", "from", "through", "into", "on", "at", "by",
            "in", "is", "some", "long", "back", "for", "each", "size", "rated", "about", "it", "goes", "next", "after",
            "that", "over", "square", "squared",
        ],
    ),
    (Load(LoadKind::Pump), &["bilge pump", "water pump", "washer pump"]),
];

/// Layout: words of the longest phrase.
const PHRASE: usize = 3;

/// What a word or phrase is.
fn meaning(phrase: &str) -> Option<LineWord> {
    WORDS
        .iter()
        .filter(|(word, _)| *word != Note)
        .chain(WORDS.iter())
        .find(|(_, said)| said.contains(&phrase))
        .map(|(word, _)| *word)
}

/// What the longest phrase at the head of some words is, and its number of words.
pub fn read(words: &[&str]) -> Option<(LineWord, usize)> {
    let most = words.len().min(PHRASE);
    (1..=most).rev().find_map(|count| meaning(&words[..count].join(" ")).map(|word| (word, count)))
}

/// Every word there is, for the nearest match.
pub fn all_words() -> impl Iterator<Item = &'static str> + Clone {
    WORDS.iter().flat_map(|(_, said)| said.iter().copied()).filter(|said| said.len() > 2)
}

/// The word for a kind of load.
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
        LoadKind::Charger => "charger",
        LoadKind::Socket => "socket",
        LoadKind::Module => "module",
        LoadKind::Electronics => "electronics",
    }
}
