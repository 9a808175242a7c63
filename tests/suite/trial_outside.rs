//! The trial's figures stand on readings of the engine's own full solve. Here
//! the same cases are played, and every voltage that was read is read again by
//! the simulator that is not ours, on the same real parts with the fault in
//! them and the meter across the leads.

use crate::outside::Ngspice;
use crate::played::bridged;
use halfsplit::case::Entry;
use halfsplit::fault::FailureMode;
use halfsplit::files::{SAMPLES, built_in_tables, sample};
use halfsplit::meter::MeterKind;
use halfsplit::network::{Between, Convergence, Network, solve};
use halfsplit::predict::{Burden, Probe};
use halfsplit::trial::{Bench, Conditions, Draw, Misreading, Options, Policy, case_seed, play};
use halfsplit::vehicle::{PointId, State, Vehicle};
use std::collections::BTreeSet;

/// Cases for each sample.
const CASES: usize = 40;
/// Voltage within which the two must agree, V.
const ALLOWED: f64 = 1e-3;
/// Share of cases in which the right part, or a set with it, must be named.
const RIGHT: f64 = 0.92;
/// Readings of a case that are read again: an answer takes the simulator a
/// hundredth of a second.
const READ_AGAIN: usize = 5;

fn options() -> Options {
    let conditions = Conditions {
        draw: Draw::ByKind,
        spread: 2.0,
        supplies: 2.0,
        misreads: Misreading::Share(0.02),
        ..Conditions::usual(&crate::tables::built_in().trial)
    };
    Options { cases: CASES, seed: 5, conditions, policies: vec![Policy::Ours], baseline: None, threads: 1 }
}

/// The voltages that were read, with the state they were read in.
fn voltages(vehicle: &Vehicle, entries: &[Entry]) -> Vec<(State, PointId, PointId, Burden)> {
    let mut state = State::rest(vehicle);
    let mut read = Vec::new();
    for entry in entries {
        match entry {
            Entry::Observe { settings, .. } | Entry::Set { settings } => state = state.with_all(settings),
            Entry::Read { settings, probe, .. } => {
                state = state.with_all(settings);
                if let Probe::Voltage { red, black, burden } = *probe {
                    read.push((state.clone(), red, black, burden));
                }
            }
            // A further fault is another circuit.
            Entry::Repaired { .. } => break,
            _ => {}
        }
    }
    read
}

/// How the cases of one sample went.
#[derive(Default)]
struct Tally {
    cases: usize,
    right: usize,
    compared: usize,
    unsolved: usize,
    furthest: f64,
    modes: BTreeSet<FailureMode>,
    wrong: Vec<String>,
}

impl Tally {
    /// One voltage by the engine and by the simulator.
    fn compare(&mut self, ngspice: &Ngspice, metered: Network, (red, black): (usize, usize), what: &str) {
        let ours = solve(metered.clone()).expect("solvable");
        let Between::Volts(volts) = ours.between(red, black) else { panic!("the meter joins them") };
        if ours.convergence() == Convergence::Oscillating {
            return;
        }
        let Some((theirs, _)) = ngspice.operating_point(&metered) else {
            self.unsolved += 1;
            return;
        };
        let apart = (volts.0 - (theirs[red] - theirs[black])).abs();
        self.compared += 1;
        self.furthest = self.furthest.max(apart);
        if apart > ALLOWED {
            self.wrong.push(format!("{what}: {} V apart", apart));
        }
    }
}

fn played(name: &str, ngspice: Option<&Ngspice>) -> Tally {
    let vehicle = sample(name).expect("a sample").unwrap_or_else(|error| panic!("{error}")).vehicle;
    let bench = Bench::new(vehicle, built_in_tables().unwrap_or_else(|error| panic!("{error}")));
    let vehicle = bench.engine().vehicle();
    let instruments = &bench.engine().tables().instruments;
    let options = options();
    let mut tally = Tally::default();
    for case in 0..CASES {
        let seed = case_seed(options.seed, case);
        let outcome = play(&bench, &options, seed).expect("played");
        let (Some(hidden), Some(Some(played))) = (&outcome.hidden, outcome.played.first()) else { continue };
        tally.cases += 1;
        tally.right += usize::from(played.is_right);
        tally.modes.extend(hidden.trouble.faults().map(|(fault, _)| fault.mode));
        let Some(ngspice) = ngspice else { continue };
        let (_, world) = bench.draw(&options.conditions, seed).expect("drawn").found.expect("the case that was played");
        for (state, red, black, burden) in voltages(vehicle, &played.entries).into_iter().take(READ_AGAIN) {
            let ends = (red.index(), black.index());
            let network = world.network(&state);
            // An island that only the meter joins to the rest has no level.
            if solve(network.clone()).expect("solvable").between(ends.0, ends.1) == Between::Floating {
                continue;
            }
            let metered = bridged(&network, ends.0, ends.1, MeterKind::default().meter(instruments).input);
            let metered = match burden {
                Burden::Bare | Burden::Each(_) => metered,
                Burden::Lamp => bridged(&metered, ends.0, ends.1, instruments.lamp * (vehicle.nominal.0 / 12.0)),
            };
            tally.compare(ngspice, metered, ends, &format!("{name} {seed} {hidden:?}"));
        }
    }
    tally
}

#[test]
fn readings_of_the_trial_are_those_of_ngspice() {
    let ngspice = Ngspice::find();
    let tallies: Vec<Tally> = std::thread::scope(|scope| {
        let ngspice = ngspice.as_ref();
        let playing: Vec<_> = SAMPLES.iter().map(|(name, _)| scope.spawn(move || played(name, ngspice))).collect();
        playing.into_iter().map(|thread| thread.join().expect("played")).collect()
    });
    let sum = |of: fn(&Tally) -> usize| tallies.iter().map(of).sum::<usize>();
    let (cases, right) = (sum(|tally| tally.cases), sum(|tally| tally.right));
    let (compared, unsolved) = (sum(|tally| tally.compared), sum(|tally| tally.unsolved));
    let furthest = tallies.iter().map(|tally| tally.furthest).fold(0.0, f64::max);
    let modes: BTreeSet<FailureMode> = tallies.iter().flat_map(|tally| tally.modes.iter().copied()).collect();
    let wrong: Vec<&str> = tallies.iter().flat_map(|tally| tally.wrong.iter().map(String::as_str)).collect();
    println!(
        "{cases} cases of {} ways to fail, {right} right; {compared} readings, furthest {:.3} mV, {unsolved} unsolved",
        modes.len(),
        furthest * 1e3
    );
    // A converter that starves has two answers.
    assert!(wrong.len() * 50 <= compared, "{}:\n{}", wrong.len(), wrong.join("\n"));
    assert!(right as f64 >= RIGHT * cases as f64, "{right} of {cases}");
    assert!(cases >= 100 && modes.len() >= 10, "{cases} cases, {modes:?}");
    assert!(ngspice.is_none() || (compared >= 300 && unsolved * 30 <= compared), "{compared}, {unsolved}");
}
