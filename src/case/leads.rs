//! Where the black lead is, and what is taken for granted of it.

use super::Case;
use crate::plan::{Next, Test};
use crate::quantity::Measured;
use crate::vehicle::PointId;
use crate::vehicle::returns::return_bars;

/// From: common practice, no source. Share of nominal voltage that proves the black lead.
const PROVES: f64 = 0.5;

impl Case {
    /// The black point of a reading of which the red one was named alone: what the test
    /// advised says, if that is a negative, else the negative on which the lead stands.
    pub fn black_for(&self, red: PointId) -> PointId {
        let standing = &self.standing;
        let advised = match &self.assessment().next {
            Next::Test(advice) => match advice.test {
                Test::Measure(probe) => probe.plain_voltage().filter(|&(of, _)| of == red).map(|(_, black)| black),
                Test::Sense { .. } | Test::Ask(_) => None,
            },
            _ => None,
        };
        let bars = return_bars(self.vehicle());
        let situation = standing.situation(self.engine.tables());
        let is_negative = |point: &PointId| *point != red && situation.is_negative(&bars, *point);
        advised.filter(is_negative).or(standing.black_lead.filter(is_negative)).unwrap_or(standing.black)
    }

    /// Whether the black lead goes to a point anew, away from where it stands.
    pub fn moves_black_lead(&self, black: PointId) -> bool {
        self.standing.black_lead != Some(black)
    }

    /// Whether a point is a bar of the return against which no volts have been read yet:
    /// the usual point is taken as good.
    pub fn is_unproved_bar(&self, black: PointId) -> bool {
        let against = |(_, other): (PointId, PointId)| other == black;
        let proves = PROVES * self.vehicle().nominal.0;
        let is_proved = self.standing.evidence.all_readings().any(|reading| {
            let shows = matches!(reading.measured, Measured::Volts(volts) if volts.value.0.abs() > proves);
            shows && reading.probe.plain_voltage().is_some_and(against)
        });
        black != self.standing.black && !is_proved && return_bars(self.vehicle()).contains(&black)
    }
}
