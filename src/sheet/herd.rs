//! Simulated faults behind one complaint, each in real parts with a real meter.

use super::cuts::Took;
use crate::belief::{Appearance, Belief, Site};
use crate::fault::Fault;
use crate::meter::MeterKind;
use crate::network::SolveError;
use crate::plan::Test;
use crate::trial::{Conditions, Draw, Instrument, Tails, Trouble, World, Wrong, case_seed, real_parts};
use crate::vehicle::{PartId, State, Vehicle};
use rand::distr::weighted::WeightedIndex;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::Distribution;

/// Faults drawn for one head before it is given up.
const MOST_DRAWS: usize = 20;
/// Real parts lie further from the drawing than assumed, and a reading in a
/// hundred is misread, as in the trial.
const CONDITIONS: Conditions = Conditions {
    draw: Draw::ByRate,
    wrong: Wrong::OnePart,
    spread: 1.5,
    supplies: 1.0,
    tails: Tails::Normal,
    misreads: 0.01,
    blocked: 0.0,
    instrument: Instrument::Real,
};

/// One simulated fault.
pub struct Head {
    world: World,
    random: ChaCha8Rng,
    /// Parts that are right to name: at fault, or the fuse that it opened.
    pub right: Vec<PartId>,
}

impl Head {
    /// What somebody finds by a test; nothing by a question, which nobody is
    /// there to answer.
    ///
    /// # Errors
    /// [`SolveError`] if the circuit has no solution.
    pub fn take(&mut self, state: &State, test: Test) -> Result<Option<Took>, SolveError> {
        let took = match test {
            Test::Measure(probe) => {
                Took::Shown(self.world.read(state, probe, MeterKind::default(), &mut self.random)?.measured)
            }
            Test::Sense { subject, sense } => Took::Seen(self.world.sense(state, subject, sense, &mut self.random)?),
            Test::Ask(_) => return Ok(None),
        };
        self.world.forget();
        Ok(Some(took))
    }
}

/// The faults that may be behind a complaint, by their odds.
pub struct Herd<'a> {
    vehicle: &'a Vehicle,
    faults: Vec<(Fault, Option<(f64, f64)>)>,
    choice: WeightedIndex<f64>,
    load: PartId,
    /// The state that the complaint is of.
    pub state: State,
}

impl<'a> Herd<'a> {
    /// From what is believed once the complaint is made.
    pub fn of(vehicle: &'a Vehicle, belief: &Belief, load: PartId, state: &State) -> Option<Self> {
        let single = belief.weighed.iter().filter(|weighed| matches!(weighed.site, Site::Part(_)));
        let (faults, odds): (Vec<_>, Vec<f64>) = single
            .filter_map(|weighed| {
                let (fault, size) = weighed.hypothesis.faults().next()?;
                Some(((fault, size.map(|size| (size.value, size.width))), weighed.probability))
            })
            .unzip();
        let choice = WeightedIndex::new(&odds).ok()?;
        Some(Self { vehicle, faults, choice, load, state: state.clone() })
    }

    /// So many simulated faults; fewer where most of them would not make the
    /// complaint.
    ///
    /// # Errors
    /// [`SolveError`] if the circuit has no solution.
    pub fn heads(&self, seed: u64, count: usize) -> Result<Vec<Head>, SolveError> {
        let drawn = (0..count).map(|number| self.head(case_seed(seed, number)));
        Ok(drawn.collect::<Result<Vec<_>, _>>()?.into_iter().flatten().collect())
    }

    fn head(&self, seed: u64) -> Result<Option<Head>, SolveError> {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        for _ in 0..MOST_DRAWS {
            let (fault, stretch) = self.faults[self.choice.sample(&mut random)];
            let size = stretch.map_or(0.0, |(value, width)| value * (width * random.random_range(-1.0..1.0)).exp());
            let real = real_parts(self.vehicle, &CONDITIONS, &mut random);
            let trouble = Trouble::One(fault, size);
            let mut world = World::new(real, trouble, MeterKind::default(), &CONDITIONS, &mut random);
            let mut right: Vec<PartId> = fault.parts().collect();
            right.extend(world.blow(&self.state)?);
            let looks = world.look(&self.state, self.load, &mut random)?;
            world.forget();
            if looks == Appearance::Dead {
                return Ok(Some(Head { world, random, right }));
            }
        }
        Ok(None)
    }
}
