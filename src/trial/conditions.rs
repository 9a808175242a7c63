//! Conditions of a trial: which faults, how far real parts lie from the drawing,
//! and how good the instruments are.

use crate::tables::trial::Simulation;

/// Which faults are drawn how often.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Draw {
    /// As the world's table of rates has it.
    ByRate,
    /// Every fault as often.
    Evenly,
    /// Every kind of part as often, of each every way to fail, of those every
    /// part.
    ByKind,
}

/// What is wrong in every case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WrongKind {
    /// One part.
    OnePart,
    /// One part that has gained resistance.
    Resistance,
    /// One part that has gained a little resistance: most people would say that
    /// all is well, somebody says that it is weak. It drops no more than what
    /// sound vehicles differ by, so that bands tell it.
    Faint,
    /// Two parts at once.
    TwoParts,
    /// The drawing: it has something otherwise.
    Drawing,
    /// The drawing: there is a path that it does not show.
    Path,
    /// A load that draws too little or too much.
    Draws,
    /// A battery is drained while all sleeps, by a current of a given stretch.
    Drain,
    /// An instrument that the vehicle carries.
    Instrument,
    /// Two feeds that have changed places, and one of them open.
    Swapped,
    /// Nothing.
    Nothing,
    /// One part behind the output of a converter.
    Behind,
}

/// How often readings are misread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Misreading {
    /// A share of them.
    Share(f64),
    /// One of each case.
    OneInEach,
    /// The one with this number, from nought.
    At(usize),
}

/// How far real parts lie from what is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tails {
    /// As each kind of part has it: contacts skewed, cables even, the rest
    /// logistic.
    Usual,
    /// Student's t with four degrees of freedom, of the same deviation.
    Heavy,
}

/// Whether somebody read some points before the fault came, and whether the record
/// says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LookedBefore {
    /// Nobody did.
    No,
    /// It is said that all was well then.
    Tagged,
    /// Nothing is said of it.
    Untagged,
}

/// What the person has in hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeterQuality {
    /// Gain, offset, wandering supply, noise; people differ and are mistaken now
    /// and then, loads are what they are by nature.
    Real,
    /// None of these: nothing but the digits of the display.
    Perfect,
}

/// The world that cases are drawn from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// Which faults.
    pub draw: Draw,
    /// What is wrong.
    pub wrong: WrongKind,
    /// Spread of real parts, as a multiple of the assumed one.
    pub spread: f64,
    /// Spread of supply voltages, as a multiple of the assumed one.
    pub supplies: f64,
    /// Shape of that spread.
    pub tails: Tails,
    /// Which readings are misread.
    pub misreads: Misreading,
    /// Share of cases in which the drawing has something otherwise besides.
    pub departures: f64,
    /// What was read the same day, before the fault.
    pub looked_before: LookedBefore,
    /// Chance that a point cannot be reached.
    pub blocked: f64,
    /// The meter and the eye.
    pub instrument: MeterQuality,
    /// Whether the vehicle's own instruments are read before anything else.
    pub panel: bool,
    /// Whether nobody complains, and somebody takes the short walk of the handover.
    pub look_over: bool,
}

impl Conditions {
    /// Real parts lie further from the drawing than assumed, and some readings
    /// are misread.
    pub fn usual(figures: &Simulation) -> Self {
        Self {
            draw: Draw::ByRate,
            wrong: WrongKind::OnePart,
            spread: figures.spread,
            supplies: figures.supplies,
            tails: Tails::Usual,
            misreads: Misreading::Share(figures.misreads),
            departures: 0.0,
            looked_before: LookedBefore::No,
            blocked: 0.0,
            instrument: MeterQuality::Real,
            panel: false,
            look_over: false,
        }
    }

    /// Parts as drawn and nothing mistaken.
    pub fn noise_free(figures: &Simulation) -> Self {
        let misreads = Misreading::Share(0.0);
        Self { spread: 0.0, supplies: 0.0, misreads, instrument: MeterQuality::Perfect, ..Self::usual(figures) }
    }
}
