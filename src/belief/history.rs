//! What was repaired before, in this vehicle and in others of its kind: what
//! failed once fails sooner again, and what was just worked on is often what is
//! wrong now. All of it common practice, no source.

use crate::vehicle::PartId;

/// Times the odds of a part just after it was repaired: the repair did not
/// hold, or not its cause.
const REPAIRED: f64 = 6.0;
/// Times the odds of a part beside it: hands were there.
const BESIDE: f64 = 3.0;
/// Times the odds of a part that failed in another vehicle of the kind.
const ELSEWHERE: f64 = 2.0;
/// Days after which what is left of a raise is a third.
const REPAIR_FADES: f64 = 365.0;
const HANDS_FADE: f64 = 14.0;

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
    pub fn factor(&self) -> f64 {
        let (full, fades) = match self.because {
            Because::Repaired => (REPAIRED, REPAIR_FADES),
            Because::WorkedBeside => (BESIDE, HANDS_FADE),
            Because::RepairedElsewhere => (ELSEWHERE, REPAIR_FADES),
        };
        1.0 + (full - 1.0) * (-self.days.max(0.0) / fades).exp()
    }
}

/// How much the past multiplies the odds of a part: by the strongest of what
/// raises it, since one fault is told by many lines of a file.
pub fn factor(raises: &[Raise], part: PartId) -> f64 {
    raises.iter().filter(|raise| raise.part == part).map(Raise::factor).fold(1.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_raise_fades_and_the_strongest_counts() {
        let raise = |because, days| Raise { part: PartId::new(3), because, days, case: String::new() };
        let (new, old) = (raise(Because::WorkedBeside, 0.0), raise(Because::Repaired, 3650.0));
        assert_eq!(new.factor(), BESIDE);
        assert!(old.factor() > 1.0 && old.factor() < 1.01);
        assert_eq!(factor(&[old.clone(), new.clone()], PartId::new(3)), BESIDE);
        assert_eq!(factor(&[old, new], PartId::new(4)), 1.0);
    }
}
