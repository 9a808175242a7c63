//! Memo of weighings: a record mostly grows by one entry, and what the older
//! readings show under each explanation stays as it was.

use super::candidate::{Candidate, Showing};
use super::departing::Departing;
use super::evidence::{Evidence, Observation, Reading, Symptom};
use super::gaussian::Joint;
use super::undrawn::UndrawnMemo;
use crate::complaint::TreeId;
use crate::fault::Fault;
use crate::memo::{LastAnswer, Memo, MemoUnder, Numbers};
use crate::meter::MeterKind;
use crate::predict::{HypothesisKey, Phase, Prediction, Probe, Quantities, Uncertainties};
use crate::tables::instruments::Instruments;
use crate::tables::memory::Memory;
use crate::vehicle::State;
use std::cell::OnceCell;
use std::rc::Rc;

/// What was worked out for one engine.
pub(super) struct WeighingMemo {
    /// What is uncertain where the handover is known.
    pub informed: OnceCell<Uncertainties>,
    readings: Numbers<ReadingKey>,
    looks: Numbers<LookKey>,
    /// What looks show, whenever they are taken.
    pub shown: MemoUnder<Quantities, (LookNumber, HypothesisKey, Phase), Rc<Prediction>>,
    /// What readings are to show.
    pub predictions: MemoUnder<Quantities, (ReadingNumber, HypothesisKey, Phase), Rc<Prediction>>,
    /// Records, by the one before the last reading and that.
    pub records: Numbers<(Option<RecordNumber>, ReadingNumber)>,
    /// Sequences of readings under what shows in each.
    pub sequences: Numbers<Sequence>,
    /// Those of a record under a hypothesis.
    pub chains: LastAnswer<Quantities, ChainKey, Chain>,
    /// What they come to.
    pub joints: LastAnswer<Quantities, SequenceNumber, Rc<Joint>>,
    /// The same where a part departs from the drawing.
    pub departing: LastAnswer<Quantities, SequenceNumber, (Departing, Rc<Joint>)>,
    /// Whether a fault of any size could move a reading.
    pub moves: Memo<(ReadingNumber, Fault), bool>,
    /// The faults that stand.
    pub faulty: Memo<Seen, Rc<Faulty>>,
    pub undrawn: UndrawnMemo,
}

/// A look, by a number that no other has.
pub(super) type LookNumber = usize;

/// A reading, by a number that no other has.
pub(super) type ReadingNumber = usize;

/// A record, by a number that no other has.
pub(super) type RecordNumber = usize;

/// A record under a hypothesis, what showed before a repair, when it began, and
/// which of two faults each reading shows.
type ChainKey = (RecordNumber, HypothesisKey, Option<HypothesisKey>, usize, Phase, Box<[Showing]>);

/// The readings of a record under a hypothesis.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Chain {
    /// None of no readings.
    pub sequence: Option<SequenceNumber>,
    /// Whether anything trips in one of them.
    pub trips: bool,
}

/// A sequence of readings, by a number that no other has.
pub(super) type SequenceNumber = usize;

/// A sequence of readings: all before the last, the last, and what shows in it.
#[derive(PartialEq, Eq, Hash)]
pub(super) struct Sequence {
    pub before: Option<SequenceNumber>,
    pub last: ReadingNumber,
    pub shows: HypothesisKey,
    pub phase: Phase,
    /// Whether it shows the second of two faults.
    pub is_second: bool,
}

/// All of a reading that decides what a meter shows there.
#[derive(Clone, PartialEq, Eq, Hash)]
struct LookKey {
    probe: Probe,
    step: u64,
    meter: MeterKind,
    state: State,
    /// When, of an instrument that may drift.
    moment: usize,
}

/// All of a reading that decides what it is to show: the value counts for what
/// comes and goes.
#[derive(PartialEq, Eq, Hash)]
struct ReadingKey {
    look: LookKey,
    value: u64,
    symptom: Symptom,
    moment: usize,
}

impl ReadingKey {
    fn of(instruments: &Instruments, reading: &Reading) -> Self {
        let (value, step) = reading.on_scale(instruments);
        let Reading { probe, meter, symptom, moment, .. } = *reading;
        let drifting = if probe.instrument().is_some() { moment } else { 0 };
        let look = LookKey { probe, step: step.to_bits(), meter, state: reading.state.clone(), moment: drifting };
        Self { look, value: value.to_bits(), symptom, moment }
    }
}

/// Every fault that stands, and how often all of them make such a complaint.
pub(super) type Faulty = (Vec<Candidate>, f64);

/// All that decides which faults stand, and how likely by what was seen.
#[derive(PartialEq, Eq, Hash)]
pub(super) struct Seen {
    /// The first complaint: why anybody is here. It sets what share of the
    /// belief goes to no fault at all.
    pub complaint: Option<Observation>,
    /// What was seen after it counts for all.
    pub later: Vec<Observation>,
    /// Whether the place of a fault is what blows a fuse.
    pub by_cause: bool,
    pub tree: Option<TreeId>,
    pub is_history_heeded: bool,
    pub states: Vec<State>,
}

impl WeighingMemo {
    pub fn new(memory: &Memory) -> Self {
        Self {
            informed: OnceCell::new(),
            readings: Numbers::new(memory.readings),
            looks: Numbers::new(memory.readings),
            shown: MemoUnder::new(memory.predictions),
            predictions: MemoUnder::new(memory.predictions),
            records: Numbers::new(memory.sequences),
            sequences: Numbers::new(memory.sequences),
            chains: LastAnswer::new(memory.sequences),
            joints: LastAnswer::new(memory.joints),
            departing: LastAnswer::new(memory.joints),
            moves: Memo::new(memory.moves),
            faulty: Memo::new(memory.explaining_faults),
            undrawn: UndrawnMemo::new(memory),
        }
    }

    /// A new answer begins, under these quantities.
    pub fn turn(&self, quantities: &Quantities) {
        self.readings.turn();
        self.looks.turn();
        self.records.turn();
        self.sequences.turn();
        self.chains.turn(quantities);
        self.joints.turn(quantities);
        self.departing.turn(quantities);
    }

    /// The numbers of [`Evidence::all_readings`], and of the looks that they are.
    pub fn numbered(&self, instruments: &Instruments, evidence: &Evidence) -> Vec<(ReadingNumber, LookNumber)> {
        let keys = evidence.all_readings().map(|reading| ReadingKey::of(instruments, reading));
        let look = |key: &ReadingKey| self.looks.of(key.look.clone());
        keys.map(|key| (look(&key), key)).map(|(look, key)| (self.readings.of(key), look)).collect()
    }
}
