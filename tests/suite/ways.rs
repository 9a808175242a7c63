//! The ways to all loads at once against the way to each.

use halfsplit::files::{SAMPLES, sample};
use halfsplit::vehicle::State;
use halfsplit::vehicle::trace::{SupplyLeads, way_there_and_back};

/// From batteries, and on the board from its supply, since it has none.
#[test]
fn ways_found_at_once_are_those_found_one_by_one() {
    for (name, _) in SAMPLES {
        let vehicle = sample(name).expect("a sample").unwrap_or_else(|error| panic!("{error}")).vehicle;
        let rest = State::rest(&vehicle);
        let leads = SupplyLeads::of(&vehicle, &rest);
        for load in vehicle.loads() {
            let (at_once, alone) = (leads.there_and_back(&vehicle, load), way_there_and_back(&vehicle, &rest, load));
            assert!(!at_once.is_empty(), "{name}: {}", vehicle.part(load).name);
            assert_eq!(at_once.len(), alone.len(), "{name}: {}", vehicle.part(load).name);
        }
    }
}
