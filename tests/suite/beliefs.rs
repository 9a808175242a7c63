//! The belief against a slow, obvious way to the same numbers: draw vehicles
//! with each fault by the hundred thousand, keep those that read as this one
//! does, and count. The vehicle is one loop, so its currents are V/ΣR by hand.

use crate::played::fresh;
use halfsplit::belief::{
    Appearance, Belief, Engine, Evidence, Observation, Reading, Sign, Site, Symptom, appearance_chances,
};
use halfsplit::complaint::Channel;
use halfsplit::fault::{FailureMode, catalogue, sizes};
use halfsplit::files::{built_in_tables, parse};
use halfsplit::meter::MeterKind;
use halfsplit::predict::Probe;
use halfsplit::quantity::{Measured, Typed, Volts};
use halfsplit::source::SourceFile;
use halfsplit::tables::conductor::COPPER_PER_KELVIN;
use halfsplit::tables::fuse::OPENING_MULTIPLE;
use halfsplit::vehicle::trace::settings_for;
use halfsplit::vehicle::{LoadKind, PartId, PartKind, PointId, State, Vehicle};
use std::collections::HashMap;
use std::rc::Rc;

const LOOP: &str = r#"Vehicle(
    name: "one loop", nominal: 12, black: "B-",
    places: [ Place(name: "bench", minutes: 0.2, open: "nothing") ],
    supplies: [ Battery(name: "B", chemistry: LeadAcid, ah: 80, rest: 12.6, ohms: 0.01, at: "bench") ],
    runs: [
        Run(name: "lamp", from: "B+", to: "B-", at: "bench", parts: [
            Fuse(name: "F", amps: 10),
            Cable(name: "W1", metres: 4, mm2: 1.5),
            Switch(name: "S", style: Rocker),
            Cable(name: "W2", metres: 3, mm2: 1.5),
            Load(name: "lamp", label: "lamp", kind: Lamp, ohms: 2.5),
            Cable(name: "W3", metres: 6, mm2: 1.5),
        ]),
    ],
)"#;

/// Vehicles drawn for each fault.
const DRAWS: usize = 150_000;
/// A drawn reading within this counts as the one that was read, V.
const WINDOW: f64 = 0.05;

/// Spread of the temperature of all conductors, K, as the engine assumes it.
const WARMTH: f64 = 15.0;

/// Random numbers that are the same everywhere (xorshift; Marsaglia 2003).
struct Random(u64);

impl Random {
    fn uniform(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Box and Muller 1958.
    fn normal(&mut self) -> f64 {
        let (a, b) = (self.uniform().max(1e-300), self.uniform());
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }

    fn pick<'a, T>(&mut self, of: &'a [(T, f64)]) -> &'a T {
        let total: f64 = of.iter().map(|(_, weight)| weight).sum();
        let mut at = self.uniform() * total;
        of.iter()
            .find(|(_, weight)| {
                at -= weight;
                at < 0.0
            })
            .map_or(&of[of.len() - 1].0, |(item, _)| item)
    }
}

struct Bench {
    vehicle: Rc<Vehicle>,
    evidence: Evidence,
}

fn bench(appearance: Appearance, readings: &[(&str, &str, f64)]) -> Bench {
    let file = SourceFile::new("loop.ron".into(), LOOP.into());
    let vehicle = Rc::new(parse(file).unwrap_or_else(|error| panic!("{error}")).vehicle);
    let lamp = vehicle.find_part("lamp").expect("a lamp");
    let rest = State::rest(&vehicle);
    let state =
        settings_for(&vehicle, &rest, lamp).into_iter().fold(rest, |state, (control, to)| state.with(control, to));
    let reading = |&(red, black, volts): &(&str, &str, f64)| read(&vehicle, &state, red, black, volts, Volts(0.01));
    let evidence = Evidence {
        observations: vec![Observation {
            subject: lamp,
            sign: Sign::Looks(appearance),
            state: state.clone(),
            channel: Channel::OnSite,
            symptom: Symptom::Present,
        }],
        readings: readings.iter().map(reading).collect(),
        ..Evidence::default()
    };
    Bench { vehicle, evidence }
}

fn believed(bench: &Bench) -> Belief {
    let rates = built_in_tables().unwrap_or_else(|error| panic!("{error}"));
    Engine::new(Rc::clone(&bench.vehicle), rates).posterior(&bench.evidence).expect("solvable")
}

/// A loop as it may be: resistance of each part in order round the loop, and voltage.
struct Drawn {
    ohms: Vec<f64>,
    emf: f64,
}

impl Drawn {
    /// Voltage of the point after part `index` of the loop, over B-.
    fn volts_after(&self, index: usize) -> f64 {
        let current = self.emf / self.ohms.iter().sum::<f64>();
        self.emf - current * self.ohms[..=index].iter().sum::<f64>()
    }
}

/// Probability of each part by counting, and the standard error of the count.
fn counted(bench: &Bench) -> HashMap<PartId, (f64, f64)> {
    let vehicle = &bench.vehicle;
    let rates = built_in_tables().unwrap_or_else(|error| panic!("{error}"));
    let battery = vehicle.find_part("B").expect("a battery");
    let order: Vec<PartId> =
        std::iter::once(battery).chain(vehicle.part_ids().filter(|&part| part != battery)).collect();
    let fuse = vehicle.find_part("F").expect("a fuse");
    let PartKind::Fuse { rating } = vehicle.part(fuse).kind else { panic!("a fuse") };
    let opens_at = rating.0 * OPENING_MULTIPLE;
    let lamp = order.iter().position(|&part| Some(part) == vehicle.find_part("lamp")).expect("a lamp");
    let after =
        |point: PointId| order.iter().position(|&part| vehicle.part(part).to == point && part != battery).unwrap_or(0);
    let sheet = MeterKind::Cheap.meter(&crate::tables::built_in().instruments);
    let mut random = Random(0x1234_5678_9abc_def1);
    let Sign::Looks(appearance) = bench.evidence.observations[0].sign else { panic!("a look") };
    let mut weights: HashMap<PartId, (f64, f64)> = HashMap::new();
    let engine = Engine::new(Rc::clone(&bench.vehicle), Rc::clone(&rates));
    for likely in catalogue(vehicle, &rates) {
        let fault = likely.fault;
        let sizes: Vec<_> = sizes(&rates.faults, fault.mode)
            .into_iter()
            .map(|size| (size, size.map_or(1.0, |size| size.share)))
            .collect();
        // A shorted lamp blows its fuse and shows there; a switch that stays
        // closed explains nothing.
        let (shows_at, mode) = match fault.mode {
            FailureMode::ShortAcross => (fuse, FailureMode::OpenCircuit),
            FailureMode::ContactWelded => continue,
            mode => (fault.part, mode),
        };
        let place = order.iter().position(|&part| part == shows_at).expect("in the loop");
        let (mut kept, mut squares) = (0.0, 0.0);
        for _ in 0..DRAWS {
            let size = random.pick(&sizes).map_or(0.0, |size| size.value * (size.width * random.normal()).exp());
            // All copper is as warm as the day.
            let warmth = WARMTH * COPPER_PER_KELVIN * random.normal();
            let ohms = |part: PartId| {
                let part = vehicle.part(part);
                let warm = if matches!(part.kind, PartKind::Cable { .. }) { warmth } else { 0.0 };
                part.resistance.value.0 * (part.spread * random.normal() + warm).exp()
            };
            let mut drawn =
                Drawn { ohms: order.iter().copied().map(ohms).collect(), emf: 12.6 * (1.0 + 0.025 * random.normal()) };
            // People compare with how this very lamp usually looks.
            let sound = drawn.volts_after(lamp - 1) - drawn.volts_after(lamp);
            match mode {
                FailureMode::OpenCircuit => drawn.ohms[place] = 1e9,
                FailureMode::HighResistance => drawn.ohms[place] += size,
                FailureMode::LowVoltage => drawn.emf -= size,
                FailureMode::Undersized => drawn.ohms[place] *= size,
                // More current from the lamp alone is as much less resistance.
                FailureMode::HighDraw | FailureMode::LowDraw => drawn.ohms[place] /= size,
                _ => {}
            }
            // P = k V²/R: at k of its current it makes as much as at √k of its volts.
            let output = match likely.fault.mode {
                FailureMode::LowDraw => size.sqrt(),
                FailureMode::HighDraw => 1.0,
                _ if place == lamp => 0.0,
                _ => 1.0,
            };
            let drawn_amps = (drawn.volts_after(lamp - 1) - drawn.volts_after(lamp)) / drawn.ohms[lamp];
            if drawn_amps > opens_at {
                // Dead, and another complaint.
                continue;
            }
            let across = output * (drawn.volts_after(lamp - 1) - drawn.volts_after(lamp));
            let (gain, offset) = (sheet.gain_deviation() * random.normal(), random.normal());
            let fits = bench.evidence.readings.iter().all(|reading| {
                let volts = |point: PointId| {
                    if point == vehicle.part(battery).from { 0.0 } else { drawn.volts_after(after(point)) }
                };
                let (red, black) = reading.probe.points(vehicle);
                let true_volts = volts(red) - volts(black) + 0.015 * random.normal();
                let shown = true_volts * (1.0 + gain) + offset * sheet.offset_deviation(Volts(true_volts)).0;
                (shown - reading.on_scale(&rates.instruments).0).abs() < WINDOW
            });
            // What makes the complaint hardly likelier than soundness does is no
            // explanation of it, here as there.
            let chance = |share: f64| appearance_chances(&rates.signs, LoadKind::Lamp, share)[appearance.index()];
            let explains = chance(across / sound) > 1.3 * chance(1.0) || across / sound < 0.9;
            if fits && explains {
                kept += chance(across / sound);
                squares += chance(across / sound).powi(2);
            }
        }
        let (weight, variance) = weights.entry(shows_at).or_insert((0.0, 0.0));
        let rate = engine.rate_of(fault);
        *weight += rate * kept;
        *variance += rate * rate * squares;
    }
    let total: f64 = weights.values().map(|(weight, _)| weight).sum();
    assert!(total > 300.0, "too few draws kept: {total}");
    weights.into_iter().map(|(part, (weight, variance))| (part, (weight / total, variance.sqrt() / total))).collect()
}

fn compare(appearance: Appearance, readings: &[(&str, &str, f64)]) {
    let bench = bench(appearance, readings);
    let belief = believed(&bench);
    // Counting draws one fault for each vehicle, so it is compared among faults.
    // Parts that cannot explain the complaint are not suspect at all.
    let suspect: Vec<PartId> =
        bench.vehicle.part_ids().filter(|&part| belief.probability(Site::Part(part)) > 0.0).collect();
    let faulty: f64 = suspect.iter().map(|&part| belief.probability(Site::Part(part))).sum();
    let counted = counted(&bench);
    let explained: f64 = suspect.iter().filter_map(|part| counted.get(part)).map(|(share, _)| share).sum();
    assert!(explained > 0.9, "{explained}");
    let mut different = Vec::new();
    for &part in &suspect {
        let (share, error) = counted.get(&part).copied().unwrap_or_default();
        let (ours, theirs) = (belief.probability(Site::Part(part)) / faulty, share / explained);
        let name = &bench.vehicle.part(part).name;
        println!("{name}: believed {ours:.3}, counted {theirs:.3} give or take {error:.3}");
        different.extend(((ours - theirs).abs() > 0.04 + 2.0 * error).then_some(name));
    }
    assert!(different.is_empty(), "{different:?}");
}

/// A plain voltage read with a cheap meter.
fn read(vehicle: &Vehicle, state: &State, red: &str, black: &str, volts: f64, step: Volts) -> Reading {
    let point = |name: &str| vehicle.find_point(name).expect("a point");
    Reading {
        channel: Channel::OnSite,
        probe: Probe::voltage(point(red), point(black)),
        measured: Measured::Volts(Typed { value: Volts(volts), step }),
        meter: MeterKind::Cheap,
        state: state.clone(),
        symptom: Symptom::Present,
        moment: 0,
        agreed: 0,
    }
}

#[test]
fn a_dead_lamp_before_any_reading() {
    compare(Appearance::Dead, &[]);
}

#[test]
fn a_weak_lamp_with_one_reading_in_the_middle() {
    compare(Appearance::Weak, &[("S.in", "B-", 11.90)]);
}

/// The two readings share battery and meter: taken as independent they would
/// clear what they do not clear.
#[test]
fn a_weak_lamp_with_two_readings_that_sag_together() {
    compare(Appearance::Weak, &[("F.in", "B-", 12.40), ("lamp+", "B-", 11.10)]);
}

/// A fault that comes and goes may have been away when the thing was seen to
/// work: that at most halves it, where it all but rules out one that stays.
#[test]
fn being_seen_to_work_does_not_clear_what_comes_and_goes() {
    let odds_rise = |sign: Sign| {
        let mut case = fresh("bench_board");
        let subject = case.vehicle().find_part("lampA").expect("lampA");
        let mut odds_after = |sign| {
            case.add(case.observed(subject, sign)).expect("it stands");
            let suspects = &case.assessment().belief.suspects;
            let nothing = suspects
                .iter()
                .find(|suspect| suspect.site == Site::Nothing)
                .map_or(0.0, |nothing| nothing.probability.value());
            nothing / (1.0 - nothing)
        };
        let before = odds_after(sign);
        odds_after(Sign::WORKS) / before
    };
    let comes_and_goes = odds_rise(Sign::Sometimes);
    assert!((1.2..2.2).contains(&comes_and_goes), "{comes_and_goes}");
    assert!(odds_rise(Sign::Looks(Appearance::Dead)) > 10.0);
}

/// An engine that has weighed other things before against one that has not: a
/// strip is tied to a battery, which no drawing shows, so the radio stays on.
#[test]
fn what_was_worked_out_before_moves_no_odds() {
    let case = fresh("sprayer_truck");
    let vehicle = case.vehicle();
    let rest = State::rest(vehicle);
    let read = [("XP", "XN", 12.08), ("K9.87", "BB-", 0.123), ("XP", "BB-", 12.09)]
        .map(|(red, black, volts)| read(vehicle, &rest, red, black, volts, Volts(0.001)));
    let believed = |engine: &Engine, sign: Sign, many: usize| {
        let subject = vehicle.find_part("radio").expect("a radio");
        let seen =
            Observation { subject, sign, state: rest.clone(), channel: Channel::OnSite, symptom: Symptom::Present };
        let evidence = Evidence { observations: vec![seen], readings: read[..many].to_vec(), ..Evidence::default() };
        engine.posterior(&evidence).expect("solvable")
    };
    let seasoned = case.engine();
    believed(seasoned, Sign::Glows, read.len());
    (0..read.len()).for_each(|many| drop(believed(seasoned, Sign::StaysOn, many)));
    let now = believed(seasoned, Sign::StaysOn, read.len());
    let unused = seasoned.on(Rc::clone(seasoned.vehicle()));
    let anew = believed(&unused, Sign::StaysOn, read.len());
    assert!(anew.undrawn_path().is_some(), "nothing undrawn was looked for");
    assert_eq!(now.explanations.len(), anew.explanations.len());
    for (now, anew) in now.explanations.iter().zip(&anew.explanations) {
        assert_eq!(now.hypothesis, anew.hypothesis);
        assert!((now.probability.value() - anew.probability.value()).abs() < 1e-9, "{:?}", now.hypothesis);
    }
}
