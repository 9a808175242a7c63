//! Proof of repair: the fewest readings that show that the fault is gone and
//! that nothing else was disturbed, in the state that made it show.

use super::check::{BeyondProof, Check, CheckOutcome, Found, Proof, What};
use super::choose;
use super::repair::{Repair, Reported};
use crate::belief::{Observation, Reading, Sign, Symptom};
use crate::case::{Case, CaseError, Entry, Standing};
use crate::plan::Range;
use crate::predict::Probe;
use crate::tables::practice::DropLimit;
use crate::vehicle::State;

impl Case {
    /// The proof of the last repair; `None` if nothing was repaired.
    ///
    /// # Errors
    /// [`CaseError::Unsolvable`] as for the entries themselves.
    pub fn proof(&self) -> Result<Option<Proof>, CaseError> {
        let repair = self.entries.iter().enumerate().rev().find_map(|(index, entry)| Some((index, entry.repaired()?)));
        let Some((index, repaired)) = repair else { return Ok(None) };
        let (complaints, showing) = self.complaints(index);
        // What is to be shown does not change with what is shown of it.
        let mut then = Standing::of(&self.engine, &self.entries[..=index]);
        then.out_of_reach.clone_from(&self.standing.out_of_reach);
        then.meter = self.standing.meter;
        let made = Repair { repaired, complaints: &complaints, showing: &showing };
        let mut chosen = choose::checks(self, &then, &made)?;
        for check in &mut chosen.checks {
            check.outcome = self.outcome(check, &showing)?;
            if check.outcome == CheckOutcome::Open {
                check.in_other_state = self.in_other_state(check);
            }
        }
        let beyond = complaints.iter().filter_map(|complaint| match complaint.sign {
            Sign::Sometimes => Some(BeyondProof::ComesAndGoes),
            Sign::GoesFlat => Some(BeyondProof::GoesFlat(complaint.subject)),
            Sign::BlowsFuse => Some(BeyondProof::Blows(complaint.subject)),
            Sign::Looks(_) | Sign::StaysOn | Sign::Glows | Sign::Uncharged | Sign::LooksWhole | Sign::LooksBlown => {
                None
            }
            Sign::ChargesLittle | Sign::ComesBack | Sign::NoBetter | Sign::LampBright | Sign::LampDim => None,
            Sign::Clicks | Sign::Silent | Sign::Gives | Sign::Idle | Sign::Hot | Sign::Cool | Sign::Green => None,
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
    fn complaints(&self, before: usize) -> (Vec<Reported>, State) {
        let mut complaints: Vec<Reported> = Vec::new();
        // What was put in for a test is out again by then.
        let state_after = |index: usize| Standing::of(&self.engine, &self.entries[..=index]).state.without_aids();
        let mut read_in = None;
        for (index, entry) in self.entries[..before].iter().enumerate() {
            if let Some((subject, sign)) = entry.seen().filter(|(_, sign)| sign.is_complaint())
                && complaints.iter().all(|known| known.subject != subject)
            {
                complaints.push(Reported { subject, sign, state: state_after(index) });
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
    fn outcome(&self, check: &Check, showing: &State) -> Result<CheckOutcome, CaseError> {
        let evidence = &self.standing.evidence;
        match check.what {
            What::Shows { subject, sign } => {
                let mut outcome = CheckOutcome::Open;
                for seen in evidence.observations.iter().filter(|seen| seen.subject == subject) {
                    // Where the fault showed, only that state will do; what was
                    // disturbed elsewhere may be seen whenever it should run.
                    let counts = seen.state == check.state
                        || (check.state != *showing
                            && !seen.state.has_aids()
                            && self.predictor().in_state(&seen.state)?.is_served(self.vehicle(), subject));
                    match Found::Told(seen.sign) {
                        found if counts && seen.sign == sign => outcome = CheckOutcome::Passed(found),
                        found if counts && seen.sign.contradicts(sign) => outcome = CheckOutcome::Failed(found),
                        _ => {}
                    }
                }
                Ok(outcome)
            }
            What::Read { probe, band, limit } => {
                let found = evidence.readings.iter().rev().find_map(|reading| {
                    let counts = reading.state == check.state && reading.symptom == Symptom::Present;
                    let same = counts && is_of(reading, probe);
                    let sign = if reading.probe == probe { 1.0 } else { -1.0 };
                    same.then(|| sign * reading.on_scale(&self.engine.tables().instruments).0)
                });
                Ok(found.map_or(CheckOutcome::Open, |value| judged(value, band, limit)))
            }
        }
    }

    /// The state that what a check asks for was last seen or read in, where it is
    /// not the one that counts.
    fn in_other_state(&self, check: &Check) -> Option<State> {
        let evidence = &self.standing.evidence;
        let state = match check.what {
            What::Shows { subject, sign } => {
                let told =
                    |seen: &&Observation| seen.subject == subject && (seen.sign == sign || seen.sign.contradicts(sign));
                &evidence.observations.iter().rev().find(told)?.state
            }
            What::Read { probe, .. } => &evidence.readings.iter().rev().find(|reading| is_of(reading, probe))?.state,
        };
        (*state != check.state).then(|| state.clone())
    }
}

/// Whether a reading is of a probe, either way round.
fn is_of(reading: &Reading, probe: Probe) -> bool {
    reading.probe.is_same(probe) && probe.fits(&reading.measured)
}

/// A reading against its band and its limit.
fn judged(value: f64, band: Range, limit: Option<DropLimit>) -> CheckOutcome {
    let found = Found::Read { scale: band.scale, value };
    match limit {
        _ if value < band.low => CheckOutcome::Failed(found),
        // As drawn, some circuits drop more than practice allows; that is no
        // matter of the repair.
        _ if value <= band.high => CheckOutcome::Passed(found),
        Some(limit) if value <= limit.volts.0 => CheckOutcome::Doubtful(found),
        _ => CheckOutcome::Failed(found),
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
        assert!(matches!(judged(0.005), CheckOutcome::Passed(_)));
        assert!(matches!(judged(0.050), CheckOutcome::Doubtful(_)));
        assert!(matches!(judged(0.150), CheckOutcome::Failed(_)));
        // No current flows, or the wrong pin: proves nothing.
        assert!(matches!(judged(0.0), CheckOutcome::Failed(_)));
    }
}
