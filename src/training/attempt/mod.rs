//! A learner at the vehicle: acts change what is there and what is recorded.
//! Everything is a function of the lesson and the acts.

mod judging;

use super::act::{Act, ActError, Done, Loom, Told, Unsafe};
use super::instrument::{Dial, Display, Function, Instrument, Leads, bridged};
use super::lesson::Lesson;
use super::price::price;
use crate::belief::{Appearance, Sign, Symptom};
use crate::case::{Case, CaseError, Entry};
use crate::fault::concerns;
use crate::network::solve;
use crate::plan::{Sense, Situation, Test};
use crate::predict::Probe;
use crate::quantity::{Measured, Minutes};
use crate::tables::training::Teaching;
use crate::trial::{World, case_seed};
use crate::vehicle::{ControlId, PartId, PlaceId, Position, Reach, State, Vehicle};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::rc::Rc;

/// A lesson being worked on.
pub struct Attempt {
    lesson: Rc<Lesson>,
    case: Case,
    world: World,
    /// The same with nothing wrong, for what comes and goes.
    sound: World,
    instrument: Instrument,
    done: Vec<Done>,
    opened: Vec<PlaceId>,
    minutes: Minutes,
    cost: f64,
    renewed: Vec<PartId>,
    /// Parts that made the trouble flicker as they were moved.
    flickered: Vec<PartId>,
    /// Stream of chance, so that two people do not read the same noise.
    stream: u64,
}

impl Attempt {
    /// Begins: the complaint stands in the record, and the vehicle is at rest.
    ///
    /// # Errors
    /// [`CaseError`] if the vehicle has no solution.
    pub fn new(lesson: Rc<Lesson>) -> Result<Self, CaseError> {
        Self::in_stream(lesson, 0)
    }

    /// The same with another stream of chance.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn in_stream(lesson: Rc<Lesson>, stream: u64) -> Result<Self, CaseError> {
        let mut case = Case::new(Rc::clone(lesson.engine()))?;
        let hidden = &lesson.hidden;
        case.add(Entry::Observe { settings: hidden.settings.clone(), subject: hidden.subject, sign: hidden.sign })?;
        if !hidden.settings.is_empty() {
            case.add(Entry::Set { settings: case.standing().state.to_rest(lesson.vehicle()) })?;
        }
        let world = lesson.world().clone();
        let mut parts = hidden.trouble.faults().flat_map(|(fault, _)| fault.parts());
        let sound = parts.try_fold(world.clone(), |world, part| Some(world.renewed(part))).unwrap_or(world.clone());
        let instrument = Instrument { kind: case.standing().meter, dial: Dial::default(), fuse_is_whole: true };
        Ok(Self {
            case,
            world,
            sound,
            instrument,
            done: Vec::new(),
            opened: Vec::new(),
            minutes: Minutes(0.0),
            cost: 0.0,
            renewed: Vec::new(),
            flickered: Vec::new(),
            stream,
            lesson,
        })
    }

    fn figures(&self) -> &Teaching {
        &self.lesson.engine().tables().training
    }

    /// The lesson.
    pub fn lesson(&self) -> &Rc<Lesson> {
        &self.lesson
    }

    /// The record.
    pub fn case(&self) -> &Case {
        &self.case
    }

    /// The record, to be kept.
    pub fn case_mut(&mut self) -> &mut Case {
        &mut self.case
    }

    /// Everything done.
    pub fn done(&self) -> &[Done] {
        &self.done
    }

    /// The instrument.
    pub fn instrument(&self) -> &Instrument {
        &self.instrument
    }

    /// Time on the clock.
    pub fn minutes(&self) -> Minutes {
        self.minutes
    }

    /// Money spent on parts.
    pub fn cost(&self) -> f64 {
        self.cost
    }

    /// Places that are open.
    pub fn opened(&self) -> &[PlaceId] {
        &self.opened
    }

    /// The state now.
    pub fn state(&self) -> &State {
        &self.case.standing().state
    }

    fn vehicle(&self) -> &Vehicle {
        self.lesson.vehicle()
    }

    /// How things stand, with the places that were opened for nothing, and the meter
    /// that was fetched though nothing was written down.
    pub fn situation(&self) -> Situation<'_> {
        let is_meter_out = self.done.iter().any(|done| matches!(done.act, Act::Measure(..)));
        let standing = self.case.standing().situation(self.case.engine().tables());
        Situation { opened: &self.opened, is_meter_out: standing.is_meter_out || is_meter_out, ..standing }
    }

    /// Whether the hunt is on: something is complained of and not yet repaired.
    pub fn is_hunting(&self) -> bool {
        self.case.standing().evidence.observations.iter().any(|seen| seen.is_complaint())
    }

    /// Does one thing.
    ///
    /// # Errors
    /// [`ActError`]; then nothing has changed.
    pub fn act(&mut self, act: Act) -> Result<&Done, ActError> {
        let seed = case_seed(self.lesson.seed ^ self.stream, self.done.len());
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let is_there = !self.lesson.comes_and_goes || random.random_bool(self.figures().is_there);
        let (worth, better) = self.judged(&act)?;
        let mut hazard = None;
        let told = match &act {
            Act::Set(settings) => self.set(settings)?,
            Act::Open(place) => {
                self.go(*place);
                Told::Done { opened: Vec::new() }
            }
            Act::Black(point) => self.entered(Entry::BlackLead { point: *point })?,
            Act::Take(kind) => {
                self.instrument.kind = *kind;
                self.entered(Entry::TakeMeter { kind: *kind })?
            }
            Act::Turn(dial) => {
                let ranges = Dial::ranges(dial.function);
                if dial.range.is_some_and(|range| !ranges.contains(&range)) {
                    let ranges = ranges.iter().map(f64::to_string).collect::<Vec<_>>().join(", ");
                    return Err(ActError::NoSuchRange { ranges });
                }
                self.instrument.dial = *dial;
                self.minutes += self.figures().turn;
                Told::Done { opened: Vec::new() }
            }
            Act::RenewMeterFuse => {
                self.instrument.fuse_is_whole = true;
                self.minutes += self.figures().change_meter_fuse;
                Told::Done { opened: Vec::new() }
            }
            Act::Measure(leads, loom) => self.measure(*leads, *loom, is_there, &mut random, &mut hazard)?,
            Act::Sense(subject, sense) => self.sense(*subject, *sense, is_there)?,
            Act::Move(part) => {
                let place = self.vehicle().part(*part).place;
                place.into_iter().for_each(|place| self.go(place));
                self.minutes += self.figures().shake;
                let at_fault = self.world.trouble().faults().any(|(fault, _)| concerns(self.vehicle(), fault, *part));
                let flickers = self.lesson.comes_and_goes && at_fault;
                self.flickered.extend(flickers.then_some(*part));
                Told::Flickered(flickers)
            }
            Act::Bridge(from, to) => {
                hazard = Some(Unsafe::Bridged);
                let short = bridged(&self.world.network(self.state()), from.index(), to.index(), self.figures().wire)?;
                self.world.open_fuses(&short.opened);
                Told::Bridged(short)
            }
            Act::Replace(part) => self.replace(*part, &mut hazard)?,
            Act::Conclude(conclusion) => Told::Concluded {
                is_justified: self.justifies(conclusion),
                is_scattered: self.is_scattered(conclusion),
            },
            Act::Hint => Told::Hint(self.hint()),
            Act::Note(text) => self.entered(Entry::Note { text: text.clone() })?,
        };
        let entries = self.case.entries().len();
        let at = self.done.len();
        self.done.push(Done { act, told, at: self.minutes, worth, better, hazard, entries });
        Ok(&self.done[at])
    }

    fn entered(&mut self, entry: Entry) -> Result<Told, ActError> {
        self.case.add(entry)?;
        Ok(Told::Done { opened: Vec::new() })
    }

    /// Goes to a place: time passes the first time.
    fn go(&mut self, place: PlaceId) {
        if !self.opened.contains(&place) {
            self.minutes += self.vehicle().place(place).effort();
            self.opened.push(place);
        }
    }

    fn set(&mut self, settings: &[(ControlId, Position)]) -> Result<Told, ActError> {
        let mut world = self.world.clone();
        let opened = world.blow(&self.state().with_all(settings))?;
        self.case.add(Entry::Set { settings: settings.to_vec() })?;
        for &(control, _) in settings {
            let control = self.vehicle().control(control);
            let (minutes, place) = (control.minutes, control.place);
            self.minutes += minutes;
            place.into_iter().for_each(|place| self.go(place));
        }
        self.world = world;
        Ok(Told::Done { opened })
    }

    /// Time that a test takes from here; its places are open from then on.
    fn spend(&mut self, test: Test) {
        let effort = self.situation().effort(self.vehicle(), test, &[]);
        self.minutes += effort.minutes;
        self.opened.extend(effort.opens);
    }

    fn check_leads(&self, leads: Leads) -> Result<(), ActError> {
        let vehicle = self.vehicle();
        let is_clamp = self.instrument.dial.function == Function::Clamp;
        let points = match leads {
            Leads::Between(red, black) if is_clamp || red == black => {
                let fuse = vehicle.parts.iter().find(|part| part.kind.is_fuse());
                return Err(match is_clamp {
                    true => ActError::ClampNeedsPart { example: fuse.map_or("F1".into(), |fuse| fuse.name.clone()) },
                    false => ActError::SamePoint { point: vehicle.point(red).name().to_string() },
                });
            }
            Leads::Between(red, black) => vec![red, black],
            Leads::Round(_) => Vec::new(),
        };
        let shut = points.into_iter().find(|&point| vehicle.reach(point) == Reach::Never);
        match shut {
            Some(point) => Err(ActError::OutOfReach { point: vehicle.point(point).name().to_string() }),
            None => Ok(()),
        }
    }

    fn measure(
        &mut self,
        leads: Leads,
        loom: Loom,
        is_there: bool,
        random: &mut ChaCha8Rng,
        hazard: &mut Option<Unsafe>,
    ) -> Result<Told, ActError> {
        self.check_leads(leads)?;
        let state = self.state().clone();
        let is_moved = loom == Loom::Moved && self.lesson.comes_and_goes;
        let world = if is_there || is_moved { &self.world } else { &self.sound };
        let display = self.instrument.shows(world, &state, leads, random)?;
        let probe = self.instrument.probe(leads);
        let is_short = matches!(&display, Display::Short(_))
            || matches!(&display, Display::Through { short, .. } if short.pulls_down);
        *hazard = is_short.then_some(Unsafe::AmmeterAcross);
        self.instrument.fuse_is_whole &= !matches!(display, Display::Short(_));
        if let Display::Short(short) | Display::Through { short, .. } = &display {
            self.world.open_fuses(&short.opened);
        }
        let test = probe.unwrap_or(match leads {
            Leads::Between(red, black) => Probe::voltage(red, black),
            Leads::Round(part) => Probe::Current { part },
        });
        self.spend(Test::Measure(test));
        if loom == Loom::Moved {
            self.minutes += self.figures().shake;
        }
        if let (Some(probe), Some(measured)) = (probe, display.reading()) {
            let symptom = match (self.lesson.comes_and_goes, is_moved, is_there) {
                (false, ..) | (true, false, true) => Symptom::Present,
                (true, true, _) => Symptom::Perhaps,
                (true, false, false) => Symptom::Absent,
            };
            self.case.add(self.reading(probe, measured, symptom))?;
        }
        let worked = (self.lesson.comes_and_goes && !is_moved).then_some(!is_there);
        Ok(Told::Shown { display, worked })
    }

    /// The same thing read again in the same state takes the place of the first.
    fn reading(&self, probe: Probe, measured: Measured, symptom: Symptom) -> Entry {
        let standing = self.case.standing();
        let same = standing.readings.iter().find(|numbered| {
            let reading = &numbered.reading;
            numbered.counts()
                && reading.probe == probe
                && reading.state == standing.state
                && reading.meter == standing.meter
                && reading.symptom == symptom
        });
        match same {
            Some(same) => Entry::Retake { number: same.number, measured },
            None => Entry::Read { settings: Vec::new(), probe, measured, symptom },
        }
    }

    fn sense(&mut self, subject: PartId, sense: Sense, is_there: bool) -> Result<Told, ActError> {
        let vehicle = self.vehicle();
        let part = vehicle.part(subject);
        let (fits, what) = match sense {
            Sense::Look => (part.kind.is_load(), "look at"),
            Sense::Fuse => (part.kind.is_protection(), "look at"),
            Sense::Listen => (part.kind.is_coil(), "hear"),
            Sense::Lamp => (self.state().has_lamp(vehicle, subject), "look at"),
            Sense::Source => (part.kind.is_regulated(), "look at"),
            Sense::Feel => (true, "feel"),
        };
        if !fits {
            return Err(ActError::NothingToSense { what, part: part.name.clone() });
        }
        let state = self.state().clone();
        let world = if is_there { &self.world } else { &self.sound };
        let mut sign = world.sense_truly(&state, subject, sense)?;
        // A load that runs though nothing should make it is another complaint.
        let complaint = &self.lesson.hidden;
        let served = self.lesson.engine().predictor().in_state(&state)?.is_served(vehicle, subject);
        if sense == Sense::Look && !served {
            let runs = !matches!(sign, Sign::Looks(Appearance::Dead));
            let is_asked = subject == complaint.subject && complaint.sign == Sign::StaysOn;
            sign = if runs { Sign::StaysOn } else { sign };
            if !is_asked || !runs {
                self.spend(Test::Sense { subject, sense });
                return Ok(Told::Seen(sign));
            }
        }
        self.case.add(Entry::Observe { settings: Vec::new(), subject, sign })?;
        self.spend(Test::Sense { subject, sense });
        Ok(Told::Seen(sign))
    }

    fn replace(&mut self, part: PartId, hazard: &mut Option<Unsafe>) -> Result<Told, ActError> {
        let kind = &self.vehicle().part(part).kind;
        let solution = solve(self.world.network(self.state()))?;
        let is_supply = kind.is_supply();
        // What stays on with everything at rest cannot be switched off.
        let is_on = *self.state() != State::rest(self.vehicle());
        let is_live = is_on && !is_supply && solution.current(part.index()).0.abs() > self.figures().live_current.0;
        if self.vehicle().part(part).kind.is_fuse() && self.renewed.contains(&part) {
            *hazard = Some(Unsafe::FuseAfterFuse);
        } else if is_live {
            *hazard = Some(Unsafe::RenewedLive);
        }
        let price = price(self.figures(), kind);
        let mut world = self.world.renewed(part);
        let opened = world.blow(self.state())?;
        self.case.add(Entry::Repaired { part })?;
        let place = self.vehicle().part(part).place;
        place.into_iter().for_each(|place| self.go(place));
        self.world = world;
        self.renewed.push(part);
        self.cost += price;
        self.minutes += self.figures().renewing;
        Ok(Told::Renewed { price, opened })
    }
}
