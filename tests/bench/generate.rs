//! Large vehicles for measuring: a battery and an alternator, a hub for each
//! zone, fuse boards on it, and circuits of the usual kinds on the boards, as
//! the text of a vehicle file. The same seed gives the same vehicle.

use rand::seq::IndexedRandom;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::fmt::Write;

/// From: common practice, no source. Circuits on a board.
const CIRCUITS: usize = 14;
/// From: common practice, no source. Boards on a hub.
const BOARDS: usize = 6;
/// From: common practice, no source. Cables to a load, to one by relay, and to
/// the coil, mm².
const LOAD_MM2: f64 = 2.5;
/// From: the same.
const RELAY_MM2: f64 = 4.0;
/// From: the same.
const COIL_MM2: f64 = 0.75;
/// From: common practice, no source. Minutes that take apart what is behind a
/// board or the lid of the battery box.
const LID: f64 = 3.0;
/// From: common practice, no source. Metres of a cable of several cores.
const MULTICORE: std::ops::Range<f64> = 3.0..9.0;
/// From: the same, of any other.
const CABLE: std::ops::Range<f64> = 1.0..8.0;
/// From: common practice, no source. Minutes that open the place of a load.
const OPENING: std::ops::Range<f64> = 1.0..12.0;

/// What a load may be: kind, and its size as the file says it.
const LOADS: [(&str, &str); 7] = [
    ("Led", "amps: 1.5, behaves: ConstantCurrent"),
    ("Lamp", "watts: 42"),
    ("Fan", "ohms: 9"),
    ("Pump", "ohms: 7.5"),
    ("Heater", "watts: 90"),
    ("Radio", "amps: 3, behaves: ConstantCurrent"),
    ("Valve", "ohms: 24"),
];

/// The text of a 24 V vehicle of about so many parts (300 to 5000 or so).
pub fn vehicle_text(seed: u64, parts: usize) -> String {
    let mut writer = VehicleWriter { random: ChaCha8Rng::seed_from_u64(seed), ..VehicleWriter::new() };
    writer.supplies();
    while writer.parts < parts {
        if writer.boards.is_multiple_of(BOARDS) {
            writer.zone();
        }
        writer.board();
        for _ in 0..CIRCUITS {
            if writer.parts < parts {
                writer.circuit();
            }
        }
    }
    writer.text()
}

/// The sections of a file as they fill.
struct VehicleWriter {
    random: ChaCha8Rng,
    parts: usize,
    zones: usize,
    boards: usize,
    circuits: usize,
    places: String,
    buses: String,
    relays: String,
    plugs: String,
    multicores: String,
    runs: String,
}

/// Appends a line; writing to a String cannot fail.
fn line(section: &mut String, text: std::fmt::Arguments<'_>) {
    let _ = writeln!(section, "        {text}");
}

impl VehicleWriter {
    fn new() -> Self {
        let empty = String::new;
        Self {
            random: ChaCha8Rng::seed_from_u64(0),
            parts: 0,
            zones: 0,
            boards: 0,
            circuits: 0,
            places: empty(),
            buses: empty(),
            relays: empty(),
            plugs: empty(),
            multicores: empty(),
            runs: empty(),
        }
    }

    fn text(self) -> String {
        format!(
            "// Made up for measuring; no such vehicle stands anywhere.\n\
             Vehicle(\n    name: \"Measuring vehicle of {} parts\", nominal: 24, chassis: \"body\", black: \"B-\",\n    \
             places: [\n{}    ],\n    controls: [ Control(name: \"engine\", label: \"engine running\", rest: Off, minutes: 0.3) ],\n    \
             supplies: [\n        Battery(name: \"B\", label: \"battery\", chemistry: LeadAcid, ah: 440, rest: 25.4, ohms: 0.004, at: \"battery box\"),\n        \
             Alternator(name: \"ALT\", label: \"alternator\", volts: 28.2, ohms: 0.01, amps: 180, runs_with: \"engine\", at: \"engine bay\"),\n    ],\n    \
             buses: [\n{}    ],\n    relays: [\n{}    ],\n    plugs: [\n{}    ],\n    multicores: [\n{}    ],\n    runs: [\n{}    ],\n)\n",
            self.parts, self.places, self.buses, self.relays, self.plugs, self.multicores, self.runs
        )
    }

    fn run(&mut self, name: &str, from: &str, to: &str, at: &str, parts: &[String], count: usize) {
        let parts = parts.join(", ");
        line(
            &mut self.runs,
            format_args!(
                "Run(name: \"{name}\", label: \"{name}\", from: \"{from}\", to: \"{to}\", at: \"{at}\", parts: [{parts}]),"
            ),
        );
        self.parts += count;
    }

    fn place(&mut self, name: &str, minutes: f64) {
        line(&mut self.places, format_args!("Place(name: \"{name}\", minutes: {minutes:.1}, open: \"open {name}\"),"));
    }

    fn bus(&mut self, name: &str, at: &str) {
        line(&mut self.buses, format_args!("Bus(name: \"{name}\", label: \"{name}\", at: \"{at}\"),"));
    }

    fn cable(&mut self, name: &str, area: f64) -> String {
        format!("Cable(name: \"{name}\", metres: {:.1}, mm2: {area})", self.random.random_range(CABLE))
    }

    fn supplies(&mut self) {
        self.parts += 2;
        self.place("battery box", LID);
        self.place("engine bay", 2.0);
        self.bus("HB", "battery box");
        self.bus("NB", "battery box");
        self.bus("body", "engine bay");
        let feed = [
            "Joint(name: \"LP\", style: Lug)",
            "Fuse(name: \"F0\", amps: 250, style: Bolted)",
            "Cable(name: \"WP\", metres: 0.8, mm2: 95)",
        ];
        self.run("main", "B+", "HB", "battery box", &feed.map(String::from), 5);
        let back = ["Cable(name: \"WN\", metres: 0.8, mm2: 95)", "Joint(name: \"LN\", style: Lug)"];
        self.run("return", "NB", "B-", "battery box", &back.map(String::from), 2);
        let charge = ["Cable(name: \"WA\", metres: 1.5, mm2: 70)", "Fuse(name: \"FA\", amps: 250, style: Bolted)"];
        self.run("charge", "ALT+", "HB", "battery box", &charge.map(String::from), 4);
        self.run(
            "charge return",
            "NB",
            "ALT-",
            "engine bay",
            &["Cable(name: \"WAr\", metres: 1.5, mm2: 70)".to_string()],
            1,
        );
        let bond = ["Cable(name: \"WB\", metres: 0.6, mm2: 70)", "Joint(name: \"EB\", style: Earth)"];
        self.run("bond", "NB", "body", "engine bay", &bond.map(String::from), 2);
    }

    /// A hub fed from the battery's, and its return.
    fn zone(&mut self) {
        self.zones += 1;
        let z = self.zones;
        let place = format!("zone {z}");
        self.place(&place, 2.0);
        self.bus(&format!("Z{z}P"), &place);
        self.bus(&format!("Z{z}N"), &place);
        let feed = [
            format!("Fuse(name: \"FZ{z}\", amps: 150, style: Bolted)"),
            format!("Cable(name: \"WZ{z}\", metres: 3, mm2: 50)"),
            format!("Joint(name: \"LZ{z}\", style: Stud)"),
        ];
        self.run(&format!("zone {z}"), "HB", &format!("Z{z}P"), &place, &feed, 5);
        let back =
            [format!("Joint(name: \"LZ{z}n\", style: Stud)"), format!("Cable(name: \"WZ{z}n\", metres: 3, mm2: 50)")];
        self.run(&format!("zone {z} return"), &format!("Z{z}N"), "NB", &place, &back, 2);
    }

    /// A fuse board on the newest hub, and an earth stud beside it.
    fn board(&mut self) {
        self.boards += 1;
        let (b, z) = (self.boards, self.zones);
        let (front, rear) = (format!("board {b}"), format!("rear of board {b}"));
        self.place(&front, 0.5);
        self.place(&rear, LID);
        for bus in ["P", "N", "E"] {
            self.bus(&format!("D{b}{bus}"), &front);
        }
        let feed = [
            format!("Fuse(name: \"FD{b}\", amps: 80, style: Bolted, at: \"zone {z}\")"),
            format!("Cable(name: \"WD{b}\", metres: 2, mm2: 25)"),
            format!("Joint(name: \"LD{b}\", style: Stud)"),
        ];
        self.run(&format!("board {b}"), &format!("Z{z}P"), &format!("D{b}P"), &front, &feed, 5);
        let back =
            [format!("Joint(name: \"LD{b}n\", style: Stud)"), format!("Cable(name: \"WD{b}n\", metres: 2, mm2: 25)")];
        self.run(&format!("board {b} return"), &format!("D{b}N"), &format!("Z{z}N"), &front, &back, 2);
        let earth =
            [format!("Joint(name: \"ED{b}\", style: Earth)"), format!("Chassis(name: \"MD{b}\", ohms: 0.0004)")];
        self.run(&format!("earth {b}"), &format!("D{b}E"), "body", &front, &earth, 2);
    }

    fn load(&mut self, name: &str, at: &str) -> String {
        let (kind, size) = LOADS.choose(&mut self.random).copied().unwrap_or(LOADS[0]);
        format!("Load(name: \"{name}\", label: \"{} {name}\", kind: {kind}, {size}, at: \"{at}\")", kind.to_lowercase())
    }

    /// A circuit of some kind on the newest board.
    fn circuit(&mut self) {
        self.circuits += 1;
        let c = self.circuits;
        let place = format!("bay {c}");
        let minutes = self.random.random_range(OPENING);
        self.place(&place, minutes);
        match self.random.random_range(0..10) {
            0..3 => self.switched(&place),
            3..5 => self.plugged(&place),
            5..7 => self.by_relay(&place),
            7..9 => self.earthed(&place),
            _ => self.in_multicore(&place),
        }
    }

    fn fuse(&self, amps: u8) -> String {
        format!("Fuse(name: \"F{}\", amps: {amps}, back: \"rear of board {}\")", self.circuits, self.boards)
    }

    fn switch(&self) -> String {
        let c = self.circuits;
        format!("Switch(name: \"S{c}\", label: \"switch {c}\", style: Rocker)")
    }

    fn on_board(&self) -> (String, String, String) {
        let b = self.boards;
        (format!("D{b}P"), format!("D{b}N"), format!("board {b}"))
    }

    fn switched(&mut self, place: &str) {
        let c = self.circuits;
        let (from, to, at) = self.on_board();
        let parts = [
            self.fuse(10),
            self.cable(&format!("W{c}a"), LOAD_MM2),
            self.switch(),
            self.cable(&format!("W{c}b"), LOAD_MM2),
            self.load(&format!("L{c}"), place),
            self.cable(&format!("W{c}r"), LOAD_MM2),
        ];
        self.run(&format!("C{c}"), &from, &to, &at, &parts, 8);
    }

    fn plugged(&mut self, place: &str) {
        let c = self.circuits;
        let (from, to, at) = self.on_board();
        line(
            &mut self.plugs,
            format_args!("Plug(name: \"J{c}\", label: \"plug {c}\", style: Sealed, rest: On, at: \"{place}\"),"),
        );
        let parts = [
            self.fuse(10),
            self.switch(),
            self.cable(&format!("W{c}a"), LOAD_MM2),
            format!("Pin(of: \"J{c}\", pin: \"1\")"),
            self.load(&format!("L{c}"), place),
            format!("Pin(of: \"J{c}\", pin: \"2\")"),
            self.cable(&format!("W{c}r"), LOAD_MM2),
        ];
        self.run(&format!("C{c}"), &from, &to, &at, &parts, 9);
    }

    fn by_relay(&mut self, place: &str) {
        let c = self.circuits;
        let (from, to, at) = self.on_board();
        line(&mut self.relays, format_args!("Relay(name: \"K{c}\", label: \"relay {c}\", ohms: 300, at: \"{at}\"),"));
        let parts = [
            self.fuse(15),
            format!("Contact(of: \"K{c}\")"),
            self.cable(&format!("W{c}a"), RELAY_MM2),
            self.load(&format!("L{c}"), place),
            self.cable(&format!("W{c}r"), RELAY_MM2),
        ];
        self.run(&format!("C{c}"), &from, &to, &at, &parts, 7);
        let steering = [
            format!("Fuse(name: \"F{c}k\", amps: 3, back: \"rear of board {}\")", self.boards),
            self.cable(&format!("W{c}k"), COIL_MM2),
            self.switch(),
            self.cable(&format!("W{c}l"), COIL_MM2),
            format!("Coil(of: \"K{c}\")"),
            self.cable(&format!("W{c}m"), COIL_MM2),
        ];
        self.run(&format!("C{c}k"), &from, &to, &at, &steering, 8);
    }

    /// Back through body metal instead of by wire.
    fn earthed(&mut self, place: &str) {
        let c = self.circuits;
        let (from, _, at) = self.on_board();
        let parts = [
            self.fuse(10),
            self.switch(),
            self.cable(&format!("W{c}a"), LOAD_MM2),
            self.load(&format!("L{c}"), place),
            self.cable(&format!("W{c}r"), LOAD_MM2),
        ];
        let stud = format!("D{}E", self.boards);
        self.run(&format!("C{c}"), &from, &stud, &at, &parts, 7);
    }

    /// Three loads in one cable with one return between them.
    fn in_multicore(&mut self, place: &str) {
        let c = self.circuits;
        let (from, to, at) = self.on_board();
        let metres = self.random.random_range(MULTICORE);
        let cores: Vec<String> = (1..=4).map(|core| format!("Core(name: \"{core}\", mm2: 1.5)")).collect();
        let cores = cores.join(", ");
        line(
            &mut self.multicores,
            format_args!("Multicore(name: \"R{c}\", label: \"cable {c}\", metres: {metres:.1}, cores: [{cores}]),"),
        );
        self.bus(&format!("RJ{c}"), place);
        for core in 1..=3 {
            let parts = [
                format!("Fuse(name: \"F{c}n{core}\", amps: 5, back: \"rear of board {}\")", self.boards),
                format!("Switch(name: \"S{c}n{core}\", label: \"switch {c}n{core}\", style: Rocker)"),
                format!("Core(of: \"R{c}\", core: \"{core}\")"),
                format!(
                    "Load(name: \"L{c}n{core}\", label: \"lamp {c}n{core}\", kind: Led, amps: 0.8, behaves: ConstantCurrent, at: \"{place}\")"
                ),
            ];
            self.run(&format!("C{c}n{core}"), &from, &format!("RJ{c}"), &at, &parts, 6);
        }
        self.run(&format!("C{c}r"), &format!("RJ{c}"), &to, &at, &[format!("Core(of: \"R{c}\", core: \"4\")")], 1);
    }
}
