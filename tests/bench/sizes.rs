//! How the tool keeps up as vehicles grow: `cargo bench --bench sizes`.
//!
//! Whole procedures on simulated faults; every entry is timed from the moment
//! it is made to the moment the answer stands (belief, segment, next test). One
//! process for each vehicle, so that its peak memory is its own. Last, a sweep
//! of faults against one process of ngspice that changes the value and solves
//! again.

mod generate;
mod netlist;

use generate::vehicle_text;
use halfsplit::belief::{Appearance, Engine, Sign, Symptom};
use halfsplit::case::{Case, Entry};
use halfsplit::fault::{FailureMode, Fault, alteration};
use halfsplit::files::{SAMPLES, built_in_tables, parse, sample};
use halfsplit::network::{Law, network_of, solve};
use halfsplit::plan::{Next, OutcomeSeen, Test};
use halfsplit::predict::{Predictor, Scale, check_drops};
use halfsplit::quantity::{Measured, Typed, Volts};
use halfsplit::source::SourceFile;
use halfsplit::trial::{Bench, Conditions, Options, Policy, play};
use halfsplit::vehicle::{PartId, Position, State, Vehicle};
use netlist::netlist;
use std::fmt::Write as _;
use std::io::Write as _;
use std::process::{Command, Stdio};
use std::rc::Rc;
use std::time::{Duration, Instant};

/// Generated vehicles measured, by parts.
const SIZES: [usize; 4] = [300, 1000, 2000, 5000];
/// Cases for each vehicle, at most, and time after which no further one starts.
const CASES: u64 = 100;
const PATIENCE: Duration = Duration::from_secs(60);
/// Seed of the generated vehicles.
const SEED: u64 = 1;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|argument| argument != "--bench").collect();
    match arguments.first().map(String::as_str) {
        Some("vehicle") => vehicle_row(arguments.get(1).expect("a vehicle")),
        Some("sweep") => sweep(),
        // For profiling: the made-up vehicle as a file.
        Some("text") => println!("{}", text_of(arguments.get(1).expect("a number of parts"))),
        _ => {
            println!(
                "{:>12} {:>6} {:>6} {:>8} {:>9} {:>9} {:>9} {:>10} {:>10} {:>8}",
                "vehicle",
                "parts",
                "cases",
                "open ms",
                "median ms",
                "99th ms",
                "worst ms",
                "compl. ms",
                "c. 99th ms",
                "peak MB"
            );
            let own = std::env::current_exe().expect("this program");
            let run = |arguments: &[&str]| {
                let status = Command::new(&own).args(arguments).status().expect("it runs");
                assert!(status.success(), "{arguments:?}: {status}");
            };
            SAMPLES.iter().for_each(|(name, _)| run(&["vehicle", name]));
            SIZES.iter().for_each(|size| run(&["vehicle", &size.to_string()]));
            run(&["sweep"]);
        }
    }
}

fn text_of(name: &str) -> String {
    match name.parse() {
        Ok(parts) => vehicle_text(SEED, parts),
        Err(_) => sample(name).expect("a sample").expect("a good one").file.text,
    }
}

fn read(name: &str, text: String) -> Vehicle {
    parse(SourceFile::new(name.to_string(), text)).unwrap_or_else(|error| panic!("{error}")).vehicle
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

/// One vehicle: opening it, and answers in its cases.
fn vehicle_row(name: &str) {
    let text = text_of(name);
    let mut opening: Vec<f64> = (0..5)
        .map(|_| {
            let start = Instant::now();
            let vehicle = Rc::new(read(name, text.clone()));
            check_drops(&Predictor::new(Rc::clone(&vehicle), built_in_tables().expect("tables")));
            let rates = built_in_tables().expect("rates");
            Case::new(Engine::new(vehicle, rates)).expect("solvable");
            ms(start.elapsed())
        })
        .collect();
    opening.sort_by(f64::total_cmp);
    let vehicle = read(name, text);
    one_session(&vehicle);
    // Before the trial's own bench takes room.
    let peak = peak_megabytes();
    let conditions = Conditions::usual(&built_in_tables().expect("tables").trial);
    let options = Options { cases: 0, seed: 0, conditions, policies: vec![Policy::Ours], baseline: None, threads: 1 };
    let (mut readings, mut complaints) = (Vec::new(), Vec::new());
    let (start, mut cases) = (Instant::now(), 0);
    while cases < CASES && start.elapsed() < PATIENCE {
        let bench = Bench::new(vehicle.clone(), built_in_tables().expect("rates"));
        let outcome = play(&bench, &options, cases).expect("solvable");
        cases += 1;
        let Some(Some(played)) = outcome.played.first() else { continue };
        let engine = Engine::new(Rc::new(vehicle.clone()), built_in_tables().expect("rates"));
        let mut case = Case::new(engine).expect("solvable");
        for (index, entry) in played.entries.iter().enumerate() {
            let start = Instant::now();
            case.add(entry.clone()).expect("it stood before");
            let time = ms(start.elapsed());
            match (index, entry) {
                (0, _) => complaints.push(time),
                (_, Entry::Read { .. } | Entry::Retake { .. } | Entry::Observe { .. }) => readings.push(time),
                _ => {}
            }
        }
    }
    readings.sort_by(f64::total_cmp);
    complaints.sort_by(f64::total_cmp);
    println!(
        "{name:>12} {:>6} {cases:>6} {:>8.1} {:>9.2} {:>9.2} {:>9.2} {:>10.2} {:>10.2} {:>8.0}",
        vehicle.parts.len(),
        opening[opening.len() / 2],
        at(&readings, 0.5),
        at(&readings, 0.99),
        at(&readings, 1.0),
        at(&complaints, 0.5),
        at(&complaints, 0.99),
        peak
    );
}

/// A complaint and five advised tests, each with its likeliest outcome.
fn one_session(vehicle: &Vehicle) {
    let engine = Engine::new(Rc::new(vehicle.clone()), built_in_tables().expect("rates"));
    let mut case = Case::new(engine).expect("solvable");
    let loads: Vec<PartId> = vehicle.loads().collect();
    let (subject, sign) = (loads[loads.len() / 2], Sign::Looks(Appearance::Dead));
    let settings = case.settings_for_sign(subject, sign);
    case.add(Entry::Observe { settings, subject, sign }).expect("it stands");
    for _ in 0..5 {
        let Next::Test(advice) = case.assessment().next.clone() else { break };
        let settings = advice.settings;
        let entry = match (advice.test, advice.outcomes[0].seen) {
            (Test::Measure(probe), OutcomeSeen::Reads(range)) if range.scale == Scale::Volts => {
                let middle = Volts(0.5 * (range.low + range.high));
                let measured = Measured::Volts(Typed { value: middle, step: Volts(0.001) });
                Entry::Read { settings, probe, measured, symptom: Symptom::Present }
            }
            (Test::Sense { subject, .. }, OutcomeSeen::Sign(sign)) => Entry::Observe { settings, subject, sign },
            _ => break,
        };
        case.add(entry).expect("it stands");
    }
}

/// A percentile of sorted values, the nearest at or above it.
fn at(sorted: &[f64], share: f64) -> f64 {
    let rank = (share * sorted.len() as f64).ceil() as usize;
    sorted.get(rank.max(1) - 1).copied().unwrap_or(f64::NAN)
}

/// Peak resident memory of this process; no number where the system tells none.
fn peak_megabytes() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes = line.and_then(|rest| rest.split_whitespace().next()).and_then(|word| word.parse::<f64>().ok());
    kilobytes.map_or(f64::NAN, |kilobytes| kilobytes / 1024.0)
}

/// Sizes of added resistance swept, Ω.
const STEPS: [f64; 12] = [0.002, 0.005, 0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 100.0, 1e3, 1e4];
/// Parts of the sweep that the simulator is given; it is timed by one solve.
const GIVEN: usize = 10;

/// Every third control on: all at once would open the main fuse.
fn busy(vehicle: &Vehicle) -> State {
    let on: Vec<_> = vehicle.control_ids().step_by(3).map(|control| (control, Position::On)).collect();
    State::rest(vehicle).with_all(&on)
}

/// Every part of 1,000 with added resistance of twelve sizes: volts at every
/// point, here and by ngspice.
fn sweep() {
    let vehicle = read("1000", vehicle_text(SEED, 1000));
    let state = busy(&vehicle);
    let network = network_of(&vehicle, &state);
    let points = network.points;
    let start = Instant::now();
    let solution = Rc::new(solve(network.clone()).expect("solvable"));
    let blown = (0..network.branches.len()).filter(|&branch| solution.is_blown(branch)).count();
    assert_eq!(blown, 0, "fuses open, which the simulator does not know");
    let black = vehicle.black.index();
    let tables = built_in_tables().expect("tables");
    let volts_with = |part: usize, size: f64| -> Vec<f64> {
        let fault = Fault::new(PartId::new(part), FailureMode::HighResistance);
        let altered =
            solution.altered(&alteration(&tables.faults, &vehicle, &state, &network, fault, size)).expect("solvable");
        altered.against(black)
    };
    let mut sum = 0.0;
    for part in 0..vehicle.parts.len() {
        for size in STEPS {
            sum += volts_with(part, size)[points / 2];
        }
    }
    let ours = start.elapsed().as_secs_f64();
    let solves = vehicle.parts.len() * STEPS.len();
    println!(
        "\nsweep: {} faults x {} sizes at {points} points: {ours:.2} s, {:.1} us each (sum {sum:.3})",
        vehicle.parts.len(),
        STEPS.len(),
        ours / solves as f64 * 1e6
    );
    if Command::new("ngspice").arg("--version").stdout(Stdio::null()).status().is_err() {
        println!("ngspice is not installed: nothing to compare with");
        return;
    }
    let resistors: Vec<usize> = (0..network.branches.len())
        .filter(|&index| matches!(network.branches[index].law, Law::Resistor(_) | Law::Fuse { .. }))
        .collect();
    let given: Vec<usize> = resistors.iter().copied().step_by((resistors.len() / GIVEN).max(1)).take(GIVEN).collect();
    let (bare, _) = ngspice(&vehicle, &given[..1], &STEPS[..1], Printing::None);
    let (all, _) = ngspice(&vehicle, &given, &STEPS, Printing::None);
    let each = (all - bare) / (given.len() * STEPS.len() - 1) as f64;
    let (_, printed) = ngspice(&vehicle, &given, &STEPS, Printing::All);
    let (mut worst, mut most) = (0.0f64, 0.0f64);
    let sound = volts_with(given[0], 0.0);
    for (index, table) in printed.iter().enumerate() {
        let ours = volts_with(given[index / STEPS.len()], STEPS[index % STEPS.len()]);
        for &(point, volts) in table {
            worst = worst.max((ours[point] - volts).abs());
            most = most.max((volts - sound[point]).abs());
        }
    }
    println!(
        "ngspice: {:.2} ms each by changing the value and solving again ({:.0} times as long; {:.0} s for all); \
         furthest apart {:.4} mV at {} voltages, which the faults move by up to {most:.2} V",
        each * 1e3,
        each * solves as f64 / ours,
        each * solves as f64,
        worst * 1e3,
        printed.iter().map(Vec::len).sum::<usize>()
    );
}

#[derive(Clone, Copy, PartialEq)]
enum Printing {
    None,
    All,
}

/// One process that changes and solves again for each; seconds, and what it
/// printed for each as (point, V).
fn ngspice(vehicle: &Vehicle, parts: &[usize], sizes: &[f64], printing: Printing) -> (f64, Vec<Vec<(usize, f64)>>) {
    let network = network_of(vehicle, &busy(vehicle));
    let mut text = netlist("sweep", &network) + ".control\nset numdgt=12\n";
    for &part in parts {
        let (Law::Resistor(conductance) | Law::Fuse { conductance, .. }) = &network.branches[part].law else {
            continue;
        };
        let sound = 1.0 / conductance.0;
        for size in sizes {
            // Writing to a String cannot fail.
            let _ = write!(text, "alter R{part} = {:e}\nop\n", sound + size);
            text += if printing == Printing::All { "echo next\nprint all\n" } else { "" };
            text += "destroy all\n";
        }
        let _ = writeln!(text, "alter R{part} = {sound:e}");
    }
    text += "quit\n.endc\n.end\n";
    let start = Instant::now();
    let mut running = Command::new("ngspice")
        .args(["-n", "-b"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("ngspice starts");
    running.stdin.take().expect("a pipe").write_all(text.as_bytes()).expect("ngspice reads its input");
    let output = running.wait_with_output().expect("ngspice ends");
    let seconds = start.elapsed().as_secs_f64();
    let printed = String::from_utf8_lossy(&output.stdout);
    let node = |line: &str| -> Option<(usize, f64)> {
        let (name, value) = line.split_once('=')?;
        let node: usize = name.trim().strip_prefix("v(")?.strip_suffix(')')?.parse().ok()?;
        Some((node.checked_sub(1)?, value.trim().parse().ok()?)).filter(|(point, _)| *point < network.points)
    };
    (seconds, printed.split("next\n").skip(1).map(|table| table.lines().filter_map(node).collect()).collect())
}
