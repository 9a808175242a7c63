//! The instrument in the learner's hand: what its dial is set to, and what its
//! display shows of what is really there.

use crate::meter::MeterKind;
use crate::network::{Between, Branch, Law, Network, Solution, SolveError, solve};
use crate::predict::{Burden, Probe};
use crate::quantity::{Amps, Measured, Ohms, Typed, Volts};
use crate::tables::instruments::Instruments;
use crate::trial::World;
use crate::vehicle::{PartId, PointId, State};
use rand::Rng;

/// From: a published table of ranges, V and Ω; *Lessons In Electric Circuits* I
/// describes the same.
const VOLT_RANGES: [f64; 5] = [0.2, 2.0, 20.0, 200.0, 1000.0];
/// From: the same.
const OHM_RANGES: [f64; 6] = [200.0, 2e3, 20e3, 200e3, 2e6, 20e6];
/// Numerical: keeps a whole decade from being rounded to the next.
const ROUNDING: f64 = 1e-9;

/// What the instrument measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Function {
    /// Volts.
    Volts,
    /// Volts with a test lamp across the leads.
    Lamp,
    /// Ohms.
    Ohms,
    /// Amperes through the instrument, leads in the 10 A jack.
    Amps,
    /// Amperes by a clamp round a conductor.
    Clamp,
}

/// How the dial is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dial {
    /// What it measures.
    pub function: Function,
    /// The most that the range shows, in V or Ω; the instrument finds its own
    /// range where none is set.
    pub range: Option<f64>,
}

impl Default for Dial {
    fn default() -> Self {
        Self { function: Function::Volts, range: None }
    }
}

impl Dial {
    /// A function with its own choice of range.
    pub fn of(function: Function) -> Self {
        Self { function, range: None }
    }

    /// The ranges that a hand-held instrument has for this.
    pub fn ranges(function: Function) -> &'static [f64] {
        match function {
            Function::Volts => &VOLT_RANGES,
            Function::Ohms => &OHM_RANGES,
            Function::Lamp | Function::Amps | Function::Clamp => &[],
        }
    }
}

/// What a display shows.
#[derive(Debug, Clone, PartialEq)]
pub enum Display {
    /// A value that settled at once.
    Value(Measured),
    /// A value that crept there.
    Crept {
        /// What it showed first.
        from: Volts,
        /// Where it came to rest.
        to: Measured,
    },
    /// Over the range that is set.
    Over,
    /// An ohmmeter on a live circuit: what it shows means nothing.
    Live(Measured),
    /// A current through the instrument.
    Through {
        /// How much.
        amps: Typed<Amps>,
        /// What it does to the vehicle.
        short: Short,
    },
    /// An ammeter with its fuse gone shows nothing flowing.
    Nothing,
    /// The ammeter was a short circuit.
    Short(Short),
}

/// What a short circuit through leads came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Short {
    /// Current that flowed.
    pub amps: Amps,
    /// Fuses of the vehicle that it opened.
    pub opened: Vec<PartId>,
    /// Whether it took more than half of the voltage of a source.
    pub pulls_down: bool,
}

impl Display {
    /// What may be written down as a reading.
    pub fn reading(&self) -> Option<Measured> {
        match self {
            Self::Value(measured) | Self::Crept { to: measured, .. } => Some(*measured),
            _ => None,
        }
    }
}

/// Where the leads go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Leads {
    /// Red and black.
    Between(PointId, PointId),
    /// A clamp round what leads through a part.
    Round(PartId),
}

/// An instrument with its dial.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Instrument {
    /// Its build.
    pub kind: MeterKind,
    /// Its dial.
    pub dial: Dial,
    /// Whether the ammeter's own fuse is whole.
    pub fuse_is_whole: bool,
}

impl Instrument {
    /// What the engine calls such a measurement; none for an ammeter in the circuit.
    pub fn probe(&self, leads: Leads) -> Option<Probe> {
        match (self.dial.function, leads) {
            (Function::Clamp, Leads::Round(part)) => Some(Probe::Current { part }),
            (Function::Volts, Leads::Between(red, black)) => Some(Probe::voltage(red, black)),
            (Function::Lamp, Leads::Between(red, black)) => Some(Probe::Voltage { red, black, burden: Burden::Lamp }),
            (Function::Ohms, Leads::Between(red, black)) => Some(Probe::Resistance { red, black }),
            _ => None,
        }
    }

    /// What the display shows.
    ///
    /// # Errors
    /// [`SolveError`] if the circuit has no solution.
    pub fn shows(
        &self,
        world: &World,
        state: &State,
        leads: Leads,
        random: &mut impl Rng,
    ) -> Result<Display, SolveError> {
        match (self.dial.function, leads) {
            (Function::Clamp, Leads::Round(part)) | (_, Leads::Round(part)) => {
                Ok(Display::Value(world.amps(state, part, random)?))
            }
            (Function::Ohms, Leads::Between(red, black)) => self.ohms(world, state, red, black),
            (Function::Amps | Function::Clamp, Leads::Between(red, black)) => self.amps(world, state, red, black),
            (Function::Volts, Leads::Between(red, black)) => {
                self.volts(world, state, (red, black), Burden::Bare, random)
            }
            (Function::Lamp, Leads::Between(red, black)) => {
                self.volts(world, state, (red, black), Burden::Lamp, random)
            }
        }
    }

    fn volts(
        &self,
        world: &World,
        state: &State,
        (red, black): (PointId, PointId),
        burden: Burden,
        random: &mut impl Rng,
    ) -> Result<Display, SolveError> {
        let figures = &world.tables().training;
        let at_tips = world.volts(state, red, black, burden, self.kind, random)?;
        let shown = match self.dial.range {
            Some(range) => {
                let value = world.misshown(at_tips, Volts(step_of(range, figures.counts))).0;
                match on_range(value, range, figures.counts) {
                    Some(typed) => Typed { value: Volts(typed.value), step: Volts(typed.step) },
                    None => return Ok(Display::Over),
                }
            }
            None => {
                let sheet = self.kind.meter(&world.tables().instruments);
                let volts = world.misshown(at_tips, sheet.step(at_tips));
                Typed { value: sheet.shows(volts), step: sheet.step(volts) }
            }
        };
        // A point with megohms behind it charges the leads slowly.
        let bare = metered(&world.network(state), red.index(), black.index(), None)?;
        let creeps = burden == Burden::Bare
            && matches!(bare, Between::Volts(volts)
                if volts.abs().0 > figures.creeps_from.0
                    && (volts.0 - at_tips.0).abs() > figures.creeps_above * volts.abs().0);
        let to = Measured::Volts(shown);
        match creeps {
            true => Ok(Display::Crept { from: shown.value * figures.at_first, to }),
            false => Ok(Display::Value(to)),
        }
    }

    fn ohms(&self, world: &World, state: &State, red: PointId, black: PointId) -> Result<Display, SolveError> {
        let shown = world.ohms(state, red, black)?;
        let there = metered(
            &world.network(state),
            red.index(),
            black.index(),
            Some(self.kind.meter(&world.tables().instruments).input),
        )?;
        if shows_live(&world.tables().instruments, there) {
            return Ok(Display::Live(shown));
        }
        Ok(match (shown, self.dial.range) {
            (Measured::Ohms(ohms), Some(range)) => {
                match on_range(ohms.value.0, range, world.tables().training.counts) {
                    Some(typed) => {
                        let step = Ohms(typed.step.max(ohms.step.0));
                        Display::Value(Measured::Ohms(Typed { value: Ohms(typed.value), step }))
                    }
                    None => Display::Over,
                }
            }
            (Measured::NoPath, Some(_)) => Display::Over,
            (shown, _) => Display::Value(shown),
        })
    }

    fn amps(&self, world: &World, state: &State, red: PointId, black: PointId) -> Result<Display, SolveError> {
        if !self.fuse_is_whole {
            return Ok(Display::Nothing);
        }
        let figures = &world.tables().training;
        let short = bridged(&world.network(state), red.index(), black.index(), figures.shunt)?;
        if short.amps.abs().0 > figures.meter_fuse.0 {
            return Ok(Display::Short(short));
        }
        let step = figures.ammeter_digit.0;
        let value = Amps((short.amps.0 / step).round() * step);
        Ok(Display::Through { amps: Typed { value, step: Amps(step) }, short })
    }
}

/// A value on a range as its display shows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OnRange {
    /// The digits.
    pub value: f64,
    /// One of the last.
    pub step: f64,
}

/// One digit of a range: the whole decade that makes no more than so many counts.
fn step_of(range: f64, counts: f64) -> f64 {
    10f64.powf(((range / counts).log10() - ROUNDING).ceil())
}

/// What a range shows of a value; none above it.
pub fn on_range(value: f64, range: f64, counts: f64) -> Option<OnRange> {
    let step = step_of(range, counts);
    let shown = (value / step).round() * step;
    (shown.abs() < range - 0.5 * step).then_some(OnRange { value: shown, step })
}

/// What stands between two points with a meter of this input on them.
///
/// # Errors
/// [`SolveError`] if the circuit has no solution.
pub fn metered(network: &Network, red: usize, black: usize, input: Option<Ohms>) -> Result<Between, SolveError> {
    let mut network = network.clone();
    if let Some(input) = input {
        network.branches.push(Branch { from: red, to: black, law: Law::Resistor(input.conductance()) });
    }
    Ok(solve(network)?.between(red, black))
}

/// Whether an ohmmeter there shows nonsense, since the points are live.
pub fn shows_live(instruments: &Instruments, between: Between) -> bool {
    matches!(between, Between::Volts(volts) if volts.abs().0 > instruments.live.0)
}

/// What flows from one point to another through something laid across them,
/// and what fuses that opens.
///
/// # Errors
/// [`SolveError`] if the circuit has no solution.
pub fn bridged(network: &Network, from: usize, to: usize, ohms: Ohms) -> Result<Short, SolveError> {
    let parts = network.branches.len();
    let before = solve(network.clone())?;
    let volts = |solution: &Solution| match solution.between(from, to) {
        Between::Volts(volts) => volts,
        Between::Floating => Volts(0.0),
    };
    let mut crossed = network.clone();
    // What flows before a fuse opens counts: fuses are slower than leads.
    let mut whole = crossed.clone();
    for branch in &mut whole.branches {
        if let Law::Fuse { conductance, .. } = branch.law {
            branch.law = Law::Resistor(conductance);
        }
    }
    whole.branches.push(Branch { from, to, law: Law::Resistor(ohms.conductance()) });
    let amps = volts(&solve(whole)?) / ohms;
    crossed.branches.push(Branch { from, to, law: Law::Resistor(ohms.conductance()) });
    let after = solve(crossed)?;
    let pulls_down = after.network().branches[..parts].iter().enumerate().any(|(branch, of)| match of.law {
        Law::Battery { emf, .. } | Law::Regulated { emf, .. } => {
            let volts = |solution: &Solution| solution.across(branch).abs().0;
            volts(&before) > 0.5 * emf.0 && volts(&after) < 0.5 * emf.0
        }
        _ => false,
    });
    let opened = (0..parts).filter(|&branch| after.is_blown(branch) && !before.is_blown(branch));
    Ok(Short { amps, opened: opened.map(PartId::new).collect(), pulls_down })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn resistor(from: usize, to: usize, ohms: f64) -> Branch {
        Branch { from, to, law: Law::Resistor(Ohms(ohms).conductance()) }
    }

    fn battery(to: usize, volts: f64, ohms: f64) -> Branch {
        Branch { from: 0, to, law: Law::Battery { emf: Volts(volts), ohms: Ohms(ohms), charging: Ohms(ohms) } }
    }

    fn network(points: usize, branches: Vec<Branch>) -> Network {
        Network { points, branches, reference: 0, converters: Vec::new() }
    }

    #[track_caller]
    fn reads(network: &Network, red: usize, input: f64, expected: f64, within: f64) {
        match metered(network, red, 0, Some(Ohms(input))) {
            Ok(Between::Volts(volts)) => assert!((volts.0 - expected).abs() < within, "{volts:?}, not {expected}"),
            other => panic!("{other:?}"),
        }
    }

    /// *Lessons In Electric Circuits* I, ch. 8, "Voltmeter impact on measured
    /// circuit": 24 V over two times 250 MΩ, 10 MΩ meter, 0.8889 V.
    #[test]
    fn a_meter_loads_what_it_measures() {
        reads(
            &network(3, vec![battery(1, 24.0, 1e-3), resistor(1, 2, 250e6), resistor(2, 0, 250e6)]),
            2,
            10e6,
            0.8889,
            1e-4,
        );
    }

    /// Computed by Ohm's law: 12.6 V behind a bad joint, 10 MΩ meter, 3 kΩ
    /// low-impedance input, 21 W lamp of 6.86 Ω.
    #[test]
    fn voltage_without_load_cannot_tell_a_sound_feed_from_a_bad_joint() {
        let joints = [
            (1e3, 12.599, 9.45, 86e-3),
            (10e3, 12.587, 2.91, 8.6e-3),
            (100e3, 12.475, 0.37, 0.9e-3),
            (1e6, 11.455, 0.04, 0.1e-3),
        ];
        for (ohms, bare, low, lamp) in joints {
            let open = network(3, vec![battery(1, 12.6, 1e-3), resistor(1, 2, ohms)]);
            reads(&open, 2, 10e6, bare, 6e-4);
            reads(&open, 2, 3e3, low, 6e-3);
            let mut loaded = open.clone();
            loaded.branches.push(resistor(2, 0, 6.86));
            reads(&loaded, 2, 10e6, lamp, 6e-4);
        }
    }

    /// *Lessons In Electric Circuits* I, ch. 8, "Ammeter impact on measured
    /// circuit": 2 V, 3 Ω beside 1.5 Ω, ammeter of 0.5 Ω; 571.43 mA and 1.000 A.
    #[test]
    fn an_ammeter_takes_its_share_of_the_circuit() {
        for (branch, other, amps) in [(3.0, 1.5, 0.571_43), (1.5, 3.0, 1.0)] {
            let cut = network(3, vec![battery(1, 2.0, 1e-6), resistor(1, 2, branch), resistor(1, 0, other)]);
            let short = bridged(&cut, 2, 0, Ohms(0.5)).expect("solved");
            assert!((short.amps.0 - amps).abs() < 1e-4, "{short:?}");
        }
    }

    /// A published instruction for meters: 18.75 V shows 19 on the 1000 V
    /// range, 18.8 on 200 V, 18.75 on 20 V and over on 2 V.
    #[test]
    fn the_range_decides_what_the_display_can_say() {
        let shown = |range| on_range(18.75, range, 2000.0).map(|shown| shown.value);
        let near = |range, expected: f64| assert!(shown(range).is_some_and(|value| (value - expected).abs() < 1e-9));
        near(1000.0, 19.0);
        near(200.0, 18.8);
        near(20.0, 18.75);
        assert_eq!(shown(2.0), None);
    }

    /// An ammeter across a source is a short circuit: 12.6 V behind 10 mΩ and
    /// a shunt of 30 mΩ by Ohm's law.
    #[test]
    fn an_ammeter_across_a_battery_is_a_short_circuit() {
        let short = bridged(&network(2, vec![battery(1, 12.6, 0.01)]), 1, 0, Ohms(0.03)).expect("solved");
        assert!((short.amps.0 - 12.6 / 0.04).abs() < 0.5, "{short:?}");
    }
}
