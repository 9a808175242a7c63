//! Readings taken at handover by the same person with another day's meter.

use super::bench::Bench;
use super::world::World;
use crate::belief::{Engine, Reading, Symptom};
use crate::complaint::Channel;
use crate::meter::MeterKind;
use crate::network::SolveError;
use crate::plan::walk::Scope;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use std::rc::Rc;

/// Seed: keeps what is drawn for the handover apart from what is drawn for the
/// hunt, which so is the same with and without.
const APART: u64 = 0x68_616E_646F_7665;

/// The engine that plays a case with what was read of its vehicle on a walk at
/// handover.
pub fn engine(bench: &Bench, world: &World, scope: Scope, seed: u64) -> Result<Rc<Engine>, SolveError> {
    let mut random = ChaCha8Rng::seed_from_u64(seed ^ APART);
    let before = world.at_handover(bench.engine().vehicle(), &mut random);
    let meter = MeterKind::default();
    let mut readings = Vec::new();
    for (state, probe) in bench.walk(scope)?.iter() {
        let (red, black) = probe.points(bench.engine().vehicle());
        if !before.can_reach(red) || !before.can_reach(black) {
            continue;
        }
        let measured = before.read(state, *probe, meter, &mut random)?.measured;
        let (state, symptom, channel) = (state.clone(), Symptom::Present, Channel::default());
        readings.push(Reading {
            probe: *probe,
            measured,
            meter,
            state,
            symptom,
            channel,
            moment: readings.len(),
            agreed: 0,
        });
    }
    Ok(Rc::new(bench.engine().with_handover(readings)?))
}
