//! Time from a reading to its answer: `cargo bench --bench answers`.

use divan::{Bencher, black_box};
use halfsplit::belief::Engine;
use halfsplit::case::Case;
use halfsplit::files::{built_in_tables, sample};
use halfsplit::repl::Session;
use std::rc::Rc;

fn main() {
    divan::main();
}

fn session(name: &str) -> Session {
    let loaded = sample(name).expect("a sample").expect("a good one");
    let engine = Engine::new(Rc::new(loaded.vehicle), built_in_tables().expect("rates"));
    Session::new(Case::new(engine).expect("solvable"), loaded.file, Vec::new())
}

/// A hunt in the van, each line answered in turn.
const HUNT: [&str; 6] =
    ["dead fridge", "works oven", "FC1.a FC1.b 24mV", "FC1.b 12.90", "FC1.out 11.40", "DBP FC1.out 1.42"];

/// The answer to line `count`, the lines before it entered already.
#[divan::bench(args = [1, 2, 3, 4, 5, 6], sample_count = 30)]
fn answer_to_line(bencher: Bencher<'_, '_>, count: usize) {
    bencher
        .with_inputs(|| {
            let mut session = session("clinic_van");
            HUNT[..count - 1].iter().for_each(|line| {
                session.handle(line);
            });
            session
        })
        .bench_local_values(|mut session| black_box(session.handle(HUNT[count - 1])));
}

/// The proof of a repair laid out, and where it stands after a check.
#[divan::bench(args = ["proof", "works fridge"], sample_count = 30)]
fn proof_after_repair(bencher: Bencher<'_, '_>, line: &str) {
    bencher
        .with_inputs(|| {
            let mut session = session("clinic_van");
            HUNT.iter().chain(&["fixed FC1/out"]).for_each(|line| {
                session.handle(line);
            });
            session
        })
        .bench_local_values(|mut session| black_box(session.handle(line)));
}

/// From the text of a vehicle file to the first prompt.
#[divan::bench(args = ["clinic_van", "sprayer_truck", "bench_board"], sample_count = 30)]
fn open(name: &str) -> Session {
    session(name)
}
