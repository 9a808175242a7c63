//! Research: how near the tool's tests come to the best that any choice of tests
//! could do once few places are left.

mod at_hand;
mod bounds;
mod choice;
mod endgame;
mod search;

use crate::tables;
use crate::trial::{rates, vehicle};
use bounds::{entropy, huffman_cost};
use endgame::{Endgame, endgame};
use halfsplit::belief::Engine;
use halfsplit::case::{Case, Entry};
use halfsplit::trial::{CaseOutcome, Conditions, Options, Policy, run};
use std::rc::Rc;

/// The last stretch of a played case, with the tests that the tool took for it.
fn last_stretch(outcome: &CaseOutcome) -> Option<(Endgame, usize)> {
    let (hidden, played) = (outcome.hidden.as_ref()?, outcome.played.first()?.as_ref()?);
    let mut case = Case::new(Engine::new(Rc::new(vehicle("bench_board")), rates())).expect("solvable");
    for (index, entry) in played.entries.iter().enumerate() {
        case.add(entry.clone()).expect("stands");
        let situation = case.standing().situation(case.engine().tables());
        let truth = hidden.trouble.faults().next();
        let found = endgame(case.engine(), &case.assessment().belief, &situation, truth).expect("solvable");
        if let Some(found) = found {
            let is_test = |entry: &&Entry| matches!(entry, Entry::Read { .. } | Entry::Observe { .. });
            return Some((found, played.entries[index + 1..].iter().filter(is_test).count()));
        }
    }
    None
}

/// The optimum is not beaten where it is found, and no bound lies above it by
/// more than what stopping early saves.
#[test]
fn the_optimum_takes_no_more_tests_than_the_tool() {
    let options = Options {
        cases: 40,
        seed: 1,
        conditions: Conditions::noise_free(&tables::built_in().trial),
        policies: vec![Policy::Ours],
        baseline: None,
        threads: 2,
    };
    let outcomes = run(&vehicle("bench_board"), &rates(), &options, || {}).expect("solvable");
    let stretches: Vec<(Endgame, usize)> = outcomes.iter().filter_map(last_stretch).collect();
    let best = stretches.iter().filter_map(|(end, tests)| Some((end.optimum?, *tests as f64)));
    let (count, ours, optimum) =
        best.fold((0, 0.0, 0.0), |(count, ours, sum), (best, tests)| (count + 1, ours + tests, sum + best.tests));
    assert!(count >= 20, "{count} of {}", stretches.len());
    assert!(optimum <= ours * 1.1 && optimum > 0.3 * f64::from(count), "{optimum} against {ours}");
    let entropy: f64 =
        stretches.iter().filter(|(end, _)| end.optimum.is_some()).map(|(end, _)| end.entropy_tests).sum();
    assert!(entropy <= optimum * 1.2, "{entropy} bounds {optimum}");
}

/// The example of Huffman's code in Cover and Thomas, *Elements of Information
/// Theory*, 5.6: 0.25, 0.25, 0.2, 0.15, 0.15 take 2.3 bits in binary and 1.5
/// ternary digits; with tests of 1, 2 and 4 minutes 2.3 tests take 1 + 2 + 0.3·4.
#[test]
fn huffmans_bound() {
    let shares = [0.25, 0.25, 0.2, 0.15, 0.15];
    let close = |cost: Option<f64>, expected: f64| cost.is_some_and(|cost| (cost - expected).abs() < 1e-12);
    assert!(close(huffman_cost(&shares, 2, &[1.0; 5]), 2.3));
    assert!(close(huffman_cost(&shares, 3, &[1.0; 5]), 1.5));
    assert!(close(huffman_cost(&shares, 2, &[4.0, 1.0, 2.0]), 4.2));
    assert_eq!(huffman_cost(&shares, 2, &[1.0]), None);
    assert!((entropy(&[0.5, 0.25, 0.25]) - 1.5).abs() < 1e-12);
}
