//! The text of the file.

use super::circuit::{OwnCircuit, Plate};
use super::extras::Extra;
use super::said::Own;
use super::size::{Sized, mm2};
use super::text::LoadNames;
use crate::sketch::usual;
use crate::tables::sketch::Sketching;
use crate::tables::supply::{BatteryChemistry, rest_voltage};
use crate::vehicle::LoadKind;
use std::fmt::Write;

/// A file that was made.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnFile {
    pub text: String,
    /// What nobody said, one circuit after the other.
    pub supposed: Vec<FilledIn>,
    /// A load to try it with.
    pub load: String,
}

/// What of a circuit nobody said.
#[derive(Debug, Clone, PartialEq)]
pub struct FilledIn {
    /// Name of its load.
    pub load: String,
    /// W, where neither power nor current was said.
    pub watts: Option<f64>,
    /// Rating of its fuse, A.
    pub fuse: Option<f64>,
    /// Length one way, m.
    pub metres: Option<f64>,
    /// Its cables, mm².
    pub mm2: Option<f64>,
    /// A switch of its own.
    pub switch: bool,
}

/// The lists of the file while they grow.
struct FileWriter<'t> {
    figures: &'t Sketching,
    volts: f64,
    names: LoadNames,
    places: String,
    controls: String,
    supplies: String,
    relays: String,
    plugs: String,
    runs: String,
    supposed: Vec<FilledIn>,
    /// What all circuits draw together, A.
    amps: f64,
}

/// LoadNames that the file itself uses.
const TAKEN: [&str; 8] = ["b", "bs", "db", "nb", "body", "engine", "alt", "te"];

/// The file of a vehicle.
pub fn own_file(own: &Own, figures: &Sketching) -> OwnFile {
    let mut writer = FileWriter {
        figures,
        volts: own.volts,
        names: LoadNames::with(&TAKEN),
        places: String::new(),
        controls: String::new(),
        supplies: String::new(),
        relays: String::new(),
        plugs: String::new(),
        runs: String::new(),
        supposed: Vec::new(),
        amps: 0.0,
    };
    let mut load = String::new();
    for (index, circuit) in own.circuits.iter().enumerate() {
        let name = writer.circuit(index + 1, circuit);
        load = if index == 0 { name } else { load };
    }
    for extra in &own.extras {
        match extra {
            Extra::Charger => writer.charger(),
            Extra::SecondBattery => writer.second_battery(),
            Extra::Trailer => writer.trailer(),
        }
    }
    let text = writer.text(own);
    OwnFile { text, supposed: writer.supposed, load }
}

/// Layout: digits that a voltage is written with.
const HUNDREDTHS: f64 = 100.0;

/// A voltage that is so much in a vehicle of the usual one.
fn scaled(usual: f64, volts: f64, figures: &Sketching) -> f64 {
    (usual * volts / figures.nominal.0 * HUNDREDTHS).round() / HUNDREDTHS
}

/// A list with its heading, or nothing.
fn list(heading: &str, key: &str, entries: &str) -> String {
    let remark: String = heading.lines().map(|line| format!("    // {line}\n")).collect();
    if entries.is_empty() { String::new() } else { format!("\n{remark}    {key}: [\n{entries}    ],\n") }
}

impl FileWriter<'_> {
    fn circuit(&mut self, number: usize, circuit: &OwnCircuit) -> String {
        let name = self.names.give(&circuit.label);
        let sized = Sized::of(circuit, self.volts, self.figures);
        let Sized { amps, fuse, metres, mm2 } = sized;
        self.amps += amps;
        let (label, place) = (&circuit.label, &name);
        let has_switch = circuit.has_switch || circuit.has_relay || circuit.supposes_switch();
        let _ = writeln!(
            self.places,
            "        Place(name: \"{place}\", minutes: 5, open: \"get at the terminals of the {label}\", disturbs: Slightly),"
        );
        let switch = format!("Switch(name: \"S{number}\", label: \"{label} switch\", style: Rocker, at: \"dash\")");
        let mut parts = vec![format!("Fuse(name: \"F{number}\", amps: {fuse}),")];
        if circuit.has_relay {
            let _ = writeln!(
                self.relays,
                "        Relay(name: \"K{number}\", label: \"{label} relay\", at: \"fuse board\"),"
            );
            parts.push(format!("Contact(of: \"K{number}\"),  // terminals 30 and 87"));
        } else if has_switch {
            parts.push(format!("{switch},"));
        }
        parts.push(format!("Cable(name: \"W{number}a\", metres: {metres}, mm2: {mm2}),"));
        if circuit.has_plug {
            let _ =
                writeln!(self.plugs, "        Plug(name: \"P{number}\", label: \"{label} plug\", at: \"{place}\"),");
            parts.push(format!("Pin(of: \"P{number}\", pin: \"1\"),"));
        }
        parts.push(self.load(&name, circuit, has_switch));
        if circuit.has_plug {
            parts.push(format!("Pin(of: \"P{number}\", pin: \"2\"),"));
        }
        let end = if circuit.by_chassis {
            parts.push(format!("Cable(name: \"W{number}b\", metres: {}, mm2: {mm2}),", self.figures.tail));
            parts.push(format!("Joint(name: \"E{number}\", style: Earth, at: \"{place}\"),"));
            "body"
        } else {
            parts.push(format!("Cable(name: \"W{number}b\", metres: {metres}, mm2: {mm2}),"));
            "NB"
        };
        self.run(&format!("{number}. {label}."), &name, label, "DB", end, "fuse board", &parts);
        if circuit.has_relay {
            let coil = [
                format!("Fuse(name: \"F{number}c\", amps: {}),", self.figures.ratings[0]),
                format!("{switch},"),
                format!(
                    "Cable(name: \"W{number}c\", metres: {}, mm2: {}),",
                    self.figures.metres, self.figures.coil_mm2
                ),
                format!("Coil(of: \"K{number}\"),  // terminals 86 and 85"),
            ];
            let heading = "What works its relay: the switch, not the load's own current.";
            self.run(heading, &format!("{name} coil"), &format!("{label} relay"), "DB", "NB", "fuse board", &coil);
        }
        self.supposed.push(FilledIn {
            load: name.clone(),
            watts: circuit.draw.is_none().then(|| usual::watts(self.figures, circuit.kind)),
            fuse: circuit.fuse.is_none().then_some(fuse),
            metres: circuit.metres.is_none().then_some(metres),
            mm2: circuit.mm2.is_none().then_some(mm2),
            switch: !circuit.has_switch && has_switch,
        });
        name
    }

    /// The load; one without a switch in the drawing has one of its own.
    fn load(&self, name: &str, circuit: &OwnCircuit, has_switch: bool) -> String {
        let OwnCircuit { label, kind, draw, .. } = circuit;
        let draws = match draw {
            Some(Plate::Amps(amps)) => format!("amps: {amps}"),
            Some(Plate::Watts(watts)) => format!("watts: {watts}"),
            None => format!("watts: {}", usual::watts(self.figures, *kind)),
        };
        let rest = match kind {
            _ if has_switch => "",
            LoadKind::Fridge | LoadKind::Module => ", rest: On",
            _ => ", rest: Off",
        };
        let behaves = usual::behaves(*kind);
        format!("Load(name: \"{name}\", label: \"{label}\", kind: {kind:?}, {draws}{behaves}{rest}, at: \"{name}\"),")
    }

    #[allow(clippy::too_many_arguments)]
    fn run(&mut self, heading: &str, name: &str, label: &str, from: &str, to: &str, at: &str, parts: &[String]) {
        let parts: String = parts.iter().map(|part| format!("            {part}\n")).collect();
        let _ = write!(
            self.runs,
            "\n        // {heading}\n        Run(name: \"{name}\", label: \"{label}\", from: \"{from}\", to: \"{to}\", at: \"{at}\", parts: [\n{parts}        ]),\n"
        );
    }

    /// Rest voltage of a battery well charged, of two twelve-volt ones in a row in a
    /// vehicle of 24 V.
    fn rest(&self, chemistry: BatteryChemistry) -> f64 {
        scaled(rest_voltage(chemistry, self.figures.charge).0, self.volts, self.figures)
    }

    /// The starter battery and the alternator, which either link needs.
    fn starter(&mut self) {
        let volts = scaled(self.figures.charging, self.volts, self.figures);
        let strap = usual::mm2(self.figures, self.figures.strap);
        let rest = self.rest(BatteryChemistry::LeadAcid);
        self.places += "        Place(name: \"engine bay\", minutes: 2, open: \"open the bonnet, take the cover off the battery\"),\n";
        self.controls += "        Control(name: \"engine\", label: \"engine running\", rest: Off),\n";
        let _ = write!(
            self.supplies,
            "        Battery(name: \"BS\", label: \"starter battery\", rest: {rest}, at: \"engine bay\"),\n        \
             Alternator(name: \"ALT\", label: \"alternator\", volts: {volts}, amps: 90, runs_with: \"engine\", at: \"engine bay\"),\n"
        );
        let cable = |name: &str| format!("Cable(name: \"{name}\", metres: 1, mm2: {strap}),");
        let fuse = format!("Fuse(name: \"FA\", amps: {}, style: Bolted),", self.figures.strap);
        self.run(
            "The alternator charges the starter battery.",
            "alternator",
            "alternator",
            "ALT+",
            "BS+",
            "engine bay",
            &[cable("WA"), fuse],
        );
        self.run(
            "Its case is on body metal.",
            "alternator earth",
            "alternator",
            "body",
            "ALT-",
            "engine bay",
            &["Joint(name: \"EA\", style: Earth),".to_string(), cable("WAb")],
        );
        self.run(
            "The starter battery's earth strap.",
            "starter earth",
            "starter battery",
            "body",
            "BS-",
            "engine bay",
            &["Joint(name: \"ES\", style: Earth),".to_string(), cable("WSb")],
        );
    }

    fn second_battery(&mut self) {
        self.starter();
        let rating = self.figures.strap;
        let size = usual::mm2(self.figures, rating);
        let pulls_in = scaled(self.figures.joins, self.volts, self.figures);
        let lets_go = scaled(self.figures.parts, self.volts, self.figures);
        let _ = writeln!(
            self.relays,
            "        Relay(name: \"KL\", label: \"split relay\", min_volts: {pulls_in}, drop_volts: {lets_go}, at: \"engine bay\"),"
        );
        self.run(
            "The link between the batteries; the relay closes while the starter battery is charged.",
            "link",
            "battery link",
            "BS+",
            "B+",
            "engine bay",
            &[
                format!("Fuse(name: \"FL1\", amps: {rating}, style: Bolted),"),
                format!("Contact(of: \"KL\", amps: {}),", self.figures.strap),
                format!("Cable(name: \"WL\", metres: {}, mm2: {size}),", self.figures.metres),
                format!("Fuse(name: \"FL2\", amps: {rating}, style: Bolted, at: \"battery\"),"),
            ],
        );
        self.run(
            "What works the split relay: the volts of the starter battery.",
            "link coil",
            "split relay",
            "BS+",
            "BS-",
            "engine bay",
            &[
                format!("Fuse(name: \"FLc\", amps: {}),", self.figures.ratings[0]),
                format!("Cable(name: \"WLc\", metres: 1, mm2: {}),", self.figures.coil_mm2),
                "Coil(of: \"KL\"),".to_string(),
            ],
        );
    }

    fn charger(&mut self) {
        self.starter();
        let figures = self.figures;
        let charging = scaled(figures.charging, self.volts, figures);
        let amps = figures.source;
        let least = scaled(figures.joins, self.volts, figures);
        self.places += "        Place(name: \"charger\", minutes: 3, open: \"get at the terminals of the charger\"),\n";
        let _ = writeln!(
            self.supplies,
            "        // What the charger gives; it needs its input, the load `charger_in` below.\n        \
             Charger(name: \"DC\", label: \"charger output\", volts: {charging}, amps: {amps}, needs: [Need(load: \"charger_in\", min_volts: {least})], at: \"charger\"),"
        );
        let watts = (amps * charging * self.figures.fuse_margin).round();
        let rating = usual::fuse(figures, watts / self.volts);
        let size = mm2(figures, rating, watts / self.volts, figures.metres, self.volts);
        let cable = |name: &str, metres: f64| format!("Cable(name: \"{name}\", metres: {metres}, mm2: {size}),");
        self.run("From the starter battery into the charger; it sleeps until the engine charges.", "charger in", "charger", "BS+", "body", "engine bay", &[
            format!("Fuse(name: \"FC1\", amps: {rating}),"),
            cable("WC1", figures.metres),
            format!("Load(name: \"charger_in\", label: \"charger input\", kind: Charger, watts: {watts}, at: \"charger\"),"),
            cable("WC2", figures.tail),
            "Joint(name: \"EC\", style: Earth, at: \"charger\"),".to_string(),
        ]);
        self.run(
            "Out of the charger into the battery.",
            "charger out",
            "charger",
            "DC+",
            "B+",
            "charger",
            &[cable("WC3", 1.0), format!("Fuse(name: \"FC2\", amps: {rating}, at: \"battery\"),")],
        );
        self.run("Its negative.", "charger negative", "charger", "NB", "DC-", "charger", &[cable("WC4", 1.0)]);
    }

    fn trailer(&mut self) {
        let (size, metres) = (usual::mm2(self.figures, self.figures.ratings[3]), self.figures.metres);
        self.places += "        Place(name: \"tow bar\", minutes: 2, open: \"open the lid of the trailer socket\", disturbs: Slightly),\n        \
                        Place(name: \"trailer\", minutes: 5, open: \"take a lens off\", disturbs: Slightly),\n";
        self.plugs += "        Plug(name: \"PT\", label: \"trailer socket\", style: Trailer, at: \"tow bar\"),\n";
        for (letter, pin, name, label, watts) in
            [("T", "7", "tail", "trailer tail lamps", 10), ("B", "6", "brake", "trailer brake lamps", 42)]
        {
            let name = self.names.give(name);
            let mut parts = vec![
                format!("Fuse(name: \"F{letter}\", amps: {}),", self.figures.ratings[3]),
                format!("Switch(name: \"S{letter}\", label: \"{label} switch\", style: Rocker, at: \"dash\"),"),
                format!("Cable(name: \"W{letter}a\", metres: {metres}, mm2: {size}),"),
                format!("Pin(of: \"PT\", pin: \"{pin}\"),"),
                format!("Cable(name: \"W{letter}b\", metres: {metres}, mm2: {size}),"),
            ];
            parts.push(format!(
                "Load(name: \"{name}\", label: \"{label}\", kind: Lamp, watts: {watts}, behaves: Filament, at: \"trailer\"),"
            ));
            self.run(&format!("{label}: out by pin {pin}."), &name, label, "DB", "TE", "fuse board", &parts);
        }
        self.run(
            "All of the trailer comes back by pin 3.",
            "trailer earth",
            "trailer earth",
            "TE",
            "NB",
            "trailer",
            &[
                format!("Cable(name: \"WTe\", metres: {metres}, mm2: {size}),"),
                "Pin(of: \"PT\", pin: \"3\"),".to_string(),
                format!("Cable(name: \"WTf\", metres: {metres}, mm2: {size}),"),
            ],
        );
    }

    fn text(&mut self, own: &Own) -> String {
        let figures = self.figures;
        let circuits = std::mem::take(&mut self.runs);
        let rating = usual::fuse(figures, self.amps.max(figures.least_main));
        let size = mm2(figures, rating, self.amps, figures.main, self.volts);
        let cable = |name: &str, metres: f64| format!("Cable(name: \"{name}\", metres: {metres}, mm2: {size}),");
        self.run(
            "From the battery to the fuse board.",
            "main",
            "main feed",
            "B+",
            "DB",
            "battery",
            &[format!("Fuse(name: \"F0\", amps: {rating}, style: Bolted),"), cable("W0a", figures.main)],
        );
        self.run(
            "From the negative bar back to the battery.",
            "negative",
            "main negative",
            "NB",
            "B-",
            "fuse board",
            &[cable("W0b", figures.main)],
        );
        self.run(
            "Body metal is joined to the negative bar.",
            "earth",
            "body earth",
            "body",
            "NB",
            "fuse board",
            &["Joint(name: \"E0\", style: Earth),".to_string(), cable("W0c", figures.tail)],
        );
        let runs = std::mem::take(&mut self.runs) + &circuits;
        let chemistry = if own.battery.is_lithium { "LithiumIron" } else { "LeadAcid" };
        let trailer = if own.extras.contains(&Extra::Trailer) {
            "        Bus(name: \"TE\", label: \"trailer earth\", at: \"trailer\"),\n"
        } else {
            ""
        };
        let places = format!(
            "        Place(name: \"battery\", minutes: 2, open: \"take the cover off the battery\"),\n        \
             Place(name: \"fuse board\", minutes: 1, open: \"open the fuse board\"),\n        \
             Place(name: \"dash\", minutes: 4, open: \"get behind the switches\", disturbs: Slightly),\n{}",
            self.places
        );
        let supplies = format!(
            "        Battery(name: \"B\", label: \"battery\", chemistry: {chemistry}, ah: {}, rest: {}, at: \"battery\"),\n{}",
            own.battery.ampere_hours,
            self.rest(if own.battery.is_lithium { BatteryChemistry::LithiumIron } else { BatteryChemistry::LeadAcid }),
            self.supplies
        );
        let buses = format!(
            "        Bus(name: \"DB\", label: \"+ of the fuse board\", at: \"fuse board\"),\n        \
             Bus(name: \"NB\", label: \"negative bar\", at: \"fuse board\"),\n        \
             Bus(name: \"body\", label: \"bare body metal\", at: \"fuse board\"),\n{trailer}"
        );
        let lists = [
            list(
                "Where a probe finds things, how many minutes it takes, and how to get in.\n`disturbs: Slightly`: moving things there may cure the fault for a while.",
                "places",
                &places,
            ),
            list("What else has to be so for something to run.", "controls", &self.controls),
            list("Batteries and what charges. Their posts are the points `B+` and `B-`.", "supplies", &supplies),
            list("Bars and studs where several runs meet.", "buses", &buses),
            list("Relays; the runs have their `Contact` and their `Coil`.", "relays", &self.relays),
            list("Plugs; the runs have their pins.", "plugs", &self.plugs),
            list(
                "Circuits, as the current flows: from a supply, through every part, and back.\nA fuse has the points `F1.in`, `F1.a`, `F1.b` (the face tabs), `F1.out`; a cable `W1a.in` and `W1a.out`.",
                "runs",
                &runs,
            ),
        ];
        format!(
            "// Change anything here by hand: names, lengths, sizes, ratings. What stands behind // is a\n\
             // remark. `halfsplit reference` lists every kind of part and key, `halfsplit check` looks\n\
             // the file over.\n\
             Vehicle(\n    name: \"{}\",\n    nominal: {},\n    black: \"B-\",  // where the black lead usually goes\n    \
             chassis: \"body\",  // the point that stands for body metal\n{})\n",
            own.name,
            self.volts,
            lists.concat()
        )
    }
}
