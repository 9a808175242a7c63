//! Bands of a scale that touch and cover every value, one for each outcome of a
//! measurement: what somebody with a meter can tell apart at a glance.

use super::advice::{Advice, Test};
use super::outcome::{Outcome, Range};
use crate::predict::Scale;

/// Layout: figures that a limit between two bands is tried with, fewest first.
const FIGURES: [i32; 4] = [1, 2, 3, 4];
/// Layout: parts of the gap between two outcomes that its limit stays clear of.
const CLEAR: f64 = 0.15;

/// From a limit to below another; open where there is none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutcomeBand {
    pub scale: Scale,
    pub from: Option<f64>,
    pub below: Option<f64>,
}

impl Advice {
    /// The outcomes that are worth telling, each with its band where it is a
    /// reading, likeliest first.
    pub fn told(&self, least: f64) -> Vec<(&Outcome, Option<OutcomeBand>)> {
        let likely = self.outcomes.iter().take_while(|outcome| outcome.probability >= least).count();
        // One by itself would be no news.
        let told: Vec<&Outcome> = self.outcomes.iter().take(likely.max(2)).collect();
        let mut ranges: Vec<Range> = told.iter().filter_map(|outcome| outcome.range()).collect();
        ranges.sort_by(|a, b| a.low.total_cmp(&b.low));
        let limits: Vec<f64> = ranges.windows(2).map(|pair| limit(pair[0], pair[1])).collect();
        let band = |range: Range| {
            let at = ranges.iter().position(|other| *other == range)?;
            let from = at.checked_sub(1).map(|before| limits[before]);
            Some(OutcomeBand { scale: range.scale, from, below: limits.get(at).copied() })
        };
        told.into_iter().map(|outcome| (outcome, outcome.range().and_then(band))).collect()
    }

    /// Whether an outcome that a probe without contact would show too is likely:
    /// then the contact is proved before it is believed.
    pub fn proves_contact(&self, least: f64) -> bool {
        let is_volts = matches!(self.test, Test::Measure(probe) if probe.plain_voltage().is_some());
        let likely = self.outcomes.iter().filter(|outcome| outcome.probability >= least);
        is_volts && likely.filter_map(Outcome::range).any(Range::shows_nothing)
    }
}

/// The roundest limit between two outcomes.
fn limit(lower: Range, upper: Range) -> f64 {
    let (from, to) = (lower.high.min(upper.low), lower.high.max(upper.low));
    let middle = 0.5 * (from + to);
    if lower.scale == Scale::LogOhms {
        return middle;
    }
    let clear = CLEAR * (to - from);
    let fits = |value: &f64| to > from && (from + clear..=to - clear).contains(value);
    let rounded = FIGURES.into_iter().map(|figures| rounded(middle, figures));
    rounded.into_iter().find(fits).unwrap_or_else(|| self::rounded(middle, 3))
}

/// A value to so many figures.
fn rounded(value: f64, figures: i32) -> f64 {
    if value == 0.0 {
        return 0.0;
    }
    let scale = 10f64.powi(figures - 1 - value.abs().log10().floor() as i32);
    (value * scale).round() / scale
}

#[cfg(test)]
mod tests {
    use super::*;

    fn volts(low: f64, high: f64) -> Range {
        Range { scale: Scale::Volts, low, high }
    }

    #[test]
    fn limits_are_as_round_as_the_gap_allows() {
        assert_eq!(limit(volts(-0.3, 4.66), volts(24.23, 25.6)), 10.0);
        assert_eq!(limit(volts(-0.3, 0.4), volts(12.1, 12.9)), 6.0);
        assert_eq!(limit(volts(9.1, 12.08), volts(12.18, 13.0)), 12.1);
        assert_eq!(limit(volts(-0.3, 24.08), volts(24.08, 25.6)), 24.1);
        assert_eq!(limit(volts(-0.001, 0.002), volts(0.0117, 0.0424)), 0.007);
    }
}
