//! Loads that draw another current than the drawing says, hidden by a change of
//! the vehicle's own file: each load of the samples, followed from what somebody
//! would notice to what is named.

use crate::played::*;
use crate::random_sessions::SAMPLES;
use halfsplit::belief::{Appearance, Reading, Sign, Symptom, appearance_chances};
use halfsplit::case::{Case, Entry, FuseAmps};
use halfsplit::complaint::Channel;
use halfsplit::fault::{FailureMode, Fault};
use halfsplit::files;
use halfsplit::meter::MeterKind;
use halfsplit::network::{network_of, solve};
use halfsplit::plan::{Next, Sense};
use halfsplit::predict::Probe;
use halfsplit::quantity::{Measured, Typed, Volts};
use halfsplit::source::SourceFile;
use halfsplit::vehicle::{PartId, PartKind, State, Vehicle};
use std::collections::BTreeMap;

/// Times what the drawing says.
const TIMES: [f64; 9] = [0.5, 0.6, 0.7, 0.8, 0.9, 1.1, 1.3, 1.6, 2.0];

/// A sample in which one load draws so many times what it should; `None` where
/// its file does not give a figure.
fn drawing(sample: &str, load: &str, times: f64) -> Option<Vehicle> {
    let (_, text) = files::SAMPLES.iter().find(|(name, _)| *name == sample)?;
    let entry = text.find(&format!("Load(name: \"{load}\""))?;
    let (key, at) = ["ohms: ", "watts: ", "amps: "]
        .into_iter()
        .filter_map(|key| Some((key, entry + text[entry..].find(key)? + key.len())))
        .min_by_key(|(_, at)| *at)?;
    let end = at + text[at..].find([',', ')'])?;
    let figure: f64 = text[at..end].trim().parse().ok()?;
    let changed = if key == "ohms: " { figure / times } else { figure * times };
    let text = format!("{}{changed}{}", &text[..at], &text[end..]);
    Some(files::parse(SourceFile::new(sample.into(), text)).expect("a good file").vehicle)
}

/// What a load does, as a share of voltage: P = V²/R, so that k times the
/// current is √k of the voltage.
fn share(drawn: &Vehicle, real: &Vehicle, state: &State, load: PartId, times: f64) -> f64 {
    let volts = |of: &Vehicle| solve(network_of(of, state)).expect("solvable").across(load.index()).0.abs();
    times.min(1.0).sqrt() * volts(real) / volts(drawn)
}

fn looks(drawn: &Vehicle, load: PartId, share: f64) -> Appearance {
    let kind = drawn.part(load).kind.load().expect("a load").kind;
    let chances = appearance_chances(&crate::tables::built_in().signs, kind, share);
    *Appearance::ALL.iter().max_by(|a, b| chances[a.index()].total_cmp(&chances[b.index()])).expect("three")
}

/// How somebody comes to ask.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Noticed {
    /// By how it looks, or that it is dead since its fuse opened.
    Looks(bool),
    /// By a clamp that shows more or less than a sound load's spread and its own
    /// errors account for.
    Clamped,
}

struct Played {
    noticed: Noticed,
    named: bool,
    announced: bool,
    shown: bool,
    log: String,
}

/// Follows one load; `None` where nobody would notice.
fn played(sample: &str, name: &str, times: f64, clamped: bool) -> Option<Played> {
    let mut case = fresh(sample);
    let real = drawing(sample, name, times)?;
    let load = real.find_part(name)?;
    let drawn = case.engine().vehicle().clone();
    let mode = if times < 1.0 { FailureMode::LowDraw } else { FailureMode::HighDraw };
    // Of one time its own: what is hidden is in the file.
    let hidden = Hidden::one(&real, Fault::new(load, mode), 1.0);
    let settings = case.settings_for_sign(load, DEAD);
    let state = case.standing().state.with_all(&settings);
    let solution = solve(network_of(&real, &state)).expect("solvable");
    let blown: Vec<PartId> = real.part_ids().filter(|part| solution.is_blown(part.index())).collect();
    let is_served = |of: &Vehicle| solve(network_of(of, &state)).expect("solvable").across(load.index()).0.abs() > 5.0;
    if !is_served(&drawn) {
        return None;
    }
    let seen = looks(&drawn, load, share(&drawn, &real, &state, load, times));
    let noticed = match (clamped, seen) {
        (true, Appearance::Works) => {
            let probe = Probe::Current { part: load };
            let measured = hidden.measured(&mut Resolve, &case, &state, probe);
            case.add(Entry::Read { settings, probe, measured, symptom: Symptom::Present }).expect("a reading stands");
            if case.assessment().next == Next::NothingAmiss {
                return None;
            }
            Noticed::Clamped
        }
        (true, _) | (false, Appearance::Works) => return None,
        (false, seen) => {
            case.add(Entry::Observe { settings, subject: load, sign: Sign::Looks(seen) }).expect("stands");
            Noticed::Looks(!blown.is_empty())
        }
    };
    let hunt = follow_looking(&mut case, &hidden, &mut Resolve, |simulator, state, subject, sense| match sense {
        Sense::Look => {
            let times = if subject == load { times } else { 1.0 };
            Sign::Looks(looks(&drawn, subject, share(&drawn, &real, state, subject, times)))
        }
        _ => hidden.sign(simulator, state, subject, sense),
    });
    // A blown fuse is where it shows.
    let named = hunt.named.iter().any(|part| *part == load || blown.contains(part));
    let announced = matches!(case.assessment().next, Next::Found { .. });
    Some(Played { noticed, named, announced, shown: is_shown(&case, load), log: hunt.log })
}

/// Whether a current or the load's own volts have been read.
fn is_shown(case: &Case, load: PartId) -> bool {
    let vehicle = case.engine().vehicle();
    let (red, black) = vehicle.part(load).ends();
    let readings = &case.standing().evidence.readings;
    let touches = |point| {
        readings
            .iter()
            .filter_map(|reading| reading.probe.plain_voltage())
            .any(|(one, two)| one == point || two == point)
    };
    readings.iter().any(|reading| matches!(reading.probe, Probe::Current { .. })) || (touches(red) && touches(black))
}

fn all(clamped: bool) -> Vec<(String, Played)> {
    let mut all = Vec::new();
    for sample in SAMPLES {
        let loads: Vec<String> = {
            let engine = engine(sample);
            let vehicle = engine.vehicle();
            vehicle.loads().map(|load| vehicle.part(load).name.clone()).collect()
        };
        for load in &loads {
            for times in TIMES {
                all.extend(played(sample, load, times, clamped).map(|of| (format!("{sample} {load} ×{times}"), of)));
            }
        }
    }
    all
}

fn told(all: &[(String, Played)]) -> BTreeMap<(Noticed, String), (usize, usize, usize)> {
    let mut figures = BTreeMap::<_, (usize, usize, usize)>::new();
    for (what, of) in all {
        let times = what.split('×').nth(1).unwrap_or_default().to_string();
        let (count, named, wrong) = figures.entry((of.noticed, times)).or_default();
        *count += 1;
        *named += usize::from(of.named);
        *wrong += usize::from(of.announced && !of.named);
    }
    figures
}

/// Every load of the samples, as often as somebody would notice.
#[test]
#[ignore = "minutes: measures what is named of all loads"]
fn loads_that_draw_otherwise_are_named() {
    for clamped in [false, true] {
        let all = all(clamped);
        for ((noticed, times), (count, named, wrong)) in told(&all) {
            println!("{noticed:?} ×{times}: {named} of {count} named, {wrong} announced wrongly");
        }
        let missed: Vec<_> = all.iter().filter(|(_, of)| !of.named).collect();
        for (what, of) in &missed {
            println!("  missed {what}: {}", of.log);
        }
        let share = 1.0 - missed.len() as f64 / all.len() as f64;
        println!("clamped {clamped}: {:.1} % of {} named", 100.0 * share, all.len());
        assert!(share >= 0.95, "{share}");
    }
}

/// A meter at rest shows a few tenths of a millivolt: no fuse makes amperes of
/// that, whichever way round the leads are.
#[test]
fn no_current_is_made_of_what_a_meter_shows_by_itself() {
    for sample in SAMPLES {
        let case = fresh(sample);
        let vehicle = case.engine().vehicle();
        let fuses = vehicle.part_ids().filter(|&part| matches!(vehicle.part(part).kind, PartKind::Fuse { .. }));
        for (fuse, tenths) in fuses.flat_map(|fuse| (-6..=6).map(move |tenths| (fuse, tenths))) {
            let (red, black) = vehicle.part(fuse).ends();
            let step = Volts(1e-4);
            let reading = Reading {
                channel: Channel::OnSite,
                probe: Probe::voltage(red, black),
                measured: Measured::Volts(Typed { value: step * f64::from(tenths), step }),
                meter: MeterKind::Cheap,
                state: case.standing().state.clone(),
                symptom: Symptom::Present,
                moment: 0,
                agreed: 0,
            };
            let told = FuseAmps::of(case.engine().tables(), vehicle, &reading).expect("a fuse that is in");
            assert!(
                told.amps.low.0 == 0.0 && told.amps.high.0 > 0.0,
                "{}: {tenths}: {:?}",
                told.fuse.index(),
                told.amps
            );
        }
    }
}

/// A heater, a pump and a lamp that draw too little, and one that draws too
/// much: named, and not before a current or their own volts have been read.
#[test]
fn a_load_is_not_blamed_for_its_draw_unread() {
    for (sample, load, times) in [
        ("clinic_van", "oven", 0.6),
        ("clinic_van", "pump", 0.5),
        ("bench_board", "lampA", 0.67),
        ("sprayer_truck", "agit", 0.7),
    ] {
        let of = played(sample, load, times, false).expect("noticed");
        assert!(of.named && of.shown, "{sample} {load} ×{times}: {}", of.log);
    }
}
