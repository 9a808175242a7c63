//! Simulated faults behind one complaint, each in real parts with a real meter.

use super::cuts::Took;
use crate::belief::{Appearance, Belief, Site};
use crate::fault::{Size, ways};
use crate::meter::MeterKind;
use crate::network::SolveError;
use crate::plan::Test;
use crate::predict::Sized;
use crate::tables::Tables;
use crate::trial::{Conditions, Trouble, World, case_seed, real_parts};
use crate::vehicle::{PartId, State, Vehicle};
use rand::distr::weighted::WeightedIndex;
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::Distribution;
use std::rc::Rc;

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
    pub tables: &'a Rc<Tables>,
    vehicle: &'a Vehicle,
    faults: Vec<Sized>,
    choice: WeightedIndex<f64>,
    load: PartId,
    /// The state that the complaint is of.
    pub state: State,
}

impl<'a> Herd<'a> {
    /// From what is believed once the complaint is made.
    pub fn of(
        tables: &'a Rc<Tables>,
        vehicle: &'a Vehicle,
        belief: &Belief,
        load: PartId,
        state: &State,
    ) -> Option<Self> {
        let single = belief.explanations.iter().filter(|explanation| matches!(explanation.site, Site::Part(_)));
        let (faults, odds): (Vec<_>, Vec<f64>) = single
            .filter_map(|explanation| {
                explanation.hypothesis.faults().next().map(|fault| (fault, explanation.probability.value()))
            })
            .unzip();
        let choice = WeightedIndex::new(&odds).ok()?;
        Some(Self { tables, vehicle, faults, choice, load, state: state.clone() })
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
        let conditions = Conditions::usual(&self.tables.trial);
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        for _ in 0..self.tables.sheet.draws {
            let (fault, stretch) = self.faults[self.choice.sample(&mut random)];
            let size = stretch.map_or(0.0, |stretch| drawn_within(stretch, &mut random));
            let real = real_parts(self.tables, self.vehicle, &conditions, &mut random);
            let trouble = Trouble::One(fault, size);
            let mut world = World::new(self.tables, real, trouble, MeterKind::default(), &conditions, &mut random);
            let mut right: Vec<PartId> = ways(self.vehicle, fault).collect();
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

/// A size from a stretch, evenly in the logarithm.
fn drawn_within(stretch: Size, random: &mut impl Rng) -> f64 {
    stretch.value * (stretch.width * random.random_range(-1.0..1.0)).exp()
}
