//! The laws of circuits hold in whatever the solver is given, and the answer
//! for a changed part is that of the changed network.
//!
//! Two methods written here stand against the solver's: elimination with full
//! pivoting on the nodal matrix, and leaf-to-root elimination of radial nets,
//! which only adds positive numbers and so loses no digits.

use halfsplit::fault::{FailureMode, Fault, alteration, catalogue};
use halfsplit::files::{built_in_tables, sample};
use halfsplit::network::{
    Alteration, Altered, Between, Branch, ControllingVoltage, Convergence, Curve, Law, Network, Region, Solution,
    network_of, solve,
};
use halfsplit::quantity::{Amps, Ohms, Volts, Watts};
use halfsplit::vehicle::{ContactRest, Position, State, Vehicle};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::Index;
use proptest::test_runner::RngSeed;
use std::rc::Rc;

/// Furthest that the changed-part answer may lie from a full solve, V.
const ALLOWED: f64 = 2e-4;

/// Sizes of added resistance and of leaks tried on every part of a sample, Ω.
const SIZES: [f64; 5] = [3e-4, 0.02, 1.0, 150.0, 1e6];

fn resistor(ohms: f64) -> Law {
    Law::Resistor(Ohms(ohms).conductance())
}

/// The same random networks on every run, unless the environment names a seed.
fn cases(count: u32) -> ProptestConfig {
    let mut config = ProptestConfig { cases: count, failure_persistence: None, ..ProptestConfig::default() };
    if config.rng_seed == RngSeed::Random {
        config.rng_seed = RngSeed::Fixed(12_24);
    }
    config
}

fn resistors() -> impl Strategy<Value = Law> {
    (-4.0..3.0f64).prop_map(|decade| resistor(10f64.powf(decade)))
}

fn batteries() -> impl Strategy<Value = Law> {
    (6.0..15.0f64, -2.7..-1.0f64, -1.3..0.0f64).prop_map(|(emf, giving, taking)| Law::Battery {
        emf: Volts(emf),
        ohms: Ohms(10f64.powf(giving)),
        charging: Ohms(10f64.powf(taking)),
    })
}

fn laws() -> impl Strategy<Value = Law> {
    prop_oneof![10 => resistors(), 3 => batteries(), 2 => Just(Law::Open)]
}

/// A tree (broken where a branch is open) with more branches across it: loops,
/// parallel feeds, several batteries, islands.
fn networks() -> impl Strategy<Value = Network> {
    networks_of(laws().boxed())
}

/// A single battery and resistors, all joined.
fn single_source_networks() -> impl Strategy<Value = Network> {
    (networks_of(resistors().boxed()), batteries(), any::<Index>()).prop_map(|(mut network, battery, point)| {
        let to = 1 + point.index(network.points - 1);
        network.branches.push(Branch { from: 0, to, law: battery });
        network
    })
}

fn networks_of(laws: BoxedStrategy<Law>) -> impl Strategy<Value = Network> {
    (3usize..14).prop_flat_map(move |points| {
        let tree: Vec<_> = (1..points).map(|point| (0..point, Just(point), laws.clone())).collect();
        let extra = vec((0..points, 1..points, laws.clone()), 1..9)
            .prop_map(move |extra| extra.into_iter().map(move |(from, step, law)| (from, (from + step) % points, law)));
        (tree, extra).prop_map(move |(tree, extra)| Network {
            points,
            branches: tree.into_iter().chain(extra).map(|(from, to, law)| Branch { from, to, law }).collect(),
            reference: 0,
            converters: Vec::new(),
        })
    })
}

/// What a fault could do: more resistance, open, closed, a leak, two at once.
#[derive(Debug, Clone)]
enum Change {
    More { branch: Index, ohms: f64 },
    Open { branch: Index },
    Closed { branch: Index },
    Leak { from: Index, to: Index, ohms: f64 },
    OpenAndLeak { branch: Index, from: Index, to: Index, ohms: f64 },
}

fn changes() -> impl Strategy<Value = Change> {
    let index = any::<Index>;
    let more = (-3.53..6.0f64).prop_map(|decade| 10f64.powf(decade));
    let leak = (-1.6..6.0f64).prop_map(|decade| 10f64.powf(decade));
    prop_oneof![
        3 => (index(), more).prop_map(|(branch, ohms)| Change::More { branch, ohms }),
        2 => index().prop_map(|branch| Change::Open { branch }),
        1 => index().prop_map(|branch| Change::Closed { branch }),
        2 => (index(), index(), leak.clone()).prop_map(|(from, to, ohms)| Change::Leak { from, to, ohms }),
        1 => (index(), index(), index(), leak)
            .prop_map(|(branch, from, to, ohms)| Change::OpenAndLeak { branch, from, to, ohms }),
    ]
}

impl Change {
    fn alteration(&self, network: &Network) -> Alteration {
        let count = network.branches.len();
        let replaced = |branch: &Index, law| vec![(branch.index(count), law)];
        match self {
            Self::More { branch, ohms } => {
                let law = with_more(&network.branches[branch.index(count)].law, *ohms);
                Alteration { replaced: replaced(branch, law), added: Vec::new() }
            }
            Self::Open { branch } => Alteration { replaced: replaced(branch, Law::Open), added: Vec::new() },
            Self::Closed { branch } => Alteration { replaced: replaced(branch, resistor(0.01)), added: Vec::new() },
            Self::Leak { from, to, ohms } => Alteration { replaced: Vec::new(), added: leak(network, from, to, *ohms) },
            Self::OpenAndLeak { branch, from, to, ohms } => {
                Alteration { replaced: replaced(branch, Law::Open), added: leak(network, from, to, *ohms) }
            }
        }
    }
}

fn leak(network: &Network, from: &Index, to: &Index, ohms: f64) -> Vec<Branch> {
    let from = from.index(network.points);
    let to = (from + 1 + to.index(network.points - 1)) % network.points;
    vec![Branch { from, to, law: resistor(ohms) }]
}

fn with_more(law: &Law, extra: f64) -> Law {
    match law.clone() {
        Law::Resistor(conductance) => resistor(1.0 / conductance.0 + extra),
        Law::Battery { emf, ohms, charging } => {
            Law::Battery { emf, ohms: ohms + Ohms(extra), charging: charging + Ohms(extra) }
        }
        other => other,
    }
}

/// Elimination with full pivoting; shares no code with the solver.
struct Dense {
    island: Vec<usize>,
    volts: Vec<f64>,
}

impl Dense {
    /// Solves with batteries giving or taking as turns out, `injected` amperes
    /// entering at the first point and leaving at the second.
    fn solve(network: &Network, injected: Option<(usize, usize, f64)>) -> Self {
        let island = islands(network);
        let mut taking = vec![false; network.branches.len()];
        for _ in 0..1000 {
            let volts = eliminate(network, &taking, &island, injected);
            let misjudged = network.branches.iter().enumerate().find(|(index, branch)| match branch.law {
                Law::Battery { emf, .. } => {
                    // One that carries nothing may count as either.
                    let forced = volts[branch.from] - volts[branch.to] + emf.0;
                    forced.abs() > 1e-6 && (forced < 0.0) != taking[*index]
                }
                _ => false,
            });
            match misjudged.map(|(index, _)| index) {
                Some(index) => taking[index] = !taking[index],
                None => return Self { island, volts },
            }
        }
        panic!("no consistent set of battery directions");
    }

    fn between(&self, red: usize, black: usize) -> Between {
        match self.island[red] == self.island[black] {
            true => Between::Volts(Volts(self.volts[red] - self.volts[black])),
            false => Between::Floating,
        }
    }
}

/// The lowest point of the island that each point is in.
fn islands(network: &Network) -> Vec<usize> {
    let mut island: Vec<usize> = (0..network.points).collect();
    let conducting = || network.branches.iter().filter(|branch| branch.law != Law::Open);
    while let Some(branch) = conducting().find(|branch| island[branch.from] != island[branch.to]) {
        let (low, high) = (island[branch.from].min(island[branch.to]), island[branch.from].max(island[branch.to]));
        island.iter_mut().filter(|number| **number == high).for_each(|number| *number = low);
    }
    island
}

/// Slope and electromotive force times slope.
fn slope_and_offset(law: &Law, takes: bool) -> (f64, f64) {
    match law {
        Law::Open => (0.0, 0.0),
        Law::Resistor(conductance) => (conductance.0, 0.0),
        Law::Battery { emf, ohms, charging } => {
            let ohms = if takes { charging } else { ohms };
            (1.0 / ohms.0, emf.0 / ohms.0)
        }
        other => panic!("the random networks have no {other:?}"),
    }
}

fn eliminate(network: &Network, taking: &[bool], island: &[usize], injected: Option<(usize, usize, f64)>) -> Vec<f64> {
    let points = network.points;
    let mut rows = vec![vec![0.0; points + 1]; points];
    for (branch, &takes) in network.branches.iter().zip(taking) {
        let (slope, offset) = slope_and_offset(&branch.law, takes);
        for (here, there, sign) in [(branch.from, branch.to, -1.0), (branch.to, branch.from, 1.0)] {
            rows[here][here] += slope;
            rows[here][there] -= slope;
            rows[here][points] += sign * offset;
        }
    }
    if let Some((enters, leaves, amps)) = injected {
        rows[enters][points] += amps;
        rows[leaves][points] -= amps;
    }
    for point in (0..points).filter(|&point| island[point] == point) {
        rows[point] = vec![0.0; points + 1];
        rows[point][point] = 1.0;
    }
    full_pivoting(rows)
}

fn full_pivoting(mut rows: Vec<Vec<f64>>) -> Vec<f64> {
    let size = rows.len();
    let mut pivots: Vec<(usize, usize)> = Vec::new();
    for _ in 0..size {
        let free = |row: usize, column: usize| pivots.iter().all(|&(r, c)| r != row && c != column);
        let places = (0..size).flat_map(|row| (0..size).map(move |column| (row, column)));
        let (row, column) = places
            .filter(|&(row, column)| free(row, column))
            .max_by(|a, b| rows[a.0][a.1].abs().total_cmp(&rows[b.0][b.1].abs()))
            .expect("a row is left");
        let pivot_row = rows[row].clone();
        for (_, values) in rows.iter_mut().enumerate().filter(|(other, _)| *other != row) {
            let factor = values[column] / pivot_row[column];
            values.iter_mut().zip(&pivot_row).for_each(|(value, pivot)| *value -= factor * pivot);
            values[column] = 0.0;
        }
        pivots.push((row, column));
    }
    let mut solution = vec![0.0; size];
    for (row, column) in pivots {
        solution[column] = rows[row][size] / rows[row][column];
    }
    solution
}

/// Disagreement of two answers, V; endless if only one of them floats.
fn apart(one: Between, other: Between) -> f64 {
    match (one, other) {
        (Between::Volts(one), Between::Volts(other)) => (one.0 - other.0).abs(),
        (Between::Floating, Between::Floating) => 0.0,
        _ => f64::INFINITY,
    }
}

fn pairs(points: usize) -> impl Iterator<Item = (usize, usize)> {
    (0..points).flat_map(move |red| (0..points).map(move |black| (red, black)))
}

fn solved(network: &Network) -> Rc<Solution> {
    let solution = solve(network.clone()).expect("a circuit of resistances can be solved");
    assert_eq!(solution.convergence(), Convergence::Converged);
    Rc::new(solution)
}

proptest! {
    #![proptest_config(cases(400))]

    #[test]
    fn currents_into_every_point_sum_to_nothing(network in networks()) {
        let solution = solved(&network);
        let mut sum = vec![0.0; network.points];
        let mut size = vec![0.0; network.points];
        for (index, branch) in network.branches.iter().enumerate() {
            let amps = solution.current(index).0;
            for (point, sign) in [(branch.from, -1.0), (branch.to, 1.0)] {
                sum[point] += sign * amps;
                size[point] += amps.abs();
            }
        }
        for point in 0..network.points {
            prop_assert!(sum[point].abs() < 1e-6 + 1e-8 * size[point], "{} A left over at {point}", sum[point]);
        }
    }

    /// Potentials make the sum round any loop zero, so what remains to be
    /// checked is that every branch obeys its own law between them.
    #[test]
    fn every_branch_obeys_its_law(network in networks()) {
        let solution = solved(&network);
        for (index, branch) in network.branches.iter().enumerate() {
            let (u, amps) = (solution.across(index).0, solution.current(index).0);
            match solution.between(branch.from, branch.to) {
                Between::Volts(volts) => prop_assert_eq!(volts.0, u),
                Between::Floating => prop_assert!(branch.law == Law::Open),
            }
            let taking = matches!(branch.law, Law::Battery { emf, .. } if u + emf.0 < 0.0);
            let (slope, offset) = slope_and_offset(&branch.law, taking);
            let expected = slope * u + offset;
            prop_assert!((amps - expected).abs() < 1e-9 * (1.0 + slope), "branch {index}: {amps} A, {expected} A by its law");
        }
    }

    #[test]
    fn sources_give_what_resistances_turn_into_heat(network in networks()) {
        let solution = solved(&network);
        let (mut given, mut heat) = (0.0, 0.0);
        for (index, branch) in network.branches.iter().enumerate() {
            let amps = solution.current(index).0;
            match &branch.law {
                Law::Battery { emf, ohms, charging } => {
                    given += emf.0 * amps;
                    heat += amps * amps * if amps < 0.0 { charging.0 } else { ohms.0 };
                }
                Law::Resistor(conductance) => heat += amps * amps / conductance.0,
                _ => prop_assert_eq!(amps, 0.0),
            }
        }
        prop_assert!((given - heat).abs() < 1e-6 * (1.0 + heat.abs()), "{given} W given, {heat} W heat");
    }

    #[test]
    fn what_one_point_does_to_another_the_other_does_to_it(network in networks()) {
        let solution = solved(&network);
        for (here, there) in pairs(network.points) {
            let (forth, back) = (solution.column(here)[there], solution.column(there)[here]);
            prop_assert!((forth - back).abs() < 1e-9 * (1.0 + forth.abs()), "{here} {there}: {forth} Ω, {back} Ω");
        }
    }

    #[test]
    fn more_resistance_never_draws_more(network in single_source_networks(), more in -3.0..4.0f64, at in any::<Index>()) {
        let source = network.branches.len() - 1;
        let before = solved(&network).current(source).0;
        let branch = at.index(source);
        let law = with_more(&network.branches[branch].law, 10f64.powf(more));
        let altered = solved(&network).altered(&Alteration { replaced: vec![(branch, law)], added: Vec::new() }).unwrap();
        let after = altered.current(source).0;
        prop_assert!(after <= before + 1e-7 * (1.0 + before), "{before} A became {after} A");
    }

    #[test]
    fn the_solve_is_that_of_full_elimination(network in networks()) {
        let (solution, dense) = (solved(&network), Dense::solve(&network, None));
        for (red, black) in pairs(network.points) {
            let (ours, theirs) = (solution.between(red, black), dense.between(red, black));
            prop_assert!(apart(ours, theirs) < ALLOWED, "{red} {black}: {ours:?}, not {theirs:?}");
        }
    }

    #[test]
    fn a_changed_part_is_answered_as_the_changed_network(network in networks(), change in changes()) {
        let alteration = change.alteration(&network);
        let altered = solved(&network).altered(&alteration).unwrap();
        let after = alteration.applied_to(&network);
        let (fresh, dense) = (solved(&after), Dense::solve(&after, None));
        for (red, black) in pairs(network.points) {
            let ours = altered.between(red, black);
            for (theirs, method) in [(fresh.between(red, black), "a fresh solve"), (dense.between(red, black), "full elimination")] {
                prop_assert!(apart(ours, theirs) < ALLOWED, "{red} {black}: {ours:?}, not {theirs:?} as by {method}; {alteration:?}");
            }
        }
        for index in 0..network.branches.len() {
            let (ours, theirs) = (altered.across(index).0, fresh.across(index).0);
            if altered.between(network.branches[index].from, network.branches[index].to) != Between::Floating {
                prop_assert!((ours - theirs).abs() < ALLOWED);
            }
        }
    }

    /// The transfer resistance is what an ampere drawn through a meter would do.
    #[test]
    fn transfer_is_the_effect_of_an_ampere(
        network in single_source_networks(),
        change in changes(),
        probes in (any::<Index>(), any::<Index>()),
    ) {
        // With one slope both ways no battery turns round under the ampere.
        let mut network = network;
        for branch in &mut network.branches {
            if let Law::Battery { ohms, charging, .. } = &mut branch.law {
                *charging = *ohms;
            }
        }
        let alteration = change.alteration(&network);
        let after = alteration.applied_to(&network);
        let altered = solved(&network).altered(&alteration).unwrap();
        let red = probes.0.index(network.points);
        let black = (red + 1 + probes.1.index(network.points - 1)) % network.points;
        prop_assume!(altered.between(red, black) != Between::Floating);
        let (still, drawn) = (Dense::solve(&after, None), Dense::solve(&after, Some((red, black, 1.0))));
        let transfer = altered.transfer(red, black);
        for branch in &network.branches {
            let (Between::Volts(before), Between::Volts(with)) =
                (still.between(branch.from, branch.to), drawn.between(branch.from, branch.to)) else { continue };
            let (ours, theirs) = (transfer.to(branch.from, branch.to), (with - before).0);
            prop_assert!((ours - theirs).abs() < 1e-6 * (1.0 + theirs.abs()) + ALLOWED, "{ours} Ω, not {theirs} Ω; {alteration:?}");
        }
    }
}

/// A radial net: each point hangs on an earlier one by a wire and may have a
/// load to ground; the battery feeds the first.
#[derive(Debug, Clone)]
struct Radial {
    emf: f64,
    inner: f64,
    /// Parent, wire Ω, load Ω if there is one; the first hangs on the battery.
    points: Vec<(usize, f64, Option<f64>)>,
}

fn radial(largest: usize) -> impl Strategy<Value = Radial> {
    let point = (any::<Index>(), -4.0..0.0f64, proptest::option::weighted(0.4, 0.0..3.5f64));
    (9.0..15.0f64, -3.0..-1.0f64, vec(point, 2..largest)).prop_map(|(emf, inner, points)| {
        let points = points.into_iter().enumerate().map(|(number, (parent, wire, load))| {
            let parent = if number == 0 { 0 } else { parent.index(number) };
            (parent, 10f64.powf(wire), load.map(|decade| 10f64.powf(decade)))
        });
        Radial { emf, inner: 10f64.powf(inner), points: points.collect() }
    })
}

impl Radial {
    /// Point `n` of the net is point `n + 1`, ground 0; the battery is branch 0,
    /// the wire to point `n` of the net branch `n`.
    fn network(&self) -> Network {
        let battery = Law::Battery { emf: Volts(self.emf), ohms: Ohms(self.inner), charging: Ohms(self.inner) };
        let feed = Branch { from: 0, to: 1, law: battery };
        let wires = self.points.iter().enumerate().skip(1);
        let wires = wires.map(|(n, &(parent, wire, _))| Branch { from: parent + 1, to: n + 1, law: resistor(wire) });
        let loads = self.points.iter().enumerate();
        let loads = loads.filter_map(|(n, &(_, _, load))| Some(Branch { from: n + 1, to: 0, law: resistor(load?) }));
        let branches = std::iter::once(feed).chain(wires).chain(loads).collect();
        Network { points: self.points.len() + 1, branches, reference: 0, converters: Vec::new() }
    }

    /// Voltages by leaf-to-root elimination, each wire as `wire_ohms` has it;
    /// `None` beyond an open wire.
    fn volts(&self, wire_ohms: impl Fn(usize) -> Option<f64>) -> Vec<Option<f64>> {
        let count = self.points.len();
        let mut draws: Vec<f64> = self.points.iter().map(|(_, _, load)| load.map_or(0.0, |ohms| 1.0 / ohms)).collect();
        for n in (1..count).rev() {
            // Through the wire the branch beyond draws g/(1 + g·R).
            let through = wire_ohms(n).map_or(0.0, |ohms| draws[n] / (1.0 + draws[n] * ohms));
            draws[self.points[n].0] += through;
        }
        let mut volts = vec![Some(self.emf / (1.0 + draws[0] * self.inner)); count];
        for n in 1..count {
            volts[n] = volts[self.points[n].0].zip(wire_ohms(n)).map(|(above, ohms)| above / (1.0 + draws[n] * ohms));
        }
        volts
    }
}

proptest! {
    #![proptest_config(cases(40))]

    #[test]
    fn radial_nets_are_solved_as_from_leaf_to_root(net in radial(1000)) {
        let solution = solved(&net.network());
        let volts = net.volts(|n| Some(net.points[n].1));
        for (n, expected) in volts.iter().enumerate() {
            let expected = Between::Volts(Volts(expected.expect("no wire is open")));
            let ours = solution.between(n + 1, 0);
            prop_assert!(apart(ours, expected) < ALLOWED, "point {n}: {ours:?}, not {expected:?}");
        }
    }

    #[test]
    fn every_wire_of_a_radial_net_at_every_size(net in radial(60)) {
        let solution = solved(&net.network());
        let extras = [3e-4, 2e-3, 0.05, 1.0, 30.0, 1e3, 1e5, 1e6].map(Some).into_iter().chain([None]);
        for extra in extras {
            for wire in 1..net.points.len() {
                let larger = extra.map(|extra| net.points[wire].1 + extra);
                let law = larger.map_or(Law::Open, resistor);
                let altered = solution.altered(&Alteration { replaced: vec![(wire, law)], added: Vec::new() }).unwrap();
                let volts = net.volts(|n| if n == wire { larger } else { Some(net.points[n].1) });
                for (n, &expected) in volts.iter().enumerate() {
                    // Beyond an open wire with a load to ground nothing floats:
                    // the load holds it at 0 V.
                    let ours = altered.between(n + 1, 0);
                    match (ours, expected) {
                        (Between::Volts(ours), Some(volts)) => prop_assert!((ours.0 - volts).abs() < ALLOWED, "{n}: {ours:?} {volts}"),
                        (Between::Volts(ours), None) => prop_assert!(ours.0.abs() < ALLOWED, "{n}: {ours:?} beyond the open wire {wire}"),
                        (Between::Floating, None) => {}
                        (Between::Floating, Some(volts)) => prop_assert!(false, "{n} floats, not {volts} V"),
                    }
                }
            }
        }
    }
}

/// Rest, every state of the file, and everything switched on.
fn states(vehicle: &Vehicle) -> Vec<State> {
    let rest = State::rest(vehicle);
    let named = vehicle.states.iter().map(|state| {
        state.settings.iter().fold(rest.clone(), |state, &(control, position)| state.with(control, position))
    });
    let all_on = vehicle.control_ids().fold(rest.clone(), |state, control| state.with(control, Position::On));
    std::iter::once(rest.clone()).chain(named).chain([all_on]).collect()
}

fn sizes_of(mode: FailureMode) -> &'static [f64] {
    match mode {
        FailureMode::HighResistance | FailureMode::CommonCause | FailureMode::ShortToGround => &SIZES,
        FailureMode::ShortBetweenCircuits => &[0.05, 2e3],
        FailureMode::Leakage => &[50.0, 33e3],
        FailureMode::LowVoltage => &[0.4, 4.0],
        FailureMode::HighDraw | FailureMode::Undersized => &[2.0, 6.0],
        FailureMode::LowDraw => &[0.3, 0.9],
        FailureMode::WrongRating => &[0.5, 0.25],
        FailureMode::OpenCircuit
        | FailureMode::ContactWelded
        | FailureMode::ShortAcross
        | FailureMode::StaysAwake
        | FailureMode::WrongTerminal
        | FailureMode::Crossed
        | FailureMode::Stuck
        | FailureMode::ReadsOff
        | FailureMode::WrongScale
        | FailureMode::Drifts => &[0.0],
    }
}

/// Largest disagreement at any point or across any branch, V, and where; points
/// are asked one by one and all at once.
fn furthest(altered: &Altered, fresh: &Solution) -> (f64, (usize, usize)) {
    let network = fresh.network();
    let to_reference = (0..network.points).map(|point| (point, network.reference));
    let ends = network.branches.iter().map(|branch| (branch.from, branch.to));
    let distance = |&(red, black): &(usize, usize)| apart(altered.between(red, black), fresh.between(red, black));
    let one_by_one = to_reference.clone().chain(ends).map(|pair| (distance(&pair), pair));
    let at_once = altered.against(network.reference).into_iter().zip(to_reference).map(|(volts, pair)| {
        let ours = if volts.is_nan() { Between::Floating } else { Between::Volts(Volts(volts)) };
        (apart(ours, fresh.between(pair.0, pair.1)), pair)
    });
    one_by_one.chain(at_once).max_by(|a, b| a.0.total_cmp(&b.0)).expect("a network has points")
}

/// What stands at two points by both ways.
fn difference(altered: &Altered, fresh: &Solution, vehicle: &Vehicle, (red, black): (usize, usize)) -> String {
    let name = |point: usize| vehicle.points[point].name();
    let blown: Vec<usize> = (0..fresh.network().branches.len()).filter(|&branch| fresh.is_blown(branch)).collect();
    format!(
        "{} to {}: {:?} with {:?} blown, not {:?} with {blown:?}",
        name(red),
        name(black),
        altered.between(red, black),
        altered.blown(),
        fresh.between(red, black),
    )
}

#[derive(Default)]
struct Tally {
    count: usize,
    restless: usize,
    /// Of these what no relay makes restless.
    unsettled: Vec<String>,
    twofold: usize,
    largest: f64,
    wrong: Vec<String>,
}

/// Whether what oscillates is a relay that buzzes, or a converter that starves itself:
/// with every contact and every output held there is an answer.
fn settles_once_held(restless: &Solution) -> bool {
    let mut network = restless.network().clone();
    network.converters.clear();
    for (index, branch) in network.branches.iter_mut().enumerate() {
        let is_off = restless.region(index) == Region::Off;
        match &mut branch.law {
            Law::Contact { .. } | Law::Regulated { .. } if is_off => branch.law = Law::Open,
            Law::Contact { conductance, .. } => branch.law = Law::Resistor(*conductance),
            Law::Regulated { needs, .. } => needs.clear(),
            _ => {}
        }
    }
    solve(network).is_ok_and(|held| held.convergence() == Convergence::Converged)
}

impl Tally {
    /// Every fault at a few sizes in one state.
    fn add(&mut self, vehicle: &Vehicle, state: &State, faults: &[Fault]) {
        let network = network_of(vehicle, state);
        let solution = Rc::new(solve(network.clone()).expect("a sample can be solved"));
        let sized = faults.iter().flat_map(|&fault| sizes_of(fault.mode).iter().map(move |&size| (fault, size)));
        for (fault, size) in sized {
            let alteration = alteration(&crate::tables::built_in().faults, vehicle, state, &network, fault, size);
            let altered = solution.altered(&alteration).expect("a fault can be solved");
            let fresh = solve(alteration.applied_to(&network)).expect("a fault can be solved");
            let title = format!("{} {:?} {size}", vehicle.part(fault.part).name, fault.mode);
            self.count += 1;
            if fault.mode == FailureMode::Crossed && altered.convergence() != fresh.convergence() {
                // As below: which of two answers it comes to hangs on what was before.
                self.twofold += 1;
                continue;
            }
            assert_eq!(altered.convergence(), fresh.convergence(), "{title}");
            if fresh.convergence() == Convergence::Oscillating {
                self.restless += 1;
                if !settles_once_held(&fresh) {
                    self.unsettled.push(title);
                }
                continue;
            }
            let (distance, pair) = furthest(&altered, &fresh);
            if distance < ALLOWED {
                self.largest = self.largest.max(distance);
            } else if fault.mode == FailureMode::Crossed {
                // A relay that is fed by its own contact stays as it is, on or off:
                // both answers stand.
                self.twofold += 1;
            } else {
                let set = state.changes(vehicle).map(|(control, _)| vehicle.control(control).name.as_str());
                let set: Vec<&str> = set.collect();
                let difference = difference(&altered, &fresh, vehicle, pair);
                self.wrong.push(format!("{title} with {}: {difference}", set.join(" ")));
            }
        }
    }
}

/// Every fault of every part, in a few states, at a few sizes.
#[track_caller]
fn check_sample(name: &str) {
    let vehicle = sample(name).expect("there is such a sample").unwrap_or_else(|error| panic!("{error}")).vehicle;
    let rates = built_in_tables().unwrap_or_else(|error| panic!("{error}"));
    let faults: Vec<Fault> = catalogue(&vehicle, &rates).into_iter().map(|likely| likely.fault).collect();
    let mut tally = Tally::default();
    states(&vehicle).iter().for_each(|state| tally.add(&vehicle, state, &faults));
    let Tally { count, restless, unsettled, twofold, largest, wrong } = tally;
    println!("{name}: {count} answers, {restless} restless, furthest {largest:.1e} V, {} wrong", wrong.len());
    assert!(wrong.is_empty(), "{} of {count}:\n{}", wrong.len(), wrong[..wrong.len().min(40)].join("\n"));
    // A relay that buzzes, starved by what it switches on, has no answer to
    // compare; it must be rare.
    assert!(restless * 100 <= count, "{restless} of {count} restless");
    assert!(unsettled.is_empty(), "{} of {count} without an answer: {unsettled:?}", unsettled.len());
    assert!(twofold * 500 <= count, "{twofold} of {count} with two answers");
}

#[test]
fn every_part_of_the_clinic_van() {
    check_sample("clinic_van");
}

#[test]
fn every_part_of_the_sprayer_truck() {
    check_sample("sprayer_truck");
}

#[test]
fn every_part_of_the_bench_board() {
    check_sample("bench_board");
}

fn branch(from: usize, to: usize, law: Law) -> Branch {
    Branch { from, to, law }
}

fn battery(emf: f64) -> Law {
    Law::Battery { emf: Volts(emf), ohms: Ohms(0.01), charging: Ohms(0.1) }
}

fn opened(network: &Network, branch: usize) -> Altered {
    solved(network).altered(&Alteration { replaced: vec![(branch, Law::Open)], added: Vec::new() }).expect("solvable")
}

fn volts(altered: &Altered, red: usize, black: usize) -> f64 {
    match altered.between(red, black) {
        Between::Volts(volts) => volts.0,
        Between::Floating => panic!("{red} or {black} floats"),
    }
}

/// Full supply voltage stands across a broken coil, and pulls nothing.
#[test]
fn a_relay_with_a_broken_coil_stays_at_rest() {
    let coil = ControllingVoltage { branch: 1, volts: Volts(7.2) };
    let contact =
        Law::Contact { conductance: Ohms(0.005).conductance(), coil, drop_out: Volts(3.6), rest: ContactRest::Make };
    let branches = vec![
        branch(0, 1, battery(12.6)),
        branch(1, 0, resistor(90.0)),
        branch(1, 2, contact),
        branch(2, 0, resistor(5.0)),
    ];
    let network = Network { points: 3, branches, reference: 0, converters: Vec::new() };
    assert!(solved(&network).across(3).0 > 12.0);
    let altered = opened(&network, 1);
    assert!(altered.across(1).0 > 12.0);
    assert!(altered.across(3).0.abs() < 1e-6, "{:?}", altered.across(3));
}

/// Two feeds through diodes to a bar with nothing on it: the weaker one
/// carries nothing until the stronger one is cut.
#[test]
fn a_diode_takes_over_when_the_other_feed_is_cut() {
    let diode = || Law::Diode { forward: Volts(0.5), ohms: Ohms(0.01) };
    let branches = vec![
        branch(0, 1, battery(12.8)),
        branch(0, 2, battery(12.2)),
        branch(1, 3, resistor(0.01)),
        branch(2, 3, diode()),
        branch(3, 4, resistor(0.01)),
    ];
    let network = Network { points: 5, branches, reference: 0, converters: Vec::new() };
    assert!((solved(&network).across(0).0 + 12.8).abs() < 1e-6);
    assert!((volts(&opened(&network, 2), 4, 0) - 11.7).abs() < 1e-6);
}

/// A load that draws a steady current draws none without voltage, not even on
/// the way to the answer: it must not pull in a relay that then keeps itself.
#[test]
fn a_relay_that_could_keep_itself_in_is_not_started_by_the_solve() {
    let coil = ControllingVoltage { branch: 3, volts: Volts(7.2) };
    let contact =
        Law::Contact { conductance: Ohms(0.005).conductance(), coil, drop_out: Volts(3.6), rest: ContactRest::Make };
    let steady = Law::ConstantCurrent { amps: Amps(30.0), knee: Volts(6.0) };
    let branches =
        vec![branch(0, 1, battery(12.6)), branch(1, 2, contact), branch(2, 0, steady), branch(2, 0, resistor(90.0))];
    let network = Network { points: 3, branches, reference: 0, converters: Vec::new() };
    assert!(solved(&network).current(2).0.abs() < 1e-6);
}

/// A lamp and electronics share a return that has become bad: Newton's tangents leap
/// from one sign to the other there, and the answer is that neither gets anything.
/// Worked by hand: cold, the lamp is some half an ohm, so that all the volts stand
/// across the return.
#[test]
fn what_hangs_on_one_bad_return_settles() {
    let lamp = Law::Curve(Curve::Filament { amps: Amps(2.88), rated: Volts(12.0) });
    let driver = Curve::ConstantPower { watts: Watts(8.3), fold: Volts(9.0), rated: Volts(12.0), times: 1.0 };
    for ohms in [50.0, 165.0, 1e5] {
        let branches = vec![
            branch(0, 1, battery(13.4)),
            branch(1, 2, lamp.clone()),
            branch(1, 2, Law::Curve(driver)),
            branch(2, 0, resistor(ohms)),
        ];
        let network = Network { points: 3, branches, reference: 0, converters: Vec::new() };
        let solution = solved(&network);
        assert_eq!(solution.convergence(), Convergence::Converged, "{ohms} ohms");
        let [across_lamp, lost] = [1, 3].map(|branch| solution.across(branch).0);
        assert!(lost > 12.0 && (0.0..1.4).contains(&across_lamp), "{ohms} ohms: {across_lamp} V and {lost} V");
    }
}
