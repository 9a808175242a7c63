//! `halfsplit review`: is a vehicle built right, and how long does a fault take to find?

use super::progress::progress;
use super::vehicle::open;
use clap::Args;
use halfsplit::files::{built_in_tables, load_tables};
use halfsplit::predict::Predictor;
use halfsplit::quantity::PERCENT;
use halfsplit::repl::Ending;
use halfsplit::review::{
    Faults, Rehearsal, Use, as_built, proposals as proposed, running_loads, testability as tested,
};
use halfsplit::source::nearest;
use halfsplit::vehicle::Vehicle;
use halfsplit::words::document::{WIDEST, on_screen};
use halfsplit::words::{
    built, built_machine, nearest_hint, proposals, proposals_machine, testability, testability_machine,
};
use std::error::Error;
use std::io::{self, Write};
use std::rc::Rc;

/// Look a build over: single parts that much hangs on, shared returns, protection,
/// volts lost, reserve, and how long a fault takes to find.
#[derive(Args)]
pub struct ReviewArguments {
    /// Vehicle file (RON); without one, the built-in clinic van.
    vehicle: Option<String>,
    /// Use a built-in vehicle: clinic_van, sprayer_truck or bench_board.
    #[arg(long, value_name = "NAME", conflicts_with = "vehicle")]
    sample: Option<String>,
    /// A load in use, for the hours of reserve, with the share of the time:
    /// `fridge:40` is 40 %, `lamp` all the time. May be given several times.
    #[arg(long = "use", value_name = "LOAD[:PERCENT]")]
    uses: Vec<String>,
    /// Simulated faults for each circuit, at most; 0 for none.
    #[arg(long, value_name = "COUNT")]
    cases: Option<usize>,
    /// Also try what would make faults quicker to find, by planning again on the
    /// changed vehicle; that takes several times as long.
    #[arg(long)]
    proposals: bool,
    /// Seed of the faults; the same seed gives the same figures.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Threads.
    #[arg(long, default_value_t = std::thread::available_parallelism().map_or(1, usize::from))]
    threads: usize,
    /// File that gives failure rates or other parameters in other figures.
    #[arg(long, value_name = "FILE")]
    rates: Option<String>,
    /// One JSON object instead of text.
    #[arg(long)]
    machine: bool,
}

/// Looks it over and says what was found.
pub fn review(arguments: &ReviewArguments) -> Result<Ending, Box<dyn Error>> {
    let vehicle = Rc::new(open(arguments.vehicle.as_deref(), arguments.sample.as_deref())?.vehicle);
    let tables = arguments.rates.as_deref().map_or_else(built_in_tables, load_tables)?;
    let uses = arguments.uses.iter().map(|text| in_use(&vehicle, text)).collect::<Result<Vec<_>, _>>()?;
    let predictor = Predictor::new(Rc::clone(&vehicle), Rc::clone(&tables));
    if arguments.proposals && arguments.cases == Some(0) {
        return Err("`--proposals` needs simulated faults: leave `--cases 0` out".into());
    }
    let found = as_built(&predictor, &uses)?;
    let rehearsal = Rehearsal {
        cases: arguments.cases.unwrap_or(tables.review.cases),
        seed: arguments.seed,
        threads: arguments.threads.max(1),
    };
    let mut values = built_machine(&vehicle, &found);
    let mut blocks = built(&vehicle, &tables.review, &found);
    if rehearsal.cases > 0 {
        let bar = progress(rehearsal.most(found.circuits) as u64);
        let running = running_loads(&predictor)?;
        let faults = Faults::draw(&vehicle, &tables, &running, rehearsal)?;
        let found_in = tested(&faults, || bar.inc(1))?;
        bar.finish_and_clear();
        values["testability"] = testability_machine(&vehicle, rehearsal, &found_in);
        blocks.extend(testability(&vehicle, rehearsal, &found_in));
        if arguments.proposals {
            let proposed = proposed(&tables.review, &faults, &running, &found_in)?;
            values["proposals"] = proposals_machine(&vehicle, &proposed);
            blocks.extend(proposals(&vehicle, &tables.review, &proposed));
        }
    }
    let mut out = io::stdout();
    match arguments.machine {
        true => writeln!(out, "{values}")?,
        false => writeln!(out, "{}", on_screen(&blocks, WIDEST))?,
    }
    Ok(Ending::AllUnderstood)
}

/// A load and its share of the time.
fn in_use(vehicle: &Vehicle, text: &str) -> Result<Use, String> {
    let (name, percent) = match text.rsplit_once(':') {
        Some((name, percent)) => (name, percent.trim_end_matches(['%', ' ']).parse::<f64>().ok()),
        None => (text, Some(PERCENT)),
    };
    let percent = percent.filter(|percent| (0.0..=PERCENT).contains(percent));
    let percent =
        percent.ok_or_else(|| format!("`--use {text}`: the share goes from 0 to 100 %, such as `{name}:40`"))?;
    let load = vehicle.find_part(name).filter(|&part| vehicle.part(part).kind.is_load());
    let load = load.ok_or_else(|| {
        let known = vehicle.loads().map(|load| vehicle.part(load).name.as_str());
        format!("`--use {text}`: no load is called `{name}`{}", nearest_hint(nearest(name, known)))
    })?;
    Ok(Use { load, share: percent / PERCENT })
}
