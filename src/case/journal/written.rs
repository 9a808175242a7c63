//! An entry as it stands in a file: by names, never by numbers, so that it
//! outlives edits of the drawing. Every kind of entry has one arm each way.

use crate::belief::{Appearance, Past, Sign, Symptom};
use crate::case::entry::Entry;
use crate::complaint::{Channel, QuestionId, TreeId, Trees};
use crate::meter::MeterKind;
use crate::plan::walk::Scope;
use crate::plan::{Sense, Test};
use crate::predict::{Burden, Probe};
use crate::quantity::{Amps, LARGEST_CURRENT, LARGEST_READING, Measured, Ohms, Typed, Volts};
use crate::source::nearest;
use crate::vehicle::{ControlId, PartId, PointId, Position, Vehicle};
use serde::{Deserialize, Serialize};

/// Controls by name, each with where it was set.
type Settings = Vec<(String, Position)>;

/// What was entered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Written {
    /// Something seen or complained of.
    Seen {
        of: String,
        sign: WrittenSign,
        /// What was set for it.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        set: Settings,
    },
    /// Something complained of, with its tree.
    Complaint {
        of: String,
        sign: WrittenSign,
        /// Class of the tree.
        class: String,
        /// What was set for it.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        set: Settings,
    },
    /// An answer to a question of a tree.
    Answer {
        /// Class of the tree.
        class: String,
        /// Name of the question.
        to: String,
        /// Word of the answer.
        is: String,
    },
    /// Who looks and reads from here on.
    Helping(Channel),
    /// Something set.
    Set(Settings),
    /// Something read.
    Read {
        /// What was measured.
        of: WrittenProbe,
        /// What the display showed.
        shows: WrittenValue,
        /// Whether the fault showed.
        #[serde(default, skip_serializing_if = "is_present")]
        fault: Symptom,
        /// What was set for it.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        set: Settings,
    },
    /// A reading taken again.
    Retake {
        /// Number of the entry with the reading.
        of: u64,
        /// What the display showed.
        shows: WrittenValue,
    },
    /// A reading struck out.
    Strike {
        /// Number of the entry with the reading.
        of: u64,
    },
    /// A part repaired or renewed.
    Repaired(String),
    /// The black lead's usual point.
    BlackLead(String),
    /// The meter in hand.
    Meter(MeterKind),
    /// A point that cannot be reached.
    OutOfReach(String),
    /// A reading not wanted.
    NotRead(WrittenProbe),
    /// A question of a tree not wanted: class, name.
    NotAsked(String, String),
    /// A look or the like not wanted.
    NotSensed(String, Sense),
    /// The walk taken at handover from here on.
    Walk(WrittenWalk),
    /// Something of the past counts from now on.
    Heeded(Past),
    /// It no longer does.
    Unheeded(Past),
    /// Words for the record.
    Note(String),
}

/// What was measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum WrittenProbe {
    /// Voltage, red lead and black lead.
    Volts(String, String),
    /// The same with a test lamp across the leads.
    UnderLamp(String, String),
    /// Voltage of the first point less that of the second, each against the third.
    Compared(String, String, String),
    /// Resistance between two points.
    Resistance(String, String),
    /// Current through a part.
    Through(String),
    /// What an instrument of the vehicle shows.
    Instrument(String),
}

/// What a display showed, and its last digit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum WrittenValue {
    /// Volts.
    V(f64, f64),
    /// Ohms.
    Ohm(f64, f64),
    /// No path.
    NoPath,
    /// Amperes.
    A(f64, f64),
}

/// Which readings a walk takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum WrittenWalk {
    /// Those that tell most.
    Short,
    All,
    /// Those of the circuit of a load.
    Of(String),
}

/// Signs as they are written, one row each.
macro_rules! signs {
    ($($word:ident [$($sign:tt)+])+) => {
        /// What was seen.
        #[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
        #[allow(missing_docs, reason = "each is the sign of its row")]
        pub enum WrittenSign { $($word,)+ }

        impl From<Sign> for WrittenSign {
            fn from(sign: Sign) -> Self {
                match sign { $($($sign)+ => Self::$word,)+ }
            }
        }

        impl From<WrittenSign> for Sign {
            fn from(sign: WrittenSign) -> Self {
                match sign { $(WrittenSign::$word => $($sign)+,)+ }
            }
        }
    };
}

signs! {
    Dead [Sign::Looks(Appearance::Dead)]
    Weak [Sign::Looks(Appearance::Weak)]
    Works [Sign::Looks(Appearance::Works)]
    StaysOn [Sign::StaysOn]
    Sometimes [Sign::Sometimes]
    Blows [Sign::BlowsFuse]
    GoesFlat [Sign::GoesFlat]
    Uncharged [Sign::Uncharged]
    Glows [Sign::Glows]
    Clicks [Sign::Clicks]
    Silent [Sign::Silent]
    LooksWhole [Sign::LooksWhole]
    LooksBlown [Sign::LooksBlown]
    LampBright [Sign::LampBright]
    LampDim [Sign::LampDim]
    Gives [Sign::Gives]
    Idle [Sign::Idle]
    Hot [Sign::Hot]
    Cool [Sign::Cool]
    Green [Sign::Green]
    ChargesLittle [Sign::ChargesLittle]
    ComesBack [Sign::ComesBack]
    NoBetter [Sign::NoBetter]
}

fn is_present(symptom: &Symptom) -> bool {
    *symptom == Symptom::Present
}

/// Why an entry of a file does not count.
#[derive(Debug, Clone, PartialEq)]
pub enum Unusable {
    /// The drawing does not have that name, or no longer.
    UnknownName {
        /// What was named.
        what: &'static str,
        name: String,
        /// The nearest that there is.
        near: Option<String>,
    },
    /// The entry that it corrects holds no reading that counts.
    UnknownReading {
        /// Number of that entry.
        entry: u64,
    },
    /// No meter shows such a value, or not of what was measured.
    BadValue,
}

impl Written {
    /// An entry as it goes into the file; `number_of` gives the number in the
    /// file of the entry that holds a reading.
    pub fn of(entry: &Entry, vehicle: &Vehicle, trees: &Trees, number_of: impl Fn(usize) -> u64) -> Self {
        let point = |id: PointId| vehicle.point(id).name().to_string();
        let part = |id: PartId| vehicle.part(id).name.clone();
        let settings = |of: &[(ControlId, Position)]| -> Settings {
            of.iter().map(|&(id, position)| (vehicle.control(id).name.clone(), position)).collect()
        };
        match entry {
            Entry::Observe { settings: set, subject, sign } => {
                Self::Seen { of: part(*subject), sign: (*sign).into(), set: settings(set) }
            }
            Entry::Complain { settings: set, subject, sign, tree } => Self::Complaint {
                of: part(*subject),
                sign: (*sign).into(),
                class: trees.tree(*tree).class.clone(),
                set: settings(set),
            },
            Entry::Answer { question, answer } => Self::Answer {
                class: trees.tree(question.tree).class.clone(),
                to: trees.question(*question).name.clone(),
                is: trees.question(*question).answers[*answer].word.clone(),
            },
            Entry::Helping { channel } => Self::Helping(*channel),
            Entry::Unwanted { test: Test::Ask(question) } => {
                Self::NotAsked(trees.tree(question.tree).class.clone(), trees.question(*question).name.clone())
            }
            Entry::Set { settings: set } => Self::Set(settings(set)),
            Entry::Read { settings: set, probe, measured, symptom } => Self::Read {
                of: WrittenProbe::of(*probe, vehicle),
                shows: (*measured).into(),
                fault: *symptom,
                set: settings(set),
            },
            Entry::Retake { number, measured } => Self::Retake { of: number_of(*number), shows: (*measured).into() },
            Entry::Strike { number } => Self::Strike { of: number_of(*number) },
            Entry::Repaired { part: id } => Self::Repaired(part(*id)),
            Entry::BlackLead { point: id } => Self::BlackLead(point(*id)),
            Entry::TakeMeter { kind } => Self::Meter(*kind),
            Entry::OutOfReach { point: id } => Self::OutOfReach(point(*id)),
            Entry::Unwanted { test: Test::Measure(probe) } => Self::NotRead(WrittenProbe::of(*probe, vehicle)),
            Entry::Unwanted { test: Test::Sense { subject, sense } } => Self::NotSensed(part(*subject), *sense),
            Entry::Walk { scope } => Self::Walk(match scope {
                Scope::Short => WrittenWalk::Short,
                Scope::All => WrittenWalk::All,
                Scope::Of(load) => WrittenWalk::Of(part(*load)),
            }),
            Entry::Heed { past, counts: true } => Self::Heeded(*past),
            Entry::Heed { past, counts: false } => Self::Unheeded(*past),
            Entry::Note { text } => Self::Note(text.clone()),
        }
    }

    /// The entry that was written; `reading_of` gives the number of the reading
    /// that an entry of the file holds.
    ///
    /// # Errors
    /// [`Unusable`] for the first thing in it that cannot be used.
    pub fn entry(
        &self,
        vehicle: &Vehicle,
        trees: &Trees,
        reading_of: impl Fn(u64) -> Option<usize>,
    ) -> Result<Entry, Unusable> {
        let names = Names { vehicle, trees };
        let reading = |entry: u64| reading_of(entry).ok_or(Unusable::UnknownReading { entry });
        Ok(match self {
            Self::Seen { of, sign, set } => {
                Entry::Observe { settings: names.settings(set)?, subject: names.part(of)?, sign: (*sign).into() }
            }
            Self::Complaint { of, sign, class, set } => Entry::Complain {
                settings: names.settings(set)?,
                subject: names.part(of)?,
                sign: (*sign).into(),
                tree: names.tree(class)?,
            },
            Self::Answer { class, to, is } => {
                let question = names.question(class, to)?;
                let answer = trees.question(question).find_answer(is).ok_or_else(|| gone("answer", is, None))?;
                Entry::Answer { question, answer }
            }
            Self::Helping(channel) => Entry::Helping { channel: *channel },
            Self::NotAsked(class, name) => Entry::Unwanted { test: Test::Ask(names.question(class, name)?) },
            Self::Set(set) => Entry::Set { settings: names.settings(set)? },
            Self::Read { of, shows, fault, set } => {
                let (probe, measured) = (names.probe(of)?, shows.measured()?);
                if !probe.fits(&measured) {
                    return Err(Unusable::BadValue);
                }
                Entry::Read { settings: names.settings(set)?, probe, measured, symptom: *fault }
            }
            Self::Retake { of, shows } => Entry::Retake { number: reading(*of)?, measured: shows.measured()? },
            Self::Strike { of } => Entry::Strike { number: reading(*of)? },
            Self::Repaired(part) => Entry::Repaired { part: names.part(part)? },
            Self::BlackLead(point) => Entry::BlackLead { point: names.point(point)? },
            Self::Meter(kind) => Entry::TakeMeter { kind: *kind },
            Self::OutOfReach(point) => Entry::OutOfReach { point: names.point(point)? },
            Self::NotRead(of) => Entry::Unwanted { test: Test::Measure(names.probe(of)?) },
            Self::NotSensed(of, sense) => {
                Entry::Unwanted { test: Test::Sense { subject: names.part(of)?, sense: *sense } }
            }
            Self::Walk(WrittenWalk::Short) => Entry::Walk { scope: Scope::Short },
            Self::Walk(WrittenWalk::All) => Entry::Walk { scope: Scope::All },
            Self::Walk(WrittenWalk::Of(load)) => Entry::Walk { scope: Scope::Of(names.part(load)?) },
            Self::Heeded(past) => Entry::Heed { past: *past, counts: true },
            Self::Unheeded(past) => Entry::Heed { past: *past, counts: false },
            Self::Note(text) => Entry::Note { text: text.clone() },
        })
    }
}

impl WrittenProbe {
    fn of(probe: Probe, vehicle: &Vehicle) -> Self {
        let point = |id: PointId| vehicle.point(id).name().to_string();
        match probe {
            Probe::Voltage { red, black, burden: Burden::Bare } => Self::Volts(point(red), point(black)),
            Probe::Voltage { red, black, burden: Burden::Lamp } => Self::UnderLamp(point(red), point(black)),
            Probe::Voltage { red, black, burden: Burden::Each(against) } => {
                Self::Compared(point(red), point(black), point(against))
            }
            Probe::Resistance { red, black } => Self::Resistance(point(red), point(black)),
            Probe::Current { part } => Self::Through(vehicle.part(part).name.clone()),
            Probe::Fixed { instrument, .. } => Self::Instrument(vehicle.part(instrument).name.clone()),
        }
    }
}

impl From<Measured> for WrittenValue {
    fn from(measured: Measured) -> Self {
        match measured {
            Measured::Volts(volts) => Self::V(volts.value.0, volts.step.0),
            Measured::Ohms(ohms) => Self::Ohm(ohms.value.0, ohms.step.0),
            Measured::NoPath => Self::NoPath,
            Measured::Amps(amps) => Self::A(amps.value.0, amps.step.0),
        }
    }
}

impl WrittenValue {
    fn measured(self) -> Result<Measured, Unusable> {
        let (value, digit, least, most) = match self {
            Self::V(value, digit) => (value, digit, -LARGEST_READING.0, LARGEST_READING.0),
            Self::Ohm(value, digit) => (value, digit, 0.0, f64::MAX),
            Self::A(value, digit) => (value, digit, -LARGEST_CURRENT.0, LARGEST_CURRENT.0),
            Self::NoPath => return Ok(Measured::NoPath),
        };
        // Not a number is in no range.
        if !(least..=most).contains(&value) || !(0.0..=most).contains(&digit) {
            return Err(Unusable::BadValue);
        }
        Ok(match self {
            Self::V(..) => Measured::Volts(Typed { value: Volts(value), step: Volts(digit) }),
            Self::Ohm(..) => Measured::Ohms(Typed { value: Ohms(value), step: Ohms(digit) }),
            _ => Measured::Amps(Typed { value: Amps(value), step: Amps(digit) }),
        })
    }
}

/// Names to things of the vehicle as it is drawn now.
struct Names<'v> {
    vehicle: &'v Vehicle,
    trees: &'v Trees,
}

impl Names<'_> {
    fn point(&self, name: &str) -> Result<PointId, Unusable> {
        let known = || nearest(name, self.vehicle.point_names());
        self.vehicle.find_point(name).ok_or_else(|| gone("point", name, known()))
    }

    fn probe(&self, probe: &WrittenProbe) -> Result<Probe, Unusable> {
        Ok(match probe {
            WrittenProbe::Volts(red, black) => Probe::voltage(self.point(red)?, self.point(black)?),
            WrittenProbe::UnderLamp(red, black) => {
                Probe::Voltage { red: self.point(red)?, black: self.point(black)?, burden: Burden::Lamp }
            }
            WrittenProbe::Compared(red, black, against) => {
                let burden = Burden::Each(self.point(against)?);
                Probe::Voltage { red: self.point(red)?, black: self.point(black)?, burden }
            }
            WrittenProbe::Resistance(red, black) => {
                Probe::Resistance { red: self.point(red)?, black: self.point(black)? }
            }
            WrittenProbe::Through(part) => Probe::Current { part: self.part(part)? },
            WrittenProbe::Instrument(name) => {
                let names = self.vehicle.instruments().map(|id| self.vehicle.part(id).name.as_str());
                let fixed = self.vehicle.find_part(name).and_then(|id| Probe::fixed(self.vehicle, id));
                fixed.ok_or_else(|| gone("instrument", name, nearest(name, names)))?
            }
        })
    }

    fn tree(&self, class: &str) -> Result<TreeId, Unusable> {
        let known = || nearest(class, self.trees.iter().map(|(_, tree)| tree.class.as_str()));
        self.trees.find(class).ok_or_else(|| gone("complaint tree", class, known()))
    }

    fn question(&self, class: &str, name: &str) -> Result<QuestionId, Unusable> {
        let tree = self.tree(class)?;
        let known = || nearest(name, self.trees.tree(tree).questions.iter().map(|question| question.name.as_str()));
        self.trees.find_question(tree, name).ok_or_else(|| gone("question", name, known()))
    }

    fn part(&self, name: &str) -> Result<PartId, Unusable> {
        let known = || nearest(name, self.vehicle.parts.iter().map(|part| part.name.as_str()));
        self.vehicle.find_part(name).ok_or_else(|| gone("part", name, known()))
    }

    fn settings(&self, set: &Settings) -> Result<Vec<(ControlId, Position)>, Unusable> {
        let known = |name| nearest(name, self.vehicle.controls.iter().map(|control| control.name.as_str()));
        set.iter()
            .map(|(name, position)| {
                let found = self.vehicle.find_control(name);
                Ok((found.ok_or_else(|| gone("switch, fuse or plug", name, known(name)))?, *position))
            })
            .collect()
    }
}

fn gone(what: &'static str, name: &str, near: Option<&str>) -> Unusable {
    Unusable::UnknownName { what, name: name.to_string(), near: near.map(str::to_string) }
}
