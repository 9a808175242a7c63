//! The training room: marks that a teacher would give.

use halfsplit::files::{built_in_rates, sample};
use halfsplit::training::{Learner, Played, Series, play_all, rows};
use halfsplit::trial::Wrong;

fn played(lessons: usize, threads: usize) -> (Series, Vec<Played>) {
    let vehicle = sample("bench_board").expect("a sample").unwrap_or_else(|error| panic!("{error}")).vehicle;
    let rates = built_in_rates().unwrap_or_else(|error| panic!("{error}"));
    let series = Series { lessons, seed: 1, learners: Learner::ALL.to_vec(), wrong: Wrong::OnePart, threads };
    let played = play_all(&vehicle, &rates, &series, || {}).unwrap_or_else(|error| panic!("{error}"));
    (series, played)
}

#[test]
fn the_planner_gets_full_marks_and_who_has_not_learnt_gets_clearly_less() {
    let (series, played) = played(40, 2);
    let rows = rows(&series, &played);
    assert!(rows[0].full.value() >= 0.95, "{:?}", rows[0]);
    for worse in &rows[1..] {
        assert!(worse.marks.mean + worse.marks.half < rows[0].marks.mean - 30.0, "{worse:?}");
    }
    assert_eq!(rows[3].passed.hits, 0, "{:?}", rows[3]);
}

#[test]
fn marks_do_not_depend_on_the_number_of_threads() {
    assert_eq!(played(6, 1).1, played(6, 3).1);
}
