//! Loads of which nobody said how they draw. With i ∝ uᵃ, a anywhere from −1 (the
//! same power) to 1 (a resistance), they are taken to draw the same current, a = 0;
//! then ∂ln i/∂a = ln(u/U) at a voltage u of what they are made for, U.

use super::view::View;
use crate::vehicle::PartId;

/// Numerical: share of its voltage below which a load draws less whatever its law.
const LEAST_SHARE: f64 = 0.5;

impl View<'_> {
    /// Deviation of ln of a part's resistance in this circuit, from that which it
    /// has where it gets what it is made for.
    pub(super) fn deviation_here(&self, part: PartId, deviation: f64) -> f64 {
        let supposed = self.vehicle().part(part).kind.load().filter(|load| load.is_supposed);
        supposed.map_or(deviation, |load| {
            let share = self.altered().across(part.index()).0.abs() / load.rated.0;
            deviation.hypot(self.tables().spreads.supposed_exponent * share.max(LEAST_SHARE).ln())
        })
    }
}
