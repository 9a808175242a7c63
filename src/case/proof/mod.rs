//! Proof of repair: the fewest readings that show that the fault is gone and
//! that nothing else was disturbed, in the state that made it show.

mod choose;
mod span;
mod touched;
mod watch;

use super::{Case, CaseError, Entry, Standing};
use crate::belief::{Sign, Symptom};
use crate::plan::Range;
use crate::predict::{Probe, Scale};
use crate::tables::practice::DropLimit;
use crate::vehicle::{ControlId, PartId, Position, State};

/// What is to be shown after a repair, and what has been.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    /// The part repaired last.
    pub repaired: PartId,
    /// What to look at and to read, in order.
    pub checks: Vec<Check>,
    /// What stands otherwise than at rest, to be put back at the end.
    pub left: Vec<(ControlId, Position)>,
    /// Parts that were disturbed and that no check shows.
    pub unshown: Vec<PartId>,
    /// What no reading proves in a few minutes.
    pub beyond: Vec<Beyond>,
}

/// One thing to look at or to read.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// How everything stands for it.
    pub state: State,
    /// What.
    pub what: What,
    /// The parts that it shows to be sound.
    pub shows: Vec<PartId>,
    /// How it came out.
    pub outcome: Outcome,
}

/// What to do.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// See, hear or tell by its lamp that a part does what it should.
    Shows {
        /// Which.
        subject: PartId,
        /// What there is to tell.
        sign: Sign,
    },
    /// Read something.
    Read {
        /// What.
        probe: Probe,
        /// What sound parts show, three deviations either way.
        band: Range,
        /// What it may not exceed, where there is such a limit.
        limit: Option<DropLimit>,
    },
}

/// How a check came out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outcome {
    /// Not done yet.
    Open,
    /// As it must be.
    Passed(Found),
    /// Below the limit, but more than sound parts show.
    Doubtful(Found),
    /// Not as it must be.
    Failed(Found),
}

/// What was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Found {
    /// What somebody told of the part.
    Told(Sign),
    /// What was read, on the scale of the probe.
    Read {
        /// On which.
        scale: Scale,
        /// What.
        value: f64,
    },
}

/// What takes more than readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beyond {
    /// A fault that came and went.
    ComesAndGoes,
    /// A battery that went flat.
    GoesFlat(PartId),
    /// A fuse that blew.
    Blows(PartId),
}

/// Where the proof stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Every check passed, and all is put back.
    Proved,
    /// Every check passed; something is still to be put back.
    ToPutBack,
    /// Some checks are open, none failed.
    Unfinished,
    /// Some check did not come out as it must.
    NotProved,
}

impl Proof {
    /// Where it stands.
    pub fn verdict(&self) -> Verdict {
        let any = |wanted: fn(&Outcome) -> bool| self.checks.iter().any(|check| wanted(&check.outcome));
        match () {
            () if any(|outcome| matches!(outcome, Outcome::Failed(_) | Outcome::Doubtful(_))) => Verdict::NotProved,
            () if self.checks.is_empty() || any(|outcome| *outcome == Outcome::Open) => Verdict::Unfinished,
            () if !self.left.is_empty() => Verdict::ToPutBack,
            () => Verdict::Proved,
        }
    }

    /// Checks that passed.
    pub fn passed(&self) -> usize {
        self.checks.iter().filter(|check| matches!(check.outcome, Outcome::Passed(_))).count()
    }

    /// The first check not done yet.
    pub fn next(&self) -> Option<&Check> {
        self.checks.iter().find(|check| check.outcome == Outcome::Open)
    }
}

/// A repair, and what was complained of before it.
struct Made<'a> {
    repaired: PartId,
    complaints: &'a [Complaint],
    /// The state that made the fault show.
    showing: &'a State,
}

/// What people complained of, with the state it showed in.
struct Complaint {
    subject: PartId,
    sign: Sign,
    state: State,
}

impl Case {
    /// The proof of the last repair; `None` if nothing was repaired.
    ///
    /// # Errors
    /// [`CaseError::Unsolvable`] as for the entries themselves.
    pub fn proof(&self) -> Result<Option<Proof>, CaseError> {
        let repair = self.entries.iter().enumerate().rev().find_map(|(index, entry)| match entry {
            Entry::Repaired { part } => Some((index, *part)),
            _ => None,
        });
        let Some((index, repaired)) = repair else { return Ok(None) };
        let (complaints, showing) = self.complaints(index);
        // What is to be shown does not change with what is shown of it.
        let mut then = Standing::of(self.vehicle(), &self.entries[..=index]);
        then.out_of_reach.clone_from(&self.standing.out_of_reach);
        then.meter = self.standing.meter;
        let made = Made { repaired, complaints: &complaints, showing: &showing };
        let mut chosen = choose::checks(self, &then, &made)?;
        for check in &mut chosen.checks {
            check.outcome = self.outcome(check, &showing)?;
        }
        let beyond = complaints.iter().filter_map(|complaint| match complaint.sign {
            Sign::Sometimes => Some(Beyond::ComesAndGoes),
            Sign::GoesFlat => Some(Beyond::GoesFlat(complaint.subject)),
            Sign::BlowsFuse => Some(Beyond::Blows(complaint.subject)),
            _ => None,
        });
        Ok(Some(Proof {
            repaired,
            beyond: beyond.collect(),
            left: self.standing.state.changes(self.vehicle()).collect(),
            checks: chosen.checks,
            unshown: chosen.unshown,
        }))
    }

    /// What was complained of before an entry, one of each part, and the state
    /// in which the fault showed: that of the first complaint, or of the last
    /// reading.
    fn complaints(&self, before: usize) -> (Vec<Complaint>, State) {
        let mut complaints: Vec<Complaint> = Vec::new();
        let state_after = |index: usize| Standing::of(self.vehicle(), &self.entries[..=index]).state;
        let mut read_in = None;
        for (index, entry) in self.entries[..before].iter().enumerate() {
            if let Some((subject, sign)) = entry.seen().filter(|(_, sign)| sign.is_complaint())
                && complaints.iter().all(|known| known.subject != subject)
            {
                complaints.push(Complaint { subject, sign, state: state_after(index) });
            }
            if matches!(entry, Entry::Read { .. }) {
                read_in = Some(index);
            }
        }
        let first = complaints.first().map(|complaint| complaint.state.clone());
        let showing = first.or_else(|| read_in.map(state_after)).unwrap_or_else(|| self.standing.state.clone());
        (complaints, showing)
    }

    /// How a check came out, by what was entered since the repair.
    fn outcome(&self, check: &Check, showing: &State) -> Result<Outcome, CaseError> {
        let evidence = &self.standing.evidence;
        match check.what {
            What::Shows { subject, sign } => {
                let mut outcome = Outcome::Open;
                for seen in evidence.observations.iter().filter(|seen| seen.subject == subject) {
                    // Where the fault showed, only that state will do; what was
                    // disturbed elsewhere may be seen whenever it should run.
                    let counts = seen.state == check.state
                        || (check.state != *showing
                            && self.predictor().in_state(&seen.state)?.is_served(self.vehicle(), subject));
                    match Found::Told(seen.sign) {
                        found if counts && seen.sign == sign => outcome = Outcome::Passed(found),
                        found if counts && seen.sign.contradicts(sign) => outcome = Outcome::Failed(found),
                        _ => {}
                    }
                }
                Ok(outcome)
            }
            What::Read { probe, band, limit } => {
                let found = evidence.readings.iter().rev().find_map(|reading| {
                    let counts = reading.state == check.state && reading.symptom == Symptom::Present;
                    let same = counts && reading.probe.is_same(probe) && probe.fits(&reading.measured);
                    let sign = if reading.probe == probe { 1.0 } else { -1.0 };
                    same.then(|| sign * reading.on_scale(&self.engine.tables().instruments).0)
                });
                Ok(found.map_or(Outcome::Open, |value| judged(value, band, limit)))
            }
        }
    }
}

/// A reading against its band and its limit.
fn judged(value: f64, band: Range, limit: Option<DropLimit>) -> Outcome {
    let found = Found::Read { scale: band.scale, value };
    match limit {
        _ if value < band.low => Outcome::Failed(found),
        // As drawn, some circuits drop more than practice allows; that is no
        // matter of the repair.
        _ if value <= band.high => Outcome::Passed(found),
        Some(limit) if value <= limit.volts.0 => Outcome::Doubtful(found),
        _ => Outcome::Failed(found),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Volts;

    #[test]
    fn a_reading_is_held_against_its_band_and_its_limit() {
        let band = Range { scale: crate::predict::Scale::Volts, low: 0.001, high: 0.010 };
        let limit = Some(DropLimit { volts: Volts(0.1), source: "a test" });
        let judged = |volts: f64| judged(volts, band, limit);
        assert!(matches!(judged(0.005), Outcome::Passed(_)));
        assert!(matches!(judged(0.050), Outcome::Doubtful(_)));
        assert!(matches!(judged(0.150), Outcome::Failed(_)));
        // No current flows, or the wrong pin: proves nothing.
        assert!(matches!(judged(0.0), Outcome::Failed(_)));
    }
}
