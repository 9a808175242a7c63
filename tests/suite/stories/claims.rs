//! What a story claims of a case: of what the program holds, not of how it says
//! it. Each kind is told of at the top of `stories`.

use super::telling::Telling;
use halfsplit::belief::Site;
use halfsplit::case::Case;
use halfsplit::case::proof::{Proof, ProofVerdict};
use halfsplit::plan::{Next, Test};
use halfsplit::predict::{Burden, Probe};
use halfsplit::repl::Understanding;
use halfsplit::vehicle::PartId;
use halfsplit::words::document::on_screen;

/// Parts that no test tells apart, at most.
const FEW: usize = 5;
/// Belief that puts a part in question.
const IN_QUESTION: f64 = 0.015;

/// Whether a claim holds, and if not, what holds instead.
pub fn claim(telling: &mut Telling<'_>, key: &str, said: &str) -> Result<(), String> {
    let case = telling.session.case();
    match key {
        "ends at" => {
            telling.is_open = false;
            is_at(case, said).then_some(()).ok_or_else(|| where_it_is(case))
        }
        "within" => within(telling.followed, said),
        "asks" => one_of(said, asked(case)),
        "first" => one_of(said, &suspects(case).into_iter().next().unwrap_or_default()),
        "measures" => one_of(said, &measured(case)),
        "suspects" => among(said, &suspects(case)),
        "clears" => listed(said, &parts(case, &case.assessment().proved_good)),
        "doubts" => match is_outlier(case) {
            doubts if doubts.is_empty() => same(said, "nothing"),
            doubts => doubts.contains(&said.to_string()).then_some(()).ok_or(doubts.join("; ")),
        },
        "counts" => {
            let counting = case.standing().readings.iter().filter(|numbered| numbered.counts());
            same(said, &joined(counting.map(|numbered| numbered.number.to_string())))
        }
        "set" => {
            let changed = case.standing().state.changes(case.vehicle());
            same(said, &joined(changed.map(|(control, _)| case.vehicle().control(control).name.clone())))
        }
        "proof" => same(said, &telling.proof().map_or("none".to_string(), |proof| stands(case, &proof))),
        "puts back" => listed(said, &telling.put_back),
        "case" => {
            let name = case.journal().map_or("none", |journal| journal.header().name.as_str());
            same(said, &format!("{name}, {} entries", case.entries().len()))
        }
        "warns" => {
            let (_, cautions) = telling.answer.split_once("Caution").ok_or("no caution is told")?;
            cautions.contains(said).then_some(()).ok_or(cautions.to_string())
        }
        "refuses" => {
            let entries = case.entries().to_vec();
            let reply = telling.session.handle(said);
            match (reply.outcome, telling.session.case().entries() == entries) {
                (Understanding::Failed, true) => Ok(()),
                (_, true) => Err(reply.text(80)),
                (_, false) => Err("the record has changed".to_string()),
            }
        }
        _ => panic!("no claim is called {key}"),
    }
}

fn same(said: &str, is: &str) -> Result<(), String> {
    if said == is { Ok(()) } else { Err(is.to_string()) }
}

fn one_of(said: &str, is: &str) -> Result<(), String> {
    if said.split(" or ").any(|kind| kind == is) { Ok(()) } else { Err(is.to_string()) }
}

/// Everything said is in what there is.
fn among(said: &str, is: &[String]) -> Result<(), String> {
    let all = said.split(", ").all(|name| is.iter().any(|known| known == name));
    if all { Ok(()) } else { Err(joined(is.iter().cloned())) }
}

/// The same, or nothing at all.
fn listed(said: &str, is: &[String]) -> Result<(), String> {
    if said == "nothing" { same(said, &joined(is.iter().cloned())) } else { among(said, is) }
}

fn joined(names: impl Iterator<Item = String>) -> String {
    let names: Vec<String> = names.collect();
    if names.is_empty() { "nothing".to_string() } else { names.join(", ") }
}

fn parts(case: &Case, parts: &[PartId]) -> Vec<String> {
    parts.iter().map(|&part| case.vehicle().part(part).name.clone()).collect()
}

fn suspects(case: &Case) -> Vec<String> {
    let suspects = case.assessment().belief.suspects.iter().filter(|suspect| suspect.probability > IN_QUESTION);
    parts(case, &suspects.flat_map(|suspect| suspect.site.parts()).collect::<Vec<_>>())
}

/// `5 tests, 20 minutes`.
fn within((tests, minutes): (usize, f64), said: &str) -> Result<(), String> {
    let numbers: Vec<f64> = said.split_whitespace().filter_map(|word| word.parse().ok()).collect();
    let [most_tests, most_minutes] = numbers[..] else { panic!("within: {said}") };
    let holds = tests as f64 <= most_tests && minutes <= most_minutes;
    if holds { Ok(()) } else { Err(format!("{tests} tests, {minutes:.0} minutes")) }
}

/// What is asked now.
fn asked(case: &Case) -> &'static str {
    match &case.assessment().next {
        Next::AskComplaint => "complaint",
        Next::NothingAmiss | Next::NothingWorthwhile => "nothing",
        Next::ReadAgain { .. } => "again",
        Next::Found { .. } => "repair",
        Next::Inseparable { .. } => "any of few",
        Next::Test(advice) => match advice.test {
            Test::Ask(_) => "question",
            Test::Sense { .. } => "look",
            Test::Measure(Probe::Voltage { burden: Burden::Bare | Burden::Each(_), .. }) => "volts",
            Test::Measure(Probe::Voltage { burden: Burden::Lamp, .. }) => "lamp",
            Test::Measure(Probe::Resistance { .. }) => "ohms",
            Test::Measure(Probe::Current { .. }) => "amps",
            Test::Measure(Probe::Fixed { .. }) => "display",
        },
    }
}

/// What is advised: red and black lead, a part with `A` or `ohm`, or what is looked at.
fn measured(case: &Case) -> String {
    let vehicle = case.vehicle();
    let Next::Test(advice) = &case.assessment().next else { return asked(case).to_string() };
    let point = |point| vehicle.point(point).name().to_string();
    let part = |part: PartId| vehicle.part(part).name.clone();
    match advice.test {
        Test::Ask(_) => "question".to_string(),
        Test::Sense { subject, .. } => format!("see {}", part(subject)),
        Test::Measure(Probe::Current { part: of }) => format!("{} A", part(of)),
        Test::Measure(probe) => {
            let (red, black) = probe.points(vehicle);
            let unit = if matches!(probe, Probe::Resistance { .. }) { " ohm" } else { "" };
            format!("{} {}{unit}", point(red), point(black))
        }
    }
}

/// What does not go with the rest.
fn is_outlier(case: &Case) -> Vec<String> {
    let (standing, assessment) = (case.standing(), case.assessment());
    let reading = assessment.contradiction.map(|doubt| format!("reading {}", standing.number_of(doubt.reading)));
    let loops = assessment.loop_gap.as_ref().map(|gap| {
        let numbers = gap.readings.iter().map(|&index| standing.number_of(index).to_string());
        format!("loop {}", joined(numbers))
    });
    let drawing = assessment.belief.doubts_drawing(&case.engine().tables().belief).then(|| "the drawing".to_string());
    reading.into_iter().chain(loops).chain(drawing).collect()
}

/// `J4.2 unfinished, 1 passed`.
fn stands(case: &Case, proof: &Proof) -> String {
    let verdict = match proof.verdict() {
        ProofVerdict::Proved => "proved".to_string(),
        ProofVerdict::ToPutBack => "to put back".to_string(),
        ProofVerdict::Unfinished => format!("unfinished, {} passed", proof.passed()),
        ProofVerdict::NotProved => "not proved".to_string(),
    };
    format!("{} {verdict}", case.vehicle().part(proof.repaired).name)
}

/// Whether a case is where it should end.
fn is_at(case: &Case, wanted: &str) -> bool {
    let vehicle = case.vehicle();
    let assessment = case.assessment();
    let part = |name: &str| vehicle.find_part(name).unwrap_or_else(|| panic!("no part {name}"));
    let found = |site: Site| assessment.next == Next::Found { site };
    let likeliest = |site: Site| assessment.belief.suspects.first().is_some_and(|first| first.site == site);
    match wanted.split_whitespace().collect::<Vec<_>>()[..] {
        ["nothing", "wrong"] => assessment.next == Next::NothingAmiss || likeliest(Site::Nothing),
        ["not", "as", "drawn"] => found(Site::Undrawn) || likeliest(Site::Undrawn),
        [name] => found(Site::Part(part(name))) && cause_at(case, Site::Part(part(name))) == Some(part(name)),
        [fuse, "by", name] => {
            found(Site::Part(part(fuse))) && cause_at(case, Site::Part(part(fuse))) == Some(part(name))
        }
        [first, "with", second] => {
            let (first, second) = (part(first).min(part(second)), part(first).max(part(second)));
            found(Site::Both(first, second))
        }
        ["among", name] => match &assessment.next {
            Next::Inseparable { parts } => parts.len() <= FEW && parts.contains(&part(name)),
            _ => false,
        },
        _ => false,
    }
}

fn cause_at(case: &Case, site: Site) -> Option<PartId> {
    case.assessment().belief.causes_at(site).first().map(|(part, _)| *part)
}

fn where_it_is(case: &Case) -> String {
    let vehicle = case.vehicle();
    let suspects = case.assessment().belief.suspects.iter().take(4);
    let name = |part: PartId| vehicle.part(part).name.clone();
    let said: Vec<String> = suspects
        .map(|suspect| {
            let named = match suspect.site {
                Site::Part(_) | Site::Both(..) => suspect.site.parts().map(name).collect::<Vec<_>>().join(" with "),
                other => format!("{other:?}"),
            };
            let cause = cause_at(case, suspect.site).map(name).unwrap_or_default();
            format!("{named} by {cause} {:.0} %", suspect.probability.value() * 100.0)
        })
        .collect();
    let next = on_screen(&halfsplit::words::next_test(case), 200);
    format!("{}; {}", said.join(", "), next.lines().next().unwrap_or_default())
}
