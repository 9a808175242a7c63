//! What follows from how things stand.

use super::error::CaseError;
use super::fold::Standing;
use crate::belief::{Belief, Contradiction, Engine, LoopGap, Segment, loop_gap};
use crate::network::Convergence;
use crate::plan::{Advice, Next, plan};
use crate::predict::Scale;
use crate::vehicle::PartId;

/// Everything the screen can show of a case.
pub struct Assessment {
    /// Probabilities.
    pub belief: Belief,
    /// Where the trouble is, once something was said or read.
    pub segment: Option<Segment>,
    /// What to do next.
    pub next: Next,
    /// Runners-up.
    pub others: Vec<Advice>,
    /// Parts that were in question and no longer are.
    pub proved_good: Vec<PartId>,
    /// A reading that does not go with the others.
    pub contradiction: Option<Contradiction>,
    /// A loop closed by the newest reading that does not add up; positions
    /// among the readings that count.
    pub loop_gap: Option<LoopGap>,
    /// Whether the present state settles.
    pub settling: Convergence,
    /// Fuses that open in the present state when all is sound.
    pub overloaded: Vec<PartId>,
}

/// Numerical: three standard deviations, the usual limit of a control chart.
const DEVIATIONS: f64 = 3.0;

/// Whether a reading is off by more than the grounds of a vehicle are apart; of a drain
/// millivolts tell, and volts across one part are of no ground.
fn is_worth_a_retake(engine: &Engine, standing: &Standing, doubt: &Contradiction) -> bool {
    let reading = &standing.evidence.readings[doubt.reading];
    let is_across = |(red, black)| engine.vehicle().parts_between(red, black).next().is_some();
    match reading.probe.plain_voltage().filter(|&points| !is_across(points)) {
        Some(_) if !standing.evidence.hunts_a_drain() => {
            let instruments = &engine.tables().instruments;
            let (shown, _) = Scale::value_of(instruments, &reading.measured);
            (shown - doubt.expected).abs() > DEVIATIONS * engine.tables().spreads.ground.0
        }
        _ => true,
    }
}

impl Assessment {
    /// Works it out.
    ///
    /// # Errors
    /// [`CaseError::Unsolvable`] if a state has no solution.
    pub fn of(engine: &Engine, standing: &Standing) -> Result<Self, CaseError> {
        let vehicle = engine.vehicle();
        let belief = engine.posterior(&standing.evidence)?;
        let model = engine.predictor().in_state(&standing.state)?;
        let (next, others) = plan(engine, &belief, &standing.situation(engine.tables()))?;
        let is_advised = matches!(next, Next::ReadAgain { .. });
        let is_told = |doubt: &Contradiction| is_advised || is_worth_a_retake(engine, standing, doubt);
        let segment = match next.is_of_no_suspect() {
            true => None,
            false => belief.segment(&engine.tables().belief, vehicle, &model),
        };
        let readings = &standing.evidence.readings;
        let solution = model.solution();
        Ok(Self {
            segment,
            next,
            others,
            proved_good: belief.proved_good(&engine.tables().belief),
            contradiction: belief.contradiction(&engine.tables().belief).filter(is_told),
            loop_gap: readings
                .len()
                .checked_sub(1)
                .and_then(|newest| loop_gap(engine.tables(), &standing.evidence, newest)),
            settling: solution.convergence(),
            overloaded: vehicle.part_ids().filter(|part| solution.is_blown(part.index())).collect(),
            belief,
        })
    }
}
