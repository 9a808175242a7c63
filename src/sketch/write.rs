//! Parts of a line to the text of a vehicle file.

use super::assumed::{Assumed, Sketch};
use super::error::SketchError;
use super::item::{Item, made};
use super::usual;
use crate::tables::sketch::Sketching;
use std::fmt::Write;

/// The vehicle of a line.
///
/// # Errors
/// [`SketchError`] for the first thing in it that is not understood.
pub fn sketch(figures: &Sketching, line: &str) -> Result<Sketch, SketchError> {
    let made = made(line)?;
    let items: Vec<Item> = made.iter().map(|made| made.item.clone()).collect();
    let loads: Vec<usize> = (0..items.len()).filter(|&at| matches!(items[at], Item::Load { .. })).collect();
    let (Some(&first), Some(&last)) = (loads.first(), loads.last()) else { return Err(SketchError::NoLoad) };
    let mut writer = Writer::of(figures, &items);
    writer.feed(&items[..first]);
    let load = match loads[..] {
        [only] => {
            let load = writer.load(&items[only]);
            writer.back(&items[only + 1..]);
            load
        }
        // Each on a branch of its own behind what all share.
        _ => {
            let shared = std::mem::take(&mut writer.there);
            let starts = [first].into_iter().chain(loads.iter().map(|at| at + 1));
            let names: Vec<String> = loads
                .iter()
                .zip(starts)
                .map(|(&at, start)| writer.branch(&items[start..at], &items[at], &items[last + 1..]))
                .collect();
            writer.there = shared;
            names[0].clone()
        }
    };
    items.iter().for_each(|item| writer.source(item));
    let text = writer.text(line);
    Ok(Sketch { text, assumed: writer.assumed, load, made })
}

struct Writer<'t> {
    figures: &'t Sketching,
    volts: f64,
    /// The fuse that protects what follows, A.
    fuse: f64,
    /// Current of the load, A.
    amps: f64,
    relay: bool,
    counts: [usize; 6],
    battery: String,
    relays: String,
    plugs: Vec<String>,
    there: Vec<String>,
    back: Vec<String>,
    coils: Vec<String>,
    /// Runs of loads that share a feed.
    branches: Vec<String>,
    loads: Vec<String>,
    sources: String,
    controls: String,
    by_chassis: bool,
    assumed: Vec<Assumed>,
}

const LETTERS: [char; 6] = ['F', 'W', 'S', 'K', 'P', 'J'];

impl<'t> Writer<'t> {
    fn of(figures: &'t Sketching, items: &[Item]) -> Self {
        let mut assumed = Vec::new();
        let battery = items.iter().find_map(|item| match *item {
            Item::Battery { volts, ampere_hours, lithium } => Some((volts, ampere_hours, lithium)),
            _ => None,
        });
        let (volts, ampere_hours, lithium) = battery.unwrap_or((None, None, false));
        if volts.is_none() || ampere_hours.is_none() {
            let (volts, ampere_hours) =
                (volts.unwrap_or(figures.nominal.0), ampere_hours.unwrap_or(figures.ampere_hours));
            assumed.push(Assumed::Battery { volts, ampere_hours });
        }
        let (volts, ampere_hours) = (volts.unwrap_or(figures.nominal.0), ampere_hours.unwrap_or(figures.ampere_hours));
        let chemistry = if lithium { "LithiumIron" } else { "LeadAcid" };
        let drawn = items.iter().filter_map(|item| match *item {
            Item::Load { kind, watts, amps, .. } => {
                Some(amps.unwrap_or(watts.unwrap_or(usual::watts(figures, kind)) / volts))
            }
            _ => None,
        });
        let amps: f64 = drawn.sum();
        let fuse = items.iter().find_map(|item| match *item {
            Item::Fuse { amps } | Item::Breaker { amps } => amps,
            _ => None,
        });
        Self {
            figures,
            volts,
            fuse: fuse.unwrap_or(usual::fuse(figures, amps)),
            amps,
            relay: items.iter().any(|item| matches!(item, Item::Relay)),
            counts: [0; 6],
            battery: format!(
                "Battery(name: \"B\", label: \"battery\", chemistry: {chemistry}, ah: {ampere_hours}, charge: 0.8, at: \"battery\")"
            ),
            relays: String::new(),
            plugs: Vec::new(),
            there: Vec::new(),
            back: Vec::new(),
            coils: Vec::new(),
            branches: Vec::new(),
            loads: Vec::new(),
            sources: String::new(),
            controls: String::new(),
            by_chassis: false,
            assumed,
        }
    }

    /// The next name with a letter.
    fn name(&mut self, letter: char) -> String {
        let at = LETTERS.iter().position(|known| *known == letter).unwrap_or(0);
        self.counts[at] += 1;
        format!("{letter}{}", self.counts[at])
    }

    fn cable(&mut self, metres: Option<f64>, mm2: Option<f64>, length: f64) -> String {
        let name = self.name('W');
        let (long, thick) = (metres.unwrap_or(length), mm2.unwrap_or(usual::mm2(self.figures, self.fuse)));
        if metres.is_none() || mm2.is_none() {
            self.assumed.push(Assumed::Cable { name: name.clone(), metres: long, mm2: thick });
        }
        format!("Cable(name: \"{name}\", metres: {long}, mm2: {thick})")
    }

    fn protection(&mut self, word: &str, amps: Option<f64>) -> String {
        let name = self.name('F');
        let rating = amps.unwrap_or(self.fuse);
        self.fuse = rating;
        if amps.is_none() {
            self.assumed.push(Assumed::Fuse { name: name.clone(), amps: rating });
        }
        format!("{word}(name: \"{name}\", amps: {rating}, at: \"fuses\")")
    }

    /// One part on either side of the load; what has no part of its own is none.
    fn part(&mut self, item: &Item) -> Option<String> {
        Some(match *item {
            Item::Fuse { amps } => self.protection("Fuse", amps),
            Item::Breaker { amps } => self.protection("Breaker", amps),
            Item::Cable { metres, mm2 } => self.cable(metres, mm2, self.figures.metres),
            // With a relay, the switch works the relay.
            Item::Switch if self.relay => return None,
            Item::Switch => {
                let name = self.name('S');
                format!("Switch(name: \"{name}\", label: \"switch\", style: Rocker, at: \"switch\")")
            }
            Item::Isolator => {
                let name = self.name('S');
                format!("Isolator(name: \"{name}\", label: \"isolator\", style: Hand, rest: On, at: \"fuses\")")
            }
            Item::Relay => self.relay(),
            Item::Plug => {
                let name = self.name('P');
                self.plugs.push(name.clone());
                format!("Pin(of: \"{name}\", pin: \"1\")")
            }
            Item::Joint => {
                let name = self.name('J');
                format!("Joint(name: \"{name}\", style: Screw, at: \"load\")")
            }
            Item::Battery { .. } | Item::Load { .. } | Item::Chassis | Item::Negative | Item::Source { .. } => {
                return None;
            }
        })
    }

    /// From the battery to the load: a fuse and a cable there always are.
    fn feed(&mut self, items: &[Item]) {
        let has = |wanted: fn(&Item) -> bool| items.iter().any(wanted);
        if !has(|item| matches!(item, Item::Fuse { .. } | Item::Breaker { .. })) {
            let fuse = self.protection("Fuse", None);
            self.there.push(fuse);
        }
        for item in items {
            let part = self.part(item);
            self.there.extend(part);
        }
        if !has(|item| matches!(item, Item::Cable { .. })) {
            let cable = self.cable(None, None, self.figures.metres);
            self.there.push(cable);
        }
    }

    fn relay(&mut self) -> String {
        let name = self.name('K');
        let _ = write!(self.relays, "Relay(name: \"{name}\", label: \"relay\", at: \"fuses\"), ");
        let switch = self.name('S');
        let (fuse, feed, tail, earth) = (self.name('F'), self.name('W'), self.name('W'), self.name('J'));
        let (tap, run_name) = (self.name('J'), format!("coil{}", self.coils.len() + 1));
        let parts = [
            format!("Joint(name: \"{tap}\", style: Screw, at: \"battery\")"),
            format!("Fuse(name: \"{fuse}\", amps: 5, at: \"fuses\")"),
            format!("Switch(name: \"{switch}\", label: \"switch\", style: Rocker, at: \"switch\")"),
            format!("Cable(name: \"{feed}\", metres: {}, mm2: {})", self.figures.metres, self.figures.coil_mm2),
            format!("Coil(of: \"{name}\")"),
            format!("Cable(name: \"{tail}\", metres: {}, mm2: {})", self.figures.tail, self.figures.coil_mm2),
            format!("Joint(name: \"{earth}\", style: Earth, at: \"fuses\")"),
        ];
        self.coils.push(run(&run_name, "relay coil", "B+", "body", &parts));
        self.assumed.push(Assumed::Coil { name: name.clone() });
        format!("Contact(of: \"{name}\")")
    }

    /// The load; its name.
    fn load(&mut self, item: &Item) -> String {
        let Item::Load { kind, name: ref word, watts, amps } = *item else { return String::new() };
        let alike = self.loads.iter().filter(|known| *known == word).count();
        let name = if alike == 0 { word.clone() } else { format!("{word}{}", alike + 1) };
        self.loads.push(word.clone());
        let size = match (watts, amps) {
            (_, Some(amps)) => format!("amps: {amps}"),
            (Some(watts), None) => format!("watts: {watts}"),
            (None, None) => {
                let watts = usual::watts(self.figures, kind);
                self.assumed.push(Assumed::Load { name: name.clone(), watts });
                format!("watts: {watts}")
            }
        };
        let behaves = usual::behaves(kind);
        self.there
            .push(format!("Load(name: \"{name}\", label: \"{name}\", kind: {kind:?}, {size}{behaves}, at: \"load\")"));
        name
    }

    /// A load with what lies before and behind it alone; its name.
    fn branch(&mut self, own: &[Item], load: &Item, behind: &[Item]) -> String {
        let shared = std::mem::take(&mut self.plugs);
        for item in own {
            let part = self.part(item);
            self.there.extend(part);
        }
        if !own.iter().any(|item| matches!(item, Item::Cable { .. })) {
            let cable = self.cable(None, None, self.figures.tail);
            self.there.push(cable);
        }
        let name = self.load(load);
        self.back(behind);
        self.plugs.splice(..0, shared);
        let parts = [std::mem::take(&mut self.there), std::mem::take(&mut self.back)].concat();
        let end = self.end();
        self.branches.push(run(&format!("to_{name}"), &name, "T", end, &parts));
        name
    }

    fn end(&self) -> &'static str {
        if self.by_chassis { "body" } else { "BN" }
    }

    /// What charges the battery, with wires of its own.
    fn source(&mut self, item: &Item) {
        let Item::Source { is_solar, amps } = *item else { return };
        let (name, kind, label, with) = if is_solar {
            ("PV", "Solar", "solar regulator", "sun")
        } else {
            ("ALT", "Alternator", "alternator", "engine")
        };
        let amps = amps.unwrap_or(self.figures.source);
        self.assumed.push(Assumed::Source { name: name.to_string(), amps });
        let volts = self.figures.charging * self.volts / self.figures.nominal.0;
        let _ = write!(
            self.sources,
            ", {kind}(name: \"{name}\", label: \"{label}\", volts: {volts}, amps: {amps}, runs_with: \"{with}\", at: \"source\")"
        );
        let rest = if is_solar { "sun on the panel" } else { "engine running" };
        let _ = write!(self.controls, "Control(name: \"{with}\", label: \"{rest}\", rest: Off, minutes: 0.5), ");
        let rating = usual::fuse(self.figures, amps);
        let (fuse, there, back) = (self.name('F'), self.name('W'), self.name('W'));
        let mm2 = usual::mm2(self.figures, rating);
        let metres = self.figures.metres;
        let cable = |name: &str| format!("Cable(name: \"{name}\", metres: {metres}, mm2: {mm2})");
        let fuse = format!("Fuse(name: \"{fuse}\", amps: {rating}, at: \"fuses\")");
        self.branches.push(run(&format!("{name}_feed"), label, &format!("{name}+"), "B+", &[fuse, cable(&there)]));
        self.branches.push(run(&format!("{name}_return"), label, "BN", &format!("{name}-"), &[cable(&back)]));
    }

    /// From the load to the battery: by body metal unless a cable is named.
    fn back(&mut self, items: &[Item]) {
        if let Some(plug) = self.plugs.last().cloned() {
            self.back.push(format!("Pin(of: \"{plug}\", pin: \"2\")"));
            self.assumed.push(Assumed::SecondPin { name: plug });
        }
        for item in items {
            let part = self.part(item);
            self.back.extend(part);
        }
        let has = |wanted: fn(&Item) -> bool| items.iter().any(wanted);
        let named = has(|item| matches!(item, Item::Chassis));
        let has_cable = has(|item| matches!(item, Item::Cable { .. }));
        if has(|item| matches!(item, Item::Negative)) && !has_cable && !named {
            let cable = self.cable(None, None, self.figures.metres);
            self.back.push(cable);
        }
        self.by_chassis = named || !(has_cable || has(|item| matches!(item, Item::Negative)));
        if self.by_chassis {
            if !has(|item| matches!(item, Item::Cable { .. })) {
                let tail = self.cable(None, None, self.figures.tail);
                self.back.push(tail);
            }
            let earth = self.name('J');
            self.back.push(format!("Joint(name: \"{earth}\", style: Earth, at: \"load\")"));
            if !named {
                self.assumed.push(Assumed::Chassis);
            }
        }
    }

    fn text(&mut self, line: &str) -> String {
        let strap = usual::mm2(self.figures, self.amps.max(self.figures.strap));
        let (clamp_plus, clamp_minus, battery_earth) = ("CP", "CN", "E0");
        let plugs: Vec<String> = self
            .plugs
            .iter()
            .map(|plug| format!("Plug(name: \"{plug}\", label: \"plug\", rest: On, at: \"plug\")"))
            .collect();
        let is_shared = self.loads.len() > 1;
        let end = if is_shared { "T" } else { self.end() };
        let mut there = vec![format!("Joint(name: \"{clamp_plus}\", style: Clamp, at: \"battery\")")];
        there.append(&mut self.there);
        there.append(&mut self.back);
        let mut runs = vec![
            run("main", "the circuit", "B+", end, &there),
            run(
                "strap",
                "battery earth",
                "body",
                "BN",
                &[
                    format!("Joint(name: \"{battery_earth}\", style: Earth, at: \"battery\")"),
                    format!("Cable(name: \"WE\", metres: {}, mm2: {strap})", self.figures.tail),
                ],
            ),
            run(
                "minus",
                "battery -",
                "BN",
                "B-",
                &[format!("Joint(name: \"{clamp_minus}\", style: Clamp, at: \"battery\")")],
            ),
        ];
        runs.append(&mut self.coils);
        runs.append(&mut self.branches);
        let tee =
            if is_shared { "        Bus(name: \"T\", label: \"where the loads part\", at: \"load\"),\n" } else { "" };
        let place = if self.sources.is_empty() {
            ""
        } else {
            "        Place(name: \"source\", minutes: 3, open: \"get at the terminals of what charges\"),\n"
        };
        let controls = if self.controls.is_empty() {
            String::new()
        } else {
            format!("    controls: [{}],\n", self.controls.trim_end_matches(", "))
        };
        format!(
            "// Sketched from one line; mend what is otherwise, and give lengths and sizes where they are known.\n\
             Vehicle(\n    name: \"Sketch\",\n    nominal: {},\n    chassis: \"body\",\n    black: \"B-\",\n    \
             spread: {},\n    notes: [\"sketched from: {}\"],\n    places: [\n        \
             Place(name: \"battery\", minutes: 2, open: \"get at the battery\"),\n        \
             Place(name: \"fuses\", minutes: 1, open: \"find its fuse\"),\n        \
             Place(name: \"switch\", minutes: 4, open: \"get behind the switch\", disturbs: Slightly),\n        \
             Place(name: \"plug\", minutes: 3, open: \"get at the plug from behind\", disturbs: Slightly),\n        \
             Place(name: \"load\", minutes: 5, open: \"get at the terminals of the load\"),\n{place}    ],\n{controls}    \
             supplies: [{}{}],\n    buses: [\n        Bus(name: \"body\", label: \"bare body metal\", at: \"load\"),\n        \
             Bus(name: \"BN\", label: \"battery earth\", at: \"battery\"),\n{tee}    ],\n    relays: [{}],\n    plugs: [{}],\n    \
             runs: [\n{}    ],\n)\n",
            self.volts,
            self.figures.spread,
            line.replace(['"', '\\', '\n'], " "),
            self.battery,
            self.sources,
            self.relays.trim_end_matches(", "),
            plugs.join(", "),
            runs.concat(),
        )
    }
}

fn run(name: &str, label: &str, from: &str, to: &str, parts: &[String]) -> String {
    let parts: String = parts.iter().map(|part| format!("            {part},\n")).collect();
    format!(
        "        Run(name: \"{name}\", label: \"{label}\", from: \"{from}\", to: \"{to}\", parts: [\n{parts}        ]),\n"
    )
}
