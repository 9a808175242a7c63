//! `halfsplit trial`: thousands of simulated faults, and honest figures.

use super::named::{Named, one_of};
use super::progress::progress;
use super::vehicle::open;
use clap::Args;
use halfsplit::case::Case;
use halfsplit::files::{built_in_tables, load_tables};
use halfsplit::plan::walk::Scope;
use halfsplit::repl::Ending;
use halfsplit::tables::trial::Simulation;
use halfsplit::trial::{
    Bench, Conditions, Draw, LookedBefore, MeterQuality, Misreading, Options, Policy, Tails, WrongKind, habits, play,
    report, run, with_battery, with_panel,
};
use halfsplit::words::document::{WIDEST, on_screen};
use halfsplit::words::trial as words;
use std::error::Error;
use std::io::{self, Write};
use std::rc::Rc;

/// Format: the largest factor that can be given; the messages say so.
const MOST_FACTOR: f64 = 10.0;

/// Play simulated faults from complaint to answer and print how well it went.
#[derive(Args)]
pub struct TrialArguments {
    /// Vehicle file (RON); without one, the built-in clinic van.
    vehicle: Option<String>,
    /// Use a built-in vehicle: clinic_van, sprayer_truck or bench_board.
    #[arg(long, value_name = "NAME", conflicts_with = "vehicle")]
    sample: Option<String>,
    /// File that gives failure rates or other parameters in other figures.
    #[arg(long, value_name = "FILE")]
    rates: Option<String>,
    /// How many cases.
    #[arg(long, default_value_t = 2000)]
    cases: usize,
    /// Seed of the trial; the same seed gives the same figures.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Draw evenly instead of by rate: every fault as often, or every kind of part
    /// as often and of each every way to fail.
    #[arg(
        long, value_parser = one_of(&EVENLY), value_name = "OVER", num_args = 0..=1, require_equals = true, default_missing_value = "faults"
    )]
    evenly: Option<Draw>,
    /// What is wrong in every case.
    #[arg(long, value_parser = one_of(&WRONG), default_value = "one-part", value_name = "WHAT")]
    wrong: WrongKind,
    /// Spread of real parts, as a multiple of the assumed one; as the tables have
    /// it if not said.
    #[arg(long, value_name = "FACTOR")]
    spread: Option<f64>,
    /// The same for supply voltages.
    #[arg(long, value_name = "FACTOR")]
    supplies: Option<f64>,
    /// Real parts from Student's t with 4 degrees of freedom.
    #[arg(long)]
    heavy_tails: bool,
    /// Lengths and sizes of the drawing are guesses within this factor, as those
    /// of a sketch are within two.
    #[arg(long, value_name = "FACTOR")]
    guessed: Option<f64>,
    /// Share of readings that are misread; as the tables have it if not said.
    #[arg(long, value_name = "SHARE")]
    misreads: Option<f64>,
    /// Exactly one reading of each case is misread.
    #[arg(long, conflicts_with = "misreads")]
    one_misread: bool,
    /// Share of cases in which the drawing has something otherwise besides the
    /// fault: a longer cable, a bigger load, swapped feeds, a splice, a return.
    #[arg(long, default_value_t = 0.0, value_name = "SHARE")]
    departures: f64,
    /// The vehicle's own instruments are read several times before anything else; a
    /// vehicle without any is given a battery monitor.
    #[arg(long)]
    panel: bool,
    /// Nobody complains: somebody takes the short walk of the handover and reads again
    /// what is doubted. Faults that move a reading by four deviations; right is who
    /// sees that something is amiss or has such a reading taken again, and with nothing
    /// wrong who sees nothing amiss.
    #[arg(long)]
    look_over: bool,
    /// Some points were read the same day, before the fault: the record says so, or
    /// does not.
    #[arg(long, value_parser = one_of(&RECORDS), value_name = "RECORD")]
    looked_before: Option<LookedBefore>,
    /// Share of points that turn out to be out of reach.
    #[arg(long, default_value_t = 0.0, value_name = "SHARE")]
    blocked: f64,
    /// Parts as drawn, a perfect meter, nothing mistaken.
    #[arg(long, conflicts_with_all = ["spread", "supplies", "heavy_tails", "misreads", "one_misread", "departures", "blocked"])]
    noise_free: bool,
    /// Who plays; all of them if not said. May be given several times.
    #[arg(long = "policy", value_parser = one_of(&POLICIES), value_name = "POLICY")]
    policies: Vec<Policy>,
    /// Play every case a second time with what was read of its vehicle at
    /// handover, on the short walk or on all of it, and print the difference.
    #[arg(long, value_parser = one_of(&WALKS), value_name = "WALK", num_args = 0..=1, default_missing_value = "short", conflicts_with = "replay")]
    baseline: Option<Scope>,
    /// Also how the tool advised, held against how a skilled man works.
    #[arg(long)]
    habits: bool,
    /// Threads.
    #[arg(long, default_value_t = std::thread::available_parallelism().map_or(1, usize::from))]
    threads: usize,
    /// One JSON object instead of tables.
    #[arg(long)]
    machine: bool,
    /// Show the one case of this seed as a session.
    #[arg(long, value_name = "SEED")]
    replay: Option<u64>,
}

const WRONG: [Named<WrongKind>; 12] = [
    ("one-part", "One part", WrongKind::OnePart),
    ("resistance", "One part that has gained resistance", WrongKind::Resistance),
    ("faint", "One part that has gained so little that hardly anybody notices", WrongKind::Faint),
    ("two-parts", "Two parts at once", WrongKind::TwoParts),
    ("drawing", "The drawing: it has something otherwise", WrongKind::Drawing),
    ("path", "The drawing: there is a path that it does not show", WrongKind::Path),
    ("draws", "A load that draws too little or too much", WrongKind::Draws),
    ("drain", "A battery drained at rest by 20 mA to 2 A", WrongKind::Drain),
    ("instrument", "An instrument that the vehicle carries; nobody complains of anything else", WrongKind::Instrument),
    ("swapped", "Two feeds that have changed places, and one of them open", WrongKind::Swapped),
    ("nothing", "Nothing: a look over a vehicle that is well", WrongKind::Nothing),
    ("behind", "One part behind an inverter, a charger or a converter", WrongKind::Behind),
];

const EVENLY: [Named<Draw>; 2] = [
    ("faults", "Every fault as often", Draw::Evenly),
    ("kinds", "Every kind of part as often, of each every way to fail, of those every part", Draw::ByKind),
];

const RECORDS: [Named<LookedBefore>; 2] =
    [("tagged", "", LookedBefore::Tagged), ("untagged", "", LookedBefore::Untagged)];

const WALKS: [Named<Scope>; 2] = [("short", "", Scope::Short), ("all", "", Scope::All)];

const POLICIES: [Named<Policy>; 4] = [
    ("ours", "", Policy::Ours),
    ("walk", "", Policy::Walk),
    ("half-split", "", Policy::HalfSplit),
    ("half-split-by-rate", "", Policy::HalfSplitByRate),
];

impl TrialArguments {
    fn options(&self, figures: &Simulation) -> Options {
        let draw = self.evenly.unwrap_or(Draw::ByRate);
        let misreads = match (self.one_misread, self.misreads) {
            (true, _) => Misreading::OneInEach,
            (false, share) => Misreading::Share(share.unwrap_or(figures.misreads)),
        };
        let look_over = self.look_over || self.wrong == WrongKind::Nothing;
        let conditions = if self.noise_free {
            let noise_free = Conditions::noise_free(figures);
            Conditions { draw, wrong: self.wrong, panel: self.panel, look_over, ..noise_free }
        } else {
            let usual = Conditions::usual(figures);
            Conditions {
                draw,
                wrong: self.wrong,
                spread: self.spread.unwrap_or(usual.spread),
                supplies: self.supplies.unwrap_or(usual.supplies),
                tails: if self.heavy_tails { Tails::Heavy } else { Tails::Usual },
                misreads,
                departures: self.departures,
                looked_before: self.looked_before.unwrap_or(LookedBefore::No),
                blocked: self.blocked,
                instrument: MeterQuality::Real,
                panel: self.panel,
                look_over,
            }
        };
        Options {
            cases: self.cases,
            seed: self.seed,
            conditions,
            policies: if self.policies.is_empty() { Policy::ALL.to_vec() } else { self.policies.clone() },
            baseline: self.baseline,
            threads: self.threads.max(1),
        }
    }
}

/// Runs it.
pub fn trial(arguments: &TrialArguments) -> Result<Ending, Box<dyn Error>> {
    let factors = [arguments.spread, arguments.supplies];
    let shares = [arguments.misreads, Some(arguments.blocked), Some(arguments.departures)];
    if !factors.iter().flatten().all(|factor| (0.0..=MOST_FACTOR).contains(factor)) {
        return Err("`--spread` and `--supplies` go from 0 to 10".into());
    }
    if !shares.iter().flatten().all(|share| (0.0..=1.0).contains(share)) {
        return Err("`--misreads`, `--blocked` and `--departures` go from 0 to 1".into());
    }
    let mut vehicle = open(arguments.vehicle.as_deref(), arguments.sample.as_deref())?.vehicle;
    if let Some(factor) = arguments.guessed {
        if !(1.0..=MOST_FACTOR).contains(&factor) {
            return Err("`--guessed` goes from 1 to 10".into());
        }
        // Two deviations either way.
        let spread = factor.ln() / 2.0;
        vehicle.parts.iter_mut().for_each(|part| part.spread = part.spread.max(spread));
    }
    if arguments.panel || arguments.wrong == WrongKind::Instrument {
        vehicle = with_panel(vehicle);
    }
    if arguments.wrong == WrongKind::Drain {
        vehicle = with_battery(vehicle);
    }
    let tables = arguments.rates.as_deref().map_or_else(built_in_tables, load_tables)?;
    let options = arguments.options(&tables.trial);
    let mut out = io::stdout();
    if let Some(seed) = arguments.replay {
        let bench = Bench::new(vehicle, tables);
        let outcome = play(&bench, &options, seed)?;
        let case = Case::new(Rc::clone(bench.engine()))?;
        writeln!(out, "{}", on_screen(&words::replayed(case, &outcome, &options.policies)?, WIDEST))?;
        return Ok(Ending::AllUnderstood);
    }
    let bar = progress(options.cases as u64);
    let outcomes = run(&vehicle, &tables, &options, || bar.inc(1))?;
    bar.finish_and_clear();
    let figures = report(&outcomes, &options.policies, vehicle.parts.len());
    if arguments.machine {
        writeln!(out, "{}", words::machine(&vehicle, &options.conditions, options.seed, &figures, &outcomes))?;
    } else {
        writeln!(out, "{}", on_screen(&words::report(&vehicle, &figures, &outcomes), WIDEST))?;
    }
    if arguments.habits {
        let bench = Bench::new(vehicle, tables);
        writeln!(out, "\n{}", on_screen(&words::habits(&habits(bench.engine(), &outcomes)?), WIDEST))?;
    }
    Ok(Ending::AllUnderstood)
}
