//! An entry as it stands in a file: by names, never by numbers, so that it
//! outlives edits of the drawing. Every kind of entry has one arm each way.

use crate::belief::{Appearance, Sign, Symptom};
use crate::case::Entry;
use crate::meter::MeterKind;
use crate::plan::Test;
use crate::quantity::{LARGEST_READING, TypedVolts, Volts};
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
        /// Of which part.
        of: String,
        /// What.
        sign: WrittenSign,
        /// What was set for it.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        set: Settings,
    },
    /// Something set.
    Set(Settings),
    /// A voltage read.
    Read {
        /// Red lead.
        red: String,
        /// Black lead.
        black: String,
        /// What the display showed, V.
        volts: f64,
        /// Its last digit, V.
        digit: f64,
        /// Whether the fault showed.
        #[serde(default, skip_serializing_if = "is_present")]
        fault: WrittenSymptom,
        /// What was set for it.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        set: Settings,
    },
    /// A reading taken again.
    Retake {
        /// Number of the entry with the reading.
        of: u64,
        /// What the display showed, V.
        volts: f64,
        /// Its last digit, V.
        digit: f64,
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
    Meter(WrittenMeter),
    /// A point that cannot be reached.
    OutOfReach(String),
    /// A reading not wanted.
    NotRead {
        /// Red lead.
        red: String,
        /// Black lead.
        black: String,
    },
    /// A look not wanted.
    NotLooked(String),
    /// Words for the record.
    Note(String),
}

/// What was seen.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum WrittenSign {
    /// A load does nothing.
    Dead,
    /// A load is dim or slow.
    Weak,
    /// A load works as it should.
    Works,
    /// A load runs though it should be off.
    StaysOn,
    /// A load works only sometimes.
    Sometimes,
    /// A fuse or breaker opens.
    Blows,
    /// A battery goes flat.
    GoesFlat,
}

/// Whether the fault showed while a reading was taken.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub enum WrittenSymptom {
    /// It did.
    #[default]
    Present,
    /// The thing worked.
    Absent,
}

/// Build of a meter.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum WrittenMeter {
    /// See [`MeterKind::Cheap`].
    Cheap,
    /// See [`MeterKind::Good`].
    Good,
}

fn is_present(symptom: &WrittenSymptom) -> bool {
    *symptom == WrittenSymptom::Present
}

/// Why an entry of a file does not count.
#[derive(Debug, Clone, PartialEq)]
pub enum Unusable {
    /// The drawing does not have that name, or no longer.
    UnknownName {
        /// What was named.
        what: &'static str,
        /// Its name.
        name: String,
        /// The nearest that there is.
        near: Option<String>,
    },
    /// The entry that it corrects holds no reading that counts.
    UnknownReading {
        /// Number of that entry.
        entry: u64,
    },
    /// No meter shows such a value.
    BadVoltage,
}

impl Written {
    /// An entry as it goes into the file; `number_of` gives the number in the
    /// file of the entry that holds a reading.
    pub fn of(entry: &Entry, vehicle: &Vehicle, number_of: impl Fn(usize) -> u64) -> Self {
        let point = |id: PointId| vehicle.point(id).name().to_string();
        let part = |id: PartId| vehicle.part(id).name.clone();
        let settings = |of: &[(ControlId, Position)]| -> Settings {
            of.iter().map(|&(id, position)| (vehicle.control(id).name.clone(), position)).collect()
        };
        match entry {
            Entry::Observe { settings: set, subject, sign } => {
                Self::Seen { of: part(*subject), sign: (*sign).into(), set: settings(set) }
            }
            Entry::Set { settings: set } => Self::Set(settings(set)),
            Entry::Read { settings: set, red, black, volts, symptom } => Self::Read {
                red: point(*red),
                black: point(*black),
                volts: volts.value.0,
                digit: volts.step.0,
                fault: match symptom {
                    Symptom::Present => WrittenSymptom::Present,
                    Symptom::Absent => WrittenSymptom::Absent,
                },
                set: settings(set),
            },
            Entry::Retake { number, volts } => {
                Self::Retake { of: number_of(*number), volts: volts.value.0, digit: volts.step.0 }
            }
            Entry::Strike { number } => Self::Strike { of: number_of(*number) },
            Entry::Repaired { part: id } => Self::Repaired(part(*id)),
            Entry::BlackLead { point: id } => Self::BlackLead(point(*id)),
            Entry::TakeMeter { kind } => Self::Meter(match kind {
                MeterKind::Cheap => WrittenMeter::Cheap,
                MeterKind::Good => WrittenMeter::Good,
            }),
            Entry::OutOfReach { point: id } => Self::OutOfReach(point(*id)),
            Entry::Unwanted { test: Test::Voltage { red, black } } => {
                Self::NotRead { red: point(*red), black: point(*black) }
            }
            Entry::Unwanted { test: Test::Look { load } } => Self::NotLooked(part(*load)),
            Entry::Note { text } => Self::Note(text.clone()),
        }
    }

    /// The entry that was written; `reading_of` gives the number of the reading
    /// that an entry of the file holds.
    ///
    /// # Errors
    /// [`Unusable`] for the first thing in it that cannot be used.
    pub fn entry(&self, vehicle: &Vehicle, reading_of: impl Fn(u64) -> Option<usize>) -> Result<Entry, Unusable> {
        let names = Names { vehicle };
        let typed = |volts: f64, digit: f64| {
            let is_fit = volts.abs() <= LARGEST_READING.0 && (0.0..=LARGEST_READING.0).contains(&digit);
            is_fit.then_some(TypedVolts { value: Volts(volts), step: Volts(digit) }).ok_or(Unusable::BadVoltage)
        };
        let reading = |entry: u64| reading_of(entry).ok_or(Unusable::UnknownReading { entry });
        Ok(match self {
            Self::Seen { of, sign, set } => {
                Entry::Observe { settings: names.settings(set)?, subject: names.part(of)?, sign: (*sign).into() }
            }
            Self::Set(set) => Entry::Set { settings: names.settings(set)? },
            Self::Read { red, black, volts, digit, fault, set } => Entry::Read {
                settings: names.settings(set)?,
                red: names.point(red)?,
                black: names.point(black)?,
                volts: typed(*volts, *digit)?,
                symptom: match fault {
                    WrittenSymptom::Present => Symptom::Present,
                    WrittenSymptom::Absent => Symptom::Absent,
                },
            },
            Self::Retake { of, volts, digit } => Entry::Retake { number: reading(*of)?, volts: typed(*volts, *digit)? },
            Self::Strike { of } => Entry::Strike { number: reading(*of)? },
            Self::Repaired(part) => Entry::Repaired { part: names.part(part)? },
            Self::BlackLead(point) => Entry::BlackLead { point: names.point(point)? },
            Self::Meter(WrittenMeter::Cheap) => Entry::TakeMeter { kind: MeterKind::Cheap },
            Self::Meter(WrittenMeter::Good) => Entry::TakeMeter { kind: MeterKind::Good },
            Self::OutOfReach(point) => Entry::OutOfReach { point: names.point(point)? },
            Self::NotRead { red, black } => {
                Entry::Unwanted { test: Test::Voltage { red: names.point(red)?, black: names.point(black)? } }
            }
            Self::NotLooked(load) => Entry::Unwanted { test: Test::Look { load: names.part(load)? } },
            Self::Note(text) => Entry::Note { text: text.clone() },
        })
    }
}

impl From<Sign> for WrittenSign {
    fn from(sign: Sign) -> Self {
        match sign {
            Sign::Looks(Appearance::Dead) => Self::Dead,
            Sign::Looks(Appearance::Weak) => Self::Weak,
            Sign::Looks(Appearance::Works) => Self::Works,
            Sign::StaysOn => Self::StaysOn,
            Sign::Sometimes => Self::Sometimes,
            Sign::BlowsFuse => Self::Blows,
            Sign::GoesFlat => Self::GoesFlat,
        }
    }
}

impl From<WrittenSign> for Sign {
    fn from(sign: WrittenSign) -> Self {
        match sign {
            WrittenSign::Dead => Self::Looks(Appearance::Dead),
            WrittenSign::Weak => Self::Looks(Appearance::Weak),
            WrittenSign::Works => Self::Looks(Appearance::Works),
            WrittenSign::StaysOn => Self::StaysOn,
            WrittenSign::Sometimes => Self::Sometimes,
            WrittenSign::Blows => Self::BlowsFuse,
            WrittenSign::GoesFlat => Self::GoesFlat,
        }
    }
}

/// Names to things of the vehicle as it is drawn now.
struct Names<'v> {
    vehicle: &'v Vehicle,
}

impl Names<'_> {
    fn point(&self, name: &str) -> Result<PointId, Unusable> {
        let known = || nearest(name, self.vehicle.point_names());
        self.vehicle.find_point(name).ok_or_else(|| gone("point", name, known()))
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
