//! Entries to how things stand.

use super::entry::Entry;
use crate::belief::{Answered, Earlier, Engine, Evidence, Observation, Reading, Sign, Symptom};
use crate::complaint::{Channel, Complaint, QuestionId};
use crate::meter::MeterKind;
use crate::plan::walk::Scope;
use crate::plan::{Situation, Test};
use crate::predict::{Probe, is_live};
use crate::tables::Tables;
use crate::vehicle::{ControlId, PartId, PlaceId, PointId, Position, State, Vehicle};

/// Whether a reading still says something of the vehicle as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bearing {
    /// It counts.
    Counts,
    /// Ohms where the circuit is live as drawn: worthless.
    Live,
    /// Somebody struck it out.
    StruckOut,
    /// A part has been repaired since.
    BeforeRepair,
}

impl Numbered {
    /// Whether it counts.
    pub fn counts(&self) -> bool {
        self.bearing == Bearing::Counts
    }
}

/// A reading with its number in the record.
#[derive(Debug, Clone, PartialEq)]
pub struct Numbered {
    /// Number, from 1.
    pub number: usize,
    pub reading: Reading,
    /// Whether it still counts.
    pub bearing: Bearing,
}

/// How things stand.
#[derive(Debug, Clone)]
pub struct Standing {
    /// How everything is set.
    pub state: State,
    /// What counts.
    pub evidence: Evidence,
    /// Every reading with its number, struck out ones too.
    pub readings: Vec<Numbered>,
    /// Places that are open.
    pub opened: Vec<PlaceId>,
    /// Points that cannot be reached.
    pub out_of_reach: Vec<PointId>,
    /// Tests not wanted.
    pub unwanted: Vec<Test>,
    /// The black lead's usual point.
    pub black: PointId,
    /// Where the black lead stands, once it has been put somewhere.
    pub black_lead: Option<PointId>,
    /// The meter in hand.
    pub meter: MeterKind,
    /// The complaint whose tree asks along.
    pub complaint: Option<Complaint>,
    /// Who looks and reads.
    pub channel: Channel,
    /// The walk taken at handover.
    pub walk: Scope,
    /// Of each reading of the evidence, its number in the record.
    weighed: Vec<usize>,
    /// Readings taken, and taken again.
    taken: usize,
    /// The hunt that a repair has ended, unless the same complaint comes again.
    ended: EndedHunt,
}

/// What was known before the last repairs.
#[derive(Debug, Clone, Default)]
struct EndedHunt {
    observations: Vec<Observation>,
    /// Position of its first reading.
    first_reading: usize,
    repaired: Vec<PartId>,
    /// How many readings had been taken when the complaint was first made.
    complained: Option<usize>,
}

impl Standing {
    /// After some entries.
    pub fn of(engine: &Engine, entries: &[Entry]) -> Self {
        let (vehicle, tables) = (engine.vehicle(), engine.tables());
        let mut standing = Self {
            state: State::rest(vehicle),
            evidence: Evidence::default(),
            readings: Vec::new(),
            opened: Vec::new(),
            out_of_reach: Vec::new(),
            unwanted: Vec::new(),
            black: vehicle.black,
            black_lead: None,
            meter: MeterKind::default(),
            complaint: None,
            channel: Channel::default(),
            walk: Scope::default(),
            weighed: Vec::new(),
            taken: 0,
            ended: EndedHunt::default(),
        };
        for entry in entries {
            standing.apply(engine, entry);
            standing.settle_charging(engine);
        }
        standing.weigh_once(tables);
        if let Some(earlier) = &mut standing.evidence.earlier {
            let before = standing.readings[standing.ended.first_reading..].iter();
            let before = before.filter(|reading| reading.bearing == Bearing::BeforeRepair);
            earlier.readings = before.map(|reading| reading.reading.clone()).collect();
        }
        standing.evidence.settle_symptoms();
        standing
    }

    /// What was read again and found the same is one reading, surer than once.
    fn weigh_once(&mut self, tables: &Tables) {
        for Numbered { number, reading, .. } in self.readings.iter().filter(|reading| reading.counts()) {
            // What is the same before and after somebody complained says it of both.
            let is_before = |one: &Reading| self.evidence.is_before_complaint(one);
            let is_again =
                |known: &Reading| known.is_found_again_in(tables, reading) && is_before(known) == is_before(reading);
            match self.evidence.readings.iter().position(is_again) {
                Some(known) => self.evidence.readings[known].agreed += 1 + reading.agreed,
                None => {
                    self.evidence.readings.push(reading.clone());
                    self.weighed.push(*number);
                }
            }
        }
    }

    fn apply(&mut self, engine: &Engine, entry: &Entry) {
        let (vehicle, tables) = (engine.vehicle(), engine.tables());
        match entry {
            Entry::Observe { settings, subject, sign } => {
                self.set(vehicle, settings);
                if matches!(sign, Sign::LooksWhole | Sign::LooksBlown | Sign::Hot | Sign::Cool | Sign::Green) {
                    self.open(vehicle.part(*subject).place);
                }
                self.see(*subject, *sign);
            }
            Entry::Complain { settings, subject, sign, tree } => {
                self.set(vehicle, settings);
                // Said twice, it is no more true.
                let is_known = |seen: &Observation| (seen.subject, seen.sign) == (*subject, *sign);
                if !self.evidence.observations.iter().any(is_known) {
                    self.see(*subject, *sign);
                }
                self.evidence.tree = Some(*tree);
                self.complaint = Some(Complaint { tree: *tree, subject: *subject, state: self.state.clone() });
            }
            Entry::Answer { question, answer } => self.hear(*question, *answer),
            Entry::Helping { channel } => self.channel = *channel,
            Entry::Set { settings } => self.set(vehicle, settings),
            Entry::Read { settings, probe, measured, symptom } => {
                self.set(vehicle, settings);
                if probe.instrument().is_none() {
                    let (red, black) = probe.points(vehicle);
                    self.open_at(vehicle, red);
                    if !matches!(probe, Probe::Current { .. }) {
                        self.open_at(vehicle, black);
                        self.black_lead = Some(black);
                    }
                }
                let reading = Reading {
                    probe: *probe,
                    measured: *measured,
                    meter: self.meter,
                    state: self.state.clone(),
                    symptom: *symptom,
                    channel: self.channel,
                    moment: self.taken,
                    agreed: 0,
                };
                self.taken += 1;
                let live = |(red, black)| {
                    let model = engine.predictor().in_state(&self.state);
                    model.is_ok_and(|model| is_live(&model, vehicle, red, black))
                };
                let bearing = match probe {
                    Probe::Resistance { red, black } if live((*red, *black)) => Bearing::Live,
                    _ => Bearing::Counts,
                };
                self.readings.push(Numbered { number: self.readings.len() + 1, reading, bearing });
            }
            Entry::Retake { number, measured } => {
                let again = &mut self.readings[*number - 1].reading;
                let found = Reading { measured: *measured, moment: self.taken, agreed: 0, ..again.clone() };
                match again.is_found_again_in(tables, &found) {
                    true => again.agreed += 1,
                    false => *again = found,
                }
                self.taken += 1;
            }
            Entry::Strike { number } => self.readings[*number - 1].bearing = Bearing::StruckOut,
            Entry::Repaired { part } => {
                // What was seen and read before is not of the vehicle as it is now.
                self.ended.observations.append(&mut self.evidence.observations);
                self.ended.repaired.push(*part);
                self.ended.complained = self.evidence.complained.take().or(self.ended.complained);
                self.evidence.earlier = None;
                self.evidence.answers.clear();
                self.complaint = None;
                let counting = self.readings.iter_mut().filter(|reading| reading.counts());
                counting.for_each(|reading| reading.bearing = Bearing::BeforeRepair);
            }
            Entry::BlackLead { point } => self.black = *point,
            Entry::TakeMeter { kind } => self.meter = *kind,
            Entry::OutOfReach { point } => self.out_of_reach.push(*point),
            Entry::Unwanted { test } => self.unwanted.push(*test),
            Entry::Walk { scope } => self.walk = *scope,
            Entry::Heed { past, counts } => {
                self.evidence.unheeded.retain(|other| other != past);
                self.evidence.unheeded.extend((!counts).then_some(*past));
            }
            Entry::Note { .. } => {}
        }
    }

    fn see(&mut self, subject: PartId, sign: Sign) {
        let (state, channel) = (self.state.clone(), self.channel);
        let seen = Observation { subject, sign, state, channel, symptom: Symptom::Present };
        self.take_up_again(&seen);
        if seen.is_complaint() && self.evidence.complained.is_none() {
            self.evidence.complained = Some(self.taken);
        }
        self.evidence.observations.push(seen);
    }

    /// Whoever says that a battery is not charged speaks of it being charged: where
    /// nothing does so yet, of the first state set later in which something does.
    fn settle_charging(&mut self, engine: &Engine) {
        let charges = |state: &State, battery: PartId| engine.predictor().charges(state, battery);
        for seen in &mut self.evidence.observations {
            let is_charging = matches!(seen.sign, Sign::Uncharged | Sign::ChargesLittle);
            if is_charging && seen.state != self.state && !charges(&seen.state, seen.subject) {
                if !charges(&self.state, seen.subject) {
                    continue;
                }
                seen.state = self.state.clone();
                if let Some(complaint) = self.complaint.as_mut().filter(|of| of.subject == seen.subject) {
                    complaint.state = self.state.clone();
                }
            }
        }
    }

    /// The last answer to a question is the one that counts.
    fn hear(&mut self, question: QuestionId, answer: usize) {
        let Some(Complaint { subject, state, .. }) = self.complaint.clone() else { return };
        self.evidence.answers.retain(|answered| answered.question != question);
        self.evidence.answers.push(Answered { subject, state, question, answer, channel: self.channel });
    }

    fn set(&mut self, vehicle: &Vehicle, settings: &[(ControlId, Position)]) {
        self.state = self.state.with_all(settings);
        settings.iter().for_each(|&(control, _)| self.open(vehicle.control(control).place));
    }

    /// The same complaint first thing after a repair: it cured nothing, and what
    /// was known before still counts. Otherwise a new hunt begins.
    fn take_up_again(&mut self, seen: &Observation) {
        if self.ended.repaired.is_empty() || !self.evidence.observations.is_empty() || self.evidence.earlier.is_some() {
            return;
        }
        let is_same = |then: &Observation| (then.subject, then.sign) == (seen.subject, seen.sign);
        if seen.is_complaint() && self.ended.observations.iter().any(is_same) {
            let EndedHunt { observations, repaired, complained, .. } = self.ended.clone();
            self.evidence.complained = complained;
            self.evidence.earlier = Some(Earlier { observations, readings: Vec::new(), repaired });
        } else {
            let first_reading = self.readings.iter().position(Numbered::counts).unwrap_or(self.readings.len());
            self.ended = EndedHunt { first_reading, ..EndedHunt::default() };
        }
    }

    /// The point's place is open now; if it has several, the easiest was taken.
    fn open_at(&mut self, vehicle: &Vehicle, point: PointId) {
        let places = &vehicle.point(point).places;
        if !places.iter().any(|place| self.opened.contains(place)) {
            let easiest = places
                .iter()
                .copied()
                .min_by(|a, b| vehicle.place(*a).effort().0.total_cmp(&vehicle.place(*b).effort().0));
            self.open(easiest);
        }
    }

    fn open(&mut self, place: Option<PlaceId>) {
        if let Some(place) = place
            && !self.opened.contains(&place)
        {
            self.opened.push(place);
        }
    }

    /// What the planner needs to know.
    pub fn situation<'a>(&'a self, tables: &'a Tables) -> Situation<'a> {
        Situation {
            tables,
            evidence: &self.evidence,
            state: &self.state,
            opened: &self.opened,
            out_of_reach: &self.out_of_reach,
            unwanted: &self.unwanted,
            black: self.black,
            black_lead: self.black_lead,
            meter: self.meter,
            is_meter_out: self.taken > 0,
            complaint: self.complaint.as_ref(),
            channel: self.channel,
        }
    }

    /// Number in the record of a reading that counts.
    pub fn number_of(&self, counting: usize) -> usize {
        self.weighed.get(counting).copied().unwrap_or(0)
    }
}
