//! Prior odds raised by the past: what was repaired before, in this vehicle and in
//! others of its kind. What failed once fails sooner again, and what was just worked
//! on is often what is wrong now.
//!
//! Odds are multiplied by the strongest factor 1 + (f − 1) exp(−days/τ) of what
//! raises the part; f and τ stand in [`crate::tables::signs`].

use crate::tables::signs::Signs;
use crate::vehicle::PartId;

/// Why the odds of a part are raised.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Because {
    /// It was repaired or renewed.
    Repaired,
    /// It lies beside what was repaired.
    WorkedBeside,
    /// It was repaired in another vehicle.
    RepairedElsewhere,
}

/// One thing of the past that raises the odds of a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Raise {
    /// Which part.
    pub part: PartId,
    /// Why.
    pub because: Because,
    /// How long ago.
    pub days: f64,
    /// The case that tells it.
    pub case: String,
}

impl Raise {
    /// By how much it multiplies the odds: at once its full measure, less and
    /// less with time.
    pub fn factor(&self, signs: &Signs) -> f64 {
        let (full, fades) = match self.because {
            Because::Repaired => (signs.repaired, signs.repair_fades),
            Because::WorkedBeside => (signs.worked_beside, signs.hands_fade),
            Because::RepairedElsewhere => (signs.repaired_elsewhere, signs.repair_fades),
        };
        1.0 + (full - 1.0) * (-self.days.max(0.0) / fades).exp()
    }
}

/// How much the past multiplies the odds of a part: by the strongest of what
/// raises it, since one fault is told by many lines of a file.
pub fn factor(signs: &Signs, raises: &[Raise], part: PartId) -> f64 {
    raises.iter().filter(|raise| raise.part == part).map(|raise| raise.factor(signs)).fold(1.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::built_in_tables;

    #[test]
    fn a_raise_fades_and_the_strongest_counts() {
        let signs = &built_in_tables().expect("tables").signs;
        let raise = |because, days| Raise { part: PartId::new(3), because, days, case: String::new() };
        let (new, old) = (raise(Because::WorkedBeside, 0.0), raise(Because::Repaired, 3650.0));
        assert_eq!(new.factor(signs), signs.worked_beside);
        assert!(old.factor(signs) > 1.0 && old.factor(signs) < 1.01);
        assert_eq!(factor(signs, &[old.clone(), new.clone()], PartId::new(3)), signs.worked_beside);
        assert_eq!(factor(signs, &[old, new], PartId::new(4)), 1.0);
    }
}
