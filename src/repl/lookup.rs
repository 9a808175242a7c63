//! Names at the prompt to things of the vehicle, or the error that helps.

use super::command::CommandError;
use super::takes::Takes;
use super::verbs::{VERBS, Verb};
use crate::quantity::Measured;
use crate::source::nearest;
use crate::vehicle::{ControlId, ControlKind, NamedState, PartId, PartKind, PointId, Position, Vehicle};

/// Finds things by name.
pub struct Lookup<'v> {
    vehicle: &'v Vehicle,
}

impl<'v> Lookup<'v> {
    /// In a vehicle.
    pub fn new(vehicle: &'v Vehicle) -> Self {
        Self { vehicle }
    }

    /// The same words with a load's label, said in full, as its name.
    pub fn labels_as_names<'w>(&self, words: Vec<&'w str>) -> Vec<&'w str>
    where
        'v: 'w,
    {
        for part in self.vehicle.parts.iter().filter(|part| part.kind.is_load()) {
            let label: Vec<&str> = part.label.iter().flat_map(|label| label.split_whitespace()).collect();
            let said = |window: &[&str]| window.iter().zip(&label).all(|(a, b)| a.eq_ignore_ascii_case(b));
            if label.len() < 2 || words.len() < label.len() {
                continue;
            }
            if let Some(start) = words.windows(label.len()).position(said) {
                let before = words[..start].iter().copied();
                let after = words[start + label.len()..].iter().copied();
                return before.chain([part.name.as_str()]).chain(after).collect();
            }
        }
        words
    }

    /// Whether a word names nothing at all.
    pub fn is_no_name(&self, word: &str) -> bool {
        self.vehicle.find_point(word).is_none()
            && self.vehicle.find_part(word).is_none()
            && self.vehicle.find_control(word).is_none()
    }

    /// The nearest of them is a help for a slip, not for the name of something else.
    fn no_such<'k>(&self, what: &'static str, word: &str, known: impl Iterator<Item = &'k str>) -> CommandError {
        let near = nearest(word, known).filter(|_| self.vehicle.find_part(word).is_none()).map(str::to_string);
        CommandError::NoSuch { what, word: word.to_string(), near }
    }

    /// A point.
    pub fn point(&self, word: &str) -> Result<PointId, CommandError> {
        if let Some(point) = self.vehicle.find_point(word) {
            return Ok(point);
        }
        let stem = word.to_lowercase();
        let ends: Vec<&str> = self
            .vehicle
            .point_names()
            .filter(|name| {
                let lower = name.to_lowercase();
                lower.strip_prefix(&stem).is_some_and(|rest| rest.starts_with(['.', '+', '-']))
            })
            .filter(|name| {
                !name.ends_with(".in") || !self.vehicle.point_names().any(|other| other == format!("{word}+"))
            })
            .collect();
        if !ends.is_empty() {
            return Err(CommandError::WhichEnd { word: word.to_string(), ends: ends.join(", ") });
        }
        Err(self.no_such("point", word, self.vehicle.point_names()))
    }

    /// A part.
    pub fn part(&self, word: &str) -> Result<PartId, CommandError> {
        let names = self.vehicle.parts.iter().map(|part| part.name.as_str());
        self.vehicle.find_part(word).ok_or_else(|| self.no_such("part", word, names))
    }

    fn part_where(
        &self,
        what: &'static str,
        word: &str,
        wanted: impl Fn(&PartKind) -> bool,
    ) -> Result<PartId, CommandError> {
        let found = self.vehicle.find_part(word).filter(|&id| wanted(&self.vehicle.part(id).kind));
        let found = found.or_else(|| self.sole_label(word, &wanted));
        let names = self.vehicle.parts.iter().filter(|part| wanted(&part.kind)).map(|part| part.name.as_str());
        found.ok_or_else(|| self.no_such(what, word, names))
    }

    /// The one part wanted that has this word in its label, if it is the only one.
    fn sole_label(&self, word: &str, wanted: &impl Fn(&PartKind) -> bool) -> Option<PartId> {
        let has_it = |label: &String| label.split_whitespace().any(|said| said.eq_ignore_ascii_case(word));
        let mut labelled = self.vehicle.part_ids().filter(|&id| {
            let part = self.vehicle.part(id);
            wanted(&part.kind) && part.label.as_ref().is_some_and(has_it)
        });
        labelled.next().filter(|_| labelled.next().is_none())
    }

    /// A load.
    pub fn load(&self, word: &str) -> Result<PartId, CommandError> {
        self.part_where("load", word, PartKind::is_load)
    }

    /// A fuse or breaker.
    pub fn fuse(&self, word: &str) -> Result<PartId, CommandError> {
        self.part_where("fuse or breaker", word, PartKind::is_protection)
    }

    /// An instrument that the vehicle carries.
    pub fn instrument(&self, word: &str) -> Result<PartId, CommandError> {
        let found = self.vehicle.find_part(word).filter(|&id| self.vehicle.part(id).kind.instrument().is_some());
        let names = self.vehicle.instruments().map(|id| self.vehicle.part(id).name.as_str());
        found.ok_or_else(|| self.no_such("instrument", word, names))
    }

    /// A battery.
    pub fn battery(&self, word: &str) -> Result<PartId, CommandError> {
        self.part_where("battery", word, PartKind::is_battery)
    }

    /// Whether a word names a battery and no point: it stands for its terminals.
    pub fn is_battery(&self, word: &str) -> bool {
        self.vehicle.find_point(word).is_none()
            && self.vehicle.find_part(word).is_some_and(|id| self.vehicle.part(id).kind.is_battery())
    }

    /// The coil of a relay, by the relay's name or its own.
    pub fn relay(&self, word: &str) -> Result<PartId, CommandError> {
        let coil = self.vehicle.find_part(&format!("{word}.coil"));
        let coil = coil.filter(|&id| self.vehicle.part(id).kind.is_coil());
        coil.map_or_else(|| self.part_where("relay", word, PartKind::is_coil), Ok)
    }

    /// What a verb is said of.
    pub fn taken_by(&self, verb: &Verb, word: &str) -> Result<PartId, CommandError> {
        match verb.takes {
            Takes::Load => self.load(word),
            Takes::Fuse => self.fuse(word),
            Takes::Battery => self.battery(word),
            Takes::Relay => self.relay(word),
            Takes::Source => self.part_where("charging source", word, PartKind::is_regulated),
            _ => self.part_or_plug(word),
        }
    }

    /// A part; a plug stands for its first pin.
    pub fn part_or_plug(&self, word: &str) -> Result<PartId, CommandError> {
        let is_pin = |id: &PartId| {
            let name = self.vehicle.part(*id).name.to_lowercase();
            name.strip_prefix(&word.to_lowercase()).is_some_and(|rest| rest.starts_with('.'))
        };
        self.part(word).or_else(|error| self.vehicle.part_ids().find(is_pin).ok_or(error))
    }

    /// A part, of a relay its contact, by the relay's name or its own.
    pub fn switched(&self, word: &str) -> Result<PartId, CommandError> {
        let is_contact = |id: &PartId| {
            let part = self.vehicle.part(*id);
            part.kind.contact().is_some() && part.label_name().eq_ignore_ascii_case(word)
        };
        let contact = || self.vehicle.part_ids().find(is_contact);
        self.part(word).or_else(|error| contact().ok_or(error)).or_else(|_| self.part_or_plug(word))
    }

    /// The control of a fuse.
    pub fn fuse_control(&self, word: &str) -> Result<ControlId, CommandError> {
        let part = self.part_where("fuse", word, PartKind::is_fuse)?;
        let gates = &self.vehicle.part(part).gates;
        gates.first().map(|&(control, _)| control).ok_or_else(|| self.unknown(word))
    }

    /// A fuse to use in examples.
    pub fn example_fuse(&self) -> String {
        self.example(Takes::Fuse)
    }

    /// A state with a name.
    pub fn state(&self, word: &str) -> Result<&'v NamedState, CommandError> {
        let names = self.vehicle.states.iter().map(|state| state.name.as_str());
        let found = self.vehicle.states.iter().find(|state| state.name.eq_ignore_ascii_case(word));
        found.ok_or_else(|| self.no_such("state", word, names.chain(["rest"])))
    }

    /// A setting by its verb.
    pub fn setting(&self, verb: &Verb, position: Position, word: &str) -> Result<(ControlId, Position), CommandError> {
        let names = self.vehicle.controls.iter().map(|control| control.name.as_str());
        let id = self.vehicle.find_control(word).ok_or_else(|| self.no_such("switch, fuse or plug", word, names))?;
        let control = self.vehicle.control(id);
        let (kind, on, off) = match control.kind {
            ControlKind::Fuse => ("fuse", "fit", "pull"),
            ControlKind::Plug => ("plug", "plug", "unplug"),
            _ => ("thing to switch", "on", "off"),
        };
        let right = if position == Position::On { on } else { off };
        if verb.word() != right {
            let say = format!("{right} {}", control.name);
            return Err(CommandError::WrongVerb { name: control.name.clone(), kind, say });
        }
        Ok((id, position))
    }

    /// An error for a word that is nothing at all.
    pub fn unknown(&self, word: &str) -> CommandError {
        if let Some(part) = self.vehicle.find_part(word) {
            return CommandError::SaidNothing { word: self.vehicle.part(part).name.clone() };
        }
        let names = VERBS.iter().map(|verb| verb.word()).chain(self.vehicle.point_names());
        let names = names.chain(self.vehicle.parts.iter().map(|part| part.name.as_str()));
        CommandError::Unknown { word: word.to_string(), near: nearest(word, names).map(str::to_string) }
    }

    /// An error for a word that is no command.
    pub fn unknown_verb(word: &str) -> CommandError {
        let near = nearest(word, VERBS.iter().map(|verb| verb.word())).map(str::to_string);
        CommandError::Unknown { word: word.to_string(), near }
    }

    /// A bare look with none advised.
    pub fn no_look_advised(&self, verb: &Verb) -> CommandError {
        CommandError::NoLookAdvised { word: verb.word().to_string(), example: self.example(Takes::Load) }
    }

    /// An error for a verb without what it needs.
    pub fn missing(&self, verb: &Verb) -> CommandError {
        let example = format!("{} {}", verb.word(), self.example(verb.takes));
        CommandError::Missing { verb: verb.word(), what: verb.takes.missing(), example }
    }

    /// An error for a reading without a point.
    pub fn missing_point(&self) -> CommandError {
        let example = format!("{} 12.31", self.example_point());
        CommandError::Missing { verb: "read", what: "a point and a reading", example }
    }

    /// A point; a battery stands for its plus, and `battery` for the only one.
    pub fn point_or_battery(&self, word: &str) -> Result<PointId, CommandError> {
        let batteries: Vec<PartId> =
            self.vehicle.supplies().filter(|&id| self.vehicle.part(id).kind.is_battery()).collect();
        // Of several that which the usual black lead is on.
        let at_hand = || batteries.iter().copied().find(|&id| self.vehicle.part(id).from == self.vehicle.black);
        let only = if let [only] = batteries[..] { Some(only) } else { at_hand() };
        let named = || self.battery(word).ok().filter(|_| self.vehicle.find_point(word).is_none());
        let is_any = word.eq_ignore_ascii_case("battery") && self.is_no_name(word);
        match (named().or(only.filter(|_| is_any)), is_any) {
            (Some(battery), _) => Ok(self.vehicle.part(battery).to),
            (None, true) => {
                Err(CommandError::WhichBattery { example: format!("same as {}+", self.example(Takes::Battery)) })
            }
            (None, false) => self.point(word),
        }
    }

    /// The one word that a verb needs.
    pub fn one<'w>(&self, rest: &[&'w str], verb: &Verb) -> Result<&'w str, CommandError> {
        match rest {
            [word] => Ok(word),
            [] => Err(self.missing(verb)),
            [_, word, ..] => Err(CommandError::TooMany { word: word.to_string() }),
        }
    }

    /// A point to use in examples: the output of a fuse.
    pub fn example_point(&self) -> String {
        let fuse = self.vehicle.parts.iter().find(|part| part.kind.is_fuse());
        fuse.map_or("F1.out".to_string(), |part| format!("{}.out", part.name))
    }

    /// A reading with where it was taken, of the kind of a value.
    pub fn example_reading(&self, like: &Measured) -> String {
        match like {
            Measured::Volts(_) => format!("{} 12.31", self.example_point()),
            Measured::Amps(_) => format!("{} 2.1A", self.example_fuse()),
            Measured::Ohms(_) | Measured::NoPath => format!("{} 92ohm", self.example_fuse()),
        }
    }

    /// Something of the vehicle to use in examples.
    pub fn example(&self, takes: Takes) -> String {
        let part = |wanted: fn(&PartKind) -> bool| {
            self.vehicle
                .parts
                .iter()
                .find(|part| wanted(&part.kind))
                .map_or("NAME".to_string(), |part| part.name.clone())
        };
        let control = |kind: ControlKind| {
            let of_kind = || self.vehicle.controls.iter().filter(|control| control.kind == kind);
            let found = of_kind().find(|control| control.rest == Position::Off).or_else(|| of_kind().next());
            found.map_or("NAME".to_string(), |control| control.name.clone())
        };
        match takes {
            Takes::Load => crate::words::example_load(self.vehicle).to_string(),
            Takes::Fuse => part(PartKind::is_fuse),
            Takes::Battery => part(PartKind::is_battery),
            Takes::Relay => part(PartKind::is_coil).trim_end_matches(".coil").to_string(),
            Takes::Source => part(PartKind::is_regulated),
            Takes::Part => part(|kind| matches!(kind, PartKind::Cable { .. })),
            Takes::Bridged => part(|kind| matches!(kind, PartKind::Switch)),
            Takes::Switch => control(ControlKind::Switch),
            Takes::Plug => control(ControlKind::Plug),
            Takes::Point | Takes::Points => self.example_point(),
            Takes::StateName => self.vehicle.states.first().map_or("rest".to_string(), |state| state.name.clone()),
            Takes::Number => "2".to_string(),
            Takes::NumberAndValue => "2 12.31".to_string(),
            Takes::Meter => "good".to_string(),
            Takes::Words => "cover was already loose".to_string(),
            Takes::LoadAndFile => format!("{} sheet.html", crate::words::example_load(self.vehicle)),
            Takes::Circuit => "battery 12 V, fuse 15 A, switch, lamp 55 W, chassis".to_string(),
            Takes::Drawing => "van.ron".to_string(),
            Takes::File => "report.html".to_string(),
            Takes::Command => "trace".to_string(),
            Takes::CaseName => format!("{}-dead", crate::words::example_load(self.vehicle)),
            Takes::Complaint => format!("the {} is dead", crate::words::example_load(self.vehicle)),
            Takes::Answer => "onset slowly".to_string(),
            Takes::Class => "dead".to_string(),
            Takes::Helping => "on".to_string(),
            Takes::OnOrOff => "off".to_string(),
            Takes::Nothing | Takes::Handover => String::new(),
        }
    }
}
