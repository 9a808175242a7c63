//! The record told as one story: what was seen, every reading against what a
//! sound vehicle would have shown, each hunt with its end, and what was proved
//! after the last repair.

use super::proof::Proof;
use super::verdict::{ReadingVerdict, sound_band};
use super::{Assessment, Case, CaseError, Entry, Numbered, Standing};
use crate::belief::{Sign, Symptom};
use crate::plan::Range;
use crate::predict::Probe;
use crate::quantity::{Measured, Volts};
use crate::vehicle::trace::{Stop, stops, way_there_and_back};
use crate::vehicle::{PartId, PointId, State};

/// Something seen, with the state it was seen in.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenSign {
    /// Number of the entry, from 0.
    pub entry: usize,
    pub subject: PartId,
    pub sign: Sign,
    /// How everything stood.
    pub state: State,
}

impl SeenSign {
    /// Whether it says that something is wrong.
    pub fn is_complaint(&self) -> bool {
        self.sign.is_complaint()
    }
}

/// A reading with what was expected of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Number of the entry that holds it, from 0.
    pub entry: usize,
    pub of: Numbered,
    /// Values it had before it was taken again, oldest first.
    pub taken_before: Vec<Measured>,
    /// What a sound vehicle shows, in the light of the readings before it;
    /// `None` where a point hangs in the air.
    pub expected: Option<Range>,
    /// What it means on its own.
    pub verdict: ReadingVerdict,
}

/// A point on the way of what was complained of.
#[derive(Debug, Clone, PartialEq)]
pub struct AccountPoint {
    /// The point and the part that leads to it.
    pub stop: Stop,
    /// What a sound vehicle shows there, in the state it was read in or else
    /// complained of; `None` if floating.
    pub expected: Option<Range>,
    /// What was read there against the usual black point, and what it means.
    pub read: Option<(Volts, ReadingVerdict)>,
}

/// The way of the load complained of.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    pub load: PartId,
    /// The black lead's usual point.
    pub black: PointId,
    /// Its points, supply first.
    pub stations: Vec<AccountPoint>,
    /// Readings between two of its points that are not the usual black point:
    /// positions among the stations, value, verdict.
    pub spans: Vec<(usize, usize, Volts, ReadingVerdict)>,
}

/// From a complaint to a repair, or to the end of the record.
pub struct Hunt {
    /// Number of its last entry and one, from 0.
    pub until: usize,
    /// What followed from how things stood at its end.
    pub assessment: Assessment,
    /// Parts repaired at its end.
    pub repaired: Vec<PartId>,
    /// The way of the load complained of, if there is one.
    pub way: Option<Way>,
}

/// The record told as one story.
pub struct Account {
    /// Everything seen, in order.
    pub seen: Vec<SeenSign>,
    /// Every reading, in order.
    pub readings: Vec<Judged>,
    /// Hunts, in order.
    pub hunts: Vec<Hunt>,
    /// What shows that the last repair holds; `None` if nothing was repaired.
    pub proof: Option<Proof>,
}

impl Account {
    /// The first complaint of a hunt.
    pub fn complaint(&self, hunt: usize) -> Option<&SeenSign> {
        let start = hunt.checked_sub(1).map_or(0, |before| self.hunts[before].until);
        self.seen.iter().find(|seen| seen.is_complaint() && (start..self.hunts[hunt].until).contains(&seen.entry))
    }

    /// What was complained of since the last repair.
    pub fn complained_again(&self, case: &Case) -> impl Iterator<Item = &SeenSign> {
        let last = last_repair(case);
        self.seen.iter().filter(move |seen| seen.is_complaint() && last.is_some_and(|last| seen.entry > last))
    }

    /// Readings since the last repair that are not as they should be.
    pub fn amiss_again(&self, case: &Case) -> impl Iterator<Item = &Judged> {
        let last = last_repair(case);
        let since = self.readings.iter().filter(move |judged| last.is_some_and(|last| judged.entry > last));
        since.filter(|judged| judged.of.counts() && judged.verdict.is_amiss())
    }
}

fn last_repair(case: &Case) -> Option<usize> {
    case.entries().iter().rposition(|entry| matches!(entry, Entry::Repaired { .. }))
}

impl Case {
    /// The record told as one story.
    ///
    /// # Errors
    /// [`CaseError`] as for the entries themselves.
    pub fn account(&self) -> Result<Account, CaseError> {
        let readings = self.judged()?;
        let seen = self.seen();
        let hunts = self.hunts(&readings)?;
        Ok(Account { seen, readings, hunts, proof: self.proof()? })
    }

    fn standing_before(&self, entry: usize) -> Standing {
        Standing::of(&self.engine, &self.entries[..entry])
    }

    fn seen(&self) -> Vec<SeenSign> {
        let seen = self.entries.iter().enumerate().filter_map(|(entry, of)| match of {
            Entry::Observe { settings, subject, sign } | Entry::Complain { settings, subject, sign, .. } => {
                let state = self.standing_before(entry).state.with_all(settings);
                Some(SeenSign { entry, subject: *subject, sign: *sign, state })
            }
            _ => None,
        });
        seen.collect()
    }

    fn judged(&self) -> Result<Vec<Judged>, CaseError> {
        let taken = self.entries.iter().enumerate().filter_map(|(entry, of)| match of {
            Entry::Read { measured, .. } => Some((entry, *measured)),
            _ => None,
        });
        taken.zip(&self.standing.readings).map(|((entry, first), of)| self.judge(entry, first, of)).collect()
    }

    fn judge(&self, entry: usize, first: Measured, of: &Numbered) -> Result<Judged, CaseError> {
        let reading = &of.reading;
        let before = self.standing_before(entry);
        let belief = self.engine.posterior(&before.evidence)?;
        let expected = sound_band(
            self.predictor(),
            &belief,
            &before.evidence.readings,
            &reading.state,
            reading.meter,
            reading.probe,
        );
        let retaken = self.entries.iter().filter_map(|other| match other {
            Entry::Retake { number, measured } if *number == of.number => Some(*measured),
            _ => None,
        });
        let mut taken_before: Vec<Measured> = std::iter::once(first).chain(retaken).collect();
        taken_before.pop();
        let verdict = ReadingVerdict::of(expected, reading.on_scale(&self.engine.tables().instruments).0);
        Ok(Judged { entry, of: of.clone(), taken_before, expected, verdict })
    }

    fn hunts(&self, readings: &[Judged]) -> Result<Vec<Hunt>, CaseError> {
        let is_repair = |entry: &Entry| matches!(entry, Entry::Repaired { .. });
        let mut hunts = Vec::new();
        let ends = (0..=self.entries.len()).filter(|&end| self.entries.get(end).is_none_or(is_repair));
        for until in ends {
            let standing = self.standing_before(until);
            if !standing.evidence.observations.iter().any(|seen| seen.is_complaint()) {
                continue;
            }
            let assessment = Assessment::of(&self.engine, &standing)?;
            let repaired = self.entries[until..].iter().map_while(|entry| match entry {
                Entry::Repaired { part } => Some(*part),
                _ => None,
            });
            let way = self.way(&standing, &assessment, &readings[..standing.readings.len()]);
            hunts.push(Hunt { until, repaired: repaired.collect(), way, assessment });
        }
        Ok(hunts)
    }

    /// The way of what was complained of first; of a fuse, the way of a load it feeds.
    fn way(&self, standing: &Standing, assessment: &Assessment, readings: &[Judged]) -> Option<Way> {
        let vehicle = self.vehicle();
        let complaint = standing.evidence.observations.iter().find(|seen| seen.is_complaint())?;
        let state = &complaint.state;
        let load = vehicle.loads().find(|&load| load == complaint.subject).or_else(|| {
            vehicle.loads().find(|&load| way_there_and_back(vehicle, state, load).contains(&complaint.subject))
        })?;
        let counting: Vec<&Judged> = (readings.iter().zip(&standing.readings))
            .filter(|(judged, then)| then.counts() && judged.of.reading.symptom == Symptom::Present)
            .map(|(judged, _)| judged)
            .collect();
        let black = standing.black;
        let stations: Vec<AccountPoint> = stops(vehicle, state, load)
            .into_iter()
            .map(|stop| {
                let probe = Probe::voltage(stop.point, black);
                let judged = counting.iter().rev().find(|judged| judged.of.reading.probe == probe);
                let expected = match judged {
                    Some(judged) => judged.expected,
                    None => sound_band(
                        self.predictor(),
                        &assessment.belief,
                        &standing.evidence.readings,
                        state,
                        standing.meter,
                        probe,
                    ),
                };
                let read = judged.and_then(|judged| Some((judged.of.reading.voltage()?.2.value, judged.verdict)));
                AccountPoint { stop, expected, read }
            })
            .collect();
        let at = |point: PointId| stations.iter().position(|station| station.stop.point == point);
        let spans = counting
            .iter()
            .filter_map(|judged| {
                let (red, black_lead, volts) = judged.of.reading.voltage()?;
                let is_span = red != black && black_lead != black;
                is_span.then_some((at(red)?, at(black_lead)?, volts.value, judged.verdict))
            })
            .collect();
        (!stations.is_empty()).then_some(Way { load, black, stations, spans })
    }
}
