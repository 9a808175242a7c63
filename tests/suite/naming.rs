//! Of all loads that are dead, somebody calls about one.

use halfsplit::belief::{Appearance, Belief, Engine, Evidence, Observation, Sign, Symptom};
use halfsplit::complaint::{Channel, built_in_trees};
use halfsplit::fault::{FailureMode, Fault};
use halfsplit::files::{built_in_tables, parse};
use halfsplit::source::SourceFile;
use halfsplit::vehicle::{PartId, State, Vehicle};
use std::rc::Rc;

/// Three lamps behind one fuse, each with one of its own.
const LAMPS: &str = r#"Vehicle(
    name: "three lamps", nominal: 12, black: "B-",
    places: [ Place(name: "bench", minutes: 0.2, open: "nothing") ],
    supplies: [ Battery(name: "B", chemistry: LeadAcid, ah: 80, rest: 12.6, ohms: 0.01, at: "bench") ],
    buses: [ Bus(name: "P", at: "bench") ],
    runs: [
        Run(name: "main", from: "B+", to: "P", at: "bench", parts: [ Fuse(name: "F", amps: 20) ]),
        Run(name: "one", from: "P", to: "B-", at: "bench", parts: [
            Fuse(name: "F1", amps: 5), Load(name: "one", label: "first lamp", kind: Lamp, ohms: 6) ]),
        Run(name: "two", from: "P", to: "B-", at: "bench", parts: [
            Fuse(name: "F2", amps: 5), Load(name: "two", label: "second lamp", kind: Lamp, ohms: 6) ]),
        Run(name: "three", from: "P", to: "B-", at: "bench", parts: [
            Fuse(name: "F3", amps: 5), Load(name: "three", label: "third lamp", kind: Lamp, ohms: 6) ]),
    ],
)"#;

struct Bench {
    engine: Engine,
    state: State,
}

impl Bench {
    fn new() -> Self {
        let file = SourceFile::new("lamps.ron".to_string(), LAMPS.to_string());
        let vehicle: Vehicle = parse(file).unwrap_or_else(|error| panic!("{error}")).vehicle;
        let state = State::rest(&vehicle);
        let trees = built_in_trees().unwrap_or_else(|error| panic!("{error}"));
        let rates = built_in_tables().unwrap_or_else(|error| panic!("{error}"));
        Self { engine: Engine::new(Rc::new(vehicle), rates).with_trees(Rc::new(trees)), state }
    }

    fn part(&self, name: &str) -> PartId {
        self.engine.vehicle().find_part(name).unwrap_or_else(|| panic!("no part {name}"))
    }

    /// What is believed once the first lamp is dead, as a complaint of a class.
    fn believed(&self, class: &str) -> Belief {
        let seen = Observation {
            subject: self.part("one"),
            sign: Sign::Looks(Appearance::Dead),
            state: self.state.clone(),
            channel: Channel::OnSite,
            symptom: Symptom::Present,
        };
        let tree = self.engine.trees().find(class);
        let evidence = Evidence { observations: vec![seen], tree, ..Evidence::default() };
        self.engine.posterior(&evidence).expect("solvable")
    }

    /// How much likelier the first fuse is open than the second, beyond their rates.
    fn odds(&self, class: &str, one: &str, other: &str) -> f64 {
        let belief = self.believed(class);
        let open = |name: &str| {
            let fault = Fault::new(self.part(name), FailureMode::OpenCircuit);
            let is_it = |hypothesis: &halfsplit::predict::Hypothesis| {
                let mut faults = hypothesis.faults();
                faults.next().is_some_and(|(first, _)| first == fault) && faults.next().is_none()
            };
            let weighed = belief.explanations.iter().find(|weighed| is_it(&weighed.hypothesis));
            weighed.map_or(0.0, |weighed| weighed.probability.value()) / self.engine.rate_of(fault)
        };
        open(one) / open(other)
    }
}

/// By hand: three lamps are dead behind the main fuse, and each is named as
/// often; behind its own fuse the first lamp alone. A lamp that works is called
/// dead now and then, so it is not quite three.
#[test]
fn a_fault_that_stops_three_loads_is_a_third_as_likely_behind_a_call_about_one() {
    let odds = Bench::new().odds("dead", "F1", "F");
    assert!((2.9..=3.0).contains(&odds), "{odds}");
}

/// Somebody who says that several are dead has said so of what stops several.
#[test]
fn who_says_several_means_what_stops_several() {
    let odds = Bench::new().odds("several", "F", "F1");
    assert!((8.5..=9.5).contains(&odds), "{odds}");
}
