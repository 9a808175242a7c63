//! Random sessions: a hidden fault, a complaint of it, and somebody who mostly
//! does what is advised, sometimes probes where he likes, and misreads now and
//! then. The same seed gives the same session.

use crate::played::{DEAD, Hidden, Resolve, engine};
use halfsplit::belief::{Appearance, Engine, Sign, Symptom};
use halfsplit::case::{Case, Entry};
use halfsplit::fault::{Fault, catalogue, sizes};
use halfsplit::network::{Convergence, network_of, solve};
use halfsplit::plan::{Next, Sense, Test};
use halfsplit::predict::Probe;
use halfsplit::quantity::{Measured, Typed, Volts};
use halfsplit::vehicle::{ControlId, PartId, PartKind, PointId, State, Vehicle};
use rand::seq::IndexedRandom;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::rc::Rc;

pub const SAMPLES: [&str; 3] = ["bench_board", "clinic_van", "sprayer_truck"];

/// Entries of one session, at most.
const STEPS: usize = 8;
/// Chance that somebody probes where he likes, and that a reading is a misread.
const WILFUL: f64 = 0.25;
const MISREAD: f64 = 0.1;
/// Chance that somebody puts a lead, a bridge or a lamp in or away.
const AIDED: f64 = 0.1;

/// How many sessions of each sample: a few, or as many as `HALFSPLIT_SESSIONS`
/// says.
pub fn how_many(few: u64) -> u64 {
    std::env::var("HALFSPLIT_SESSIONS").ok().and_then(|count| count.parse().ok()).unwrap_or(few)
}

/// Plays one and looks at the case after every entry. `None` where the fault
/// drawn makes no complaint.
pub fn play(sample: &str, seed: u64, mut look: impl FnMut(&Case, &str)) -> Option<()> {
    let engine = engine(sample);
    let vehicle = Rc::clone(engine.vehicle());
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let hidden = hidden(&engine, &vehicle, &mut random);
    let mut case = Case::new(engine).unwrap_or_else(|error| panic!("{error}"));
    let mut log = format!("{sample} {seed}: {} {:?}", vehicle.part(hidden.part()).name, hidden.faults[0].0.mode);
    let complaint = complaint(&case, &hidden, &mut random)?;
    let mut add = |case: &mut Case, entry: Entry, log: &mut String| {
        *log += &format!("; {}", told(case, &entry));
        case.add(entry).unwrap_or_else(|error| panic!("{log}: {error}"));
        look(case, log);
    };
    add(&mut case, complaint, &mut log);
    // A stream of its own, so that who uses no aids goes on as before.
    let mut aiding = ChaCha8Rng::seed_from_u64(!seed);
    for _ in 0..STEPS {
        let aided = if aiding.random_bool(AIDED) { aided(&case, &hidden, &mut aiding) } else { None };
        let Some(entry) = aided.or_else(|| step(&case, &hidden, &mut random)) else { break };
        add(&mut case, entry, &mut log);
    }
    Some(())
}

fn hidden<'v>(engine: &Engine, vehicle: &'v Vehicle, random: &mut ChaCha8Rng) -> Hidden<'v> {
    let faults: Vec<Fault> = catalogue(vehicle, engine.tables()).into_iter().map(|likely| likely.fault).collect();
    let fault = *faults.choose(random).expect("a fault");
    let size = sizes(&engine.tables().faults, fault.mode).choose(random).copied().flatten();
    Hidden::one(vehicle, fault, size.map_or(0.0, |size| size.value))
}

/// A load that is not as it should be, on or off.
fn complaint(case: &Case, hidden: &Hidden<'_>, random: &mut ChaCha8Rng) -> Option<Entry> {
    let vehicle = hidden.vehicle;
    let rest = State::rest(vehicle);
    let settles = |state: &State| {
        solve(hidden.network(state)).is_ok_and(|solution| solution.convergence() != Convergence::Oscillating)
    };
    let mut wrong = Vec::new();
    for load in vehicle.loads() {
        let settings = case.settings_for_sign(load, DEAD);
        let state = rest.with_all(&settings);
        if settles(&state) {
            let appearance = hidden.appearance(&mut Resolve, &state, load);
            if appearance != Appearance::Works {
                wrong.push(Entry::Observe { settings, subject: load, sign: Sign::Looks(appearance) });
            }
        }
        if runs(hidden, &rest, load) && !runs(&Hidden { vehicle, faults: Vec::new() }, &rest, load) && settles(&rest) {
            wrong.push(Entry::Observe { settings: Vec::new(), subject: load, sign: Sign::StaysOn });
        }
    }
    wrong.choose(random).cloned()
}

fn runs(hidden: &Hidden<'_>, state: &State, load: PartId) -> bool {
    let part = hidden.vehicle.part(load);
    let PartKind::Load(ref of) = part.kind else { return false };
    let solution = solve(hidden.network(state)).expect("solvable");
    solution.across(load.index()).0.abs() > 0.6 * of.rated.0
}

/// A lead, a bridge, an end off its post or a lamp put in or away, with a look at the
/// load or a reading near it.
fn aided(case: &Case, hidden: &Hidden<'_>, random: &mut ChaCha8Rng) -> Option<Entry> {
    let vehicle = hidden.vehicle;
    let now = &case.standing().state;
    let aid = ControlId::new(vehicle.controls.len() + random.random_range(0..vehicle.aids.len()));
    let settings = vec![(aid, now.position(aid).opposite())];
    let state = now.with_all(&settings);
    let settles = |network| solve(network).is_ok_and(|solved| solved.convergence() != Convergence::Oscillating);
    if !settles(hidden.network(&state)) || !settles(network_of(vehicle, &state)) {
        return None;
    }
    let part = vehicle.aid(aid)?.part();
    let is_meant_to_run = case.predictor().in_state(&state).ok()?.is_served(vehicle, part);
    if vehicle.part(part).kind.is_load() && is_meant_to_run && random.random_bool(0.6) {
        return Some(Entry::Observe {
            settings,
            subject: part,
            sign: hidden.sign(&mut Resolve, &state, part, Sense::Look),
        });
    }
    let end = if random.random_bool(0.5) { vehicle.part(part).from } else { vehicle.part(part).to };
    let probe = Probe::voltage(end, case.standing().black);
    (end != case.standing().black).then(|| read(case, hidden, settings, probe, random))
}

/// The next entry: what is advised, or something of one's own.
fn step(case: &Case, hidden: &Hidden<'_>, random: &mut ChaCha8Rng) -> Option<Entry> {
    let vehicle = hidden.vehicle;
    let standing = case.standing();
    if random.random_bool(WILFUL) {
        let panel: Vec<Probe> = vehicle.instruments().filter_map(|id| Probe::fixed(vehicle, id)).collect();
        if let Some(&probe) = panel.choose(random) {
            return Some(read(case, hidden, Vec::new(), probe, random));
        }
        let point = |random: &mut ChaCha8Rng| PointId::new(random.random_range(0..vehicle.points.len()));
        let red = point(random);
        let black = if random.random_bool(0.7) { standing.black } else { point(random) };
        return (red != black).then(|| read(case, hidden, Vec::new(), Probe::voltage(red, black), random));
    }
    let Next::Test(advice) = &case.assessment().next else { return None };
    let settings = advice.settings.clone();
    let state = standing.state.with_all(&settings);
    Some(match advice.test {
        Test::Ask(_) => Entry::Unwanted { test: advice.test },
        Test::Sense { subject, sense } => {
            Entry::Observe { settings, subject, sign: hidden.sign(&mut Resolve, &state, subject, sense) }
        }
        Test::Measure(probe) => read(case, hidden, settings, probe, random),
    })
}

fn read(
    case: &Case,
    hidden: &Hidden<'_>,
    settings: Vec<(halfsplit::vehicle::ControlId, halfsplit::vehicle::Position)>,
    probe: Probe,
    random: &mut ChaCha8Rng,
) -> Entry {
    let state = case.standing().state.with_all(&settings);
    let measured = match hidden.measured(&mut Resolve, case, &state, probe) {
        Measured::Volts(typed) if random.random_bool(MISREAD) => {
            let wrong =
                *[0.0, typed.value.0 * 10.0, typed.value.0 / 10.0, -typed.value.0].choose(random).expect("four");
            let sheet = case.standing().meter.meter(&case.engine().tables().instruments);
            let shown = sheet.shows(Volts(wrong.clamp(-60.0, 60.0)));
            Measured::Volts(Typed { value: shown, step: sheet.step(shown) })
        }
        measured => measured,
    };
    Entry::Read { settings, probe, measured, symptom: Symptom::Present }
}

/// An entry as the log of a session has it.
pub fn told(case: &Case, entry: &Entry) -> String {
    let vehicle = case.vehicle();
    let settings: Vec<String> = entry
        .settings()
        .iter()
        .map(|&(control, position)| format!("{} {position:?}, ", vehicle.control(control).name))
        .collect();
    let what = match entry {
        Entry::Observe { subject, sign, .. } => format!("{} {sign:?}", vehicle.part(*subject).name),
        Entry::Read { probe, measured, .. } => {
            let (red, black) = probe.points(vehicle);
            if let Some(instrument) = probe.instrument() {
                return format!("{} {measured}", vehicle.part(instrument).name);
            }
            format!("{} {} {measured}", vehicle.point(red).name(), vehicle.point(black).name())
        }
        other => format!("{other:?}"),
    };
    settings.concat() + &what
}
