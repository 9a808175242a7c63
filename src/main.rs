//! Arguments and exit codes.

#[path = "main/trial.rs"]
mod trial;

use clap::{Parser, Subcommand};
use halfsplit::belief::Engine;
use halfsplit::case::Case;
use halfsplit::files::{Loaded, SAMPLES, built_in_rates, load, load_rates, sample};
use halfsplit::predict::{Predictor, check_drops};
use halfsplit::repl::{Ending, Form, OnFailure, Session, run_prompt, run_script};
use halfsplit::source::render;
use std::error::Error;
use std::io::{self, BufReader, IsTerminal, Write};
use std::process::ExitCode;
use std::rc::Rc;

/// Fault-finding for low-voltage DC accessory wiring in vehicles.
#[derive(Parser)]
#[command(version, args_conflicts_with_subcommands = true)]
struct Arguments {
    #[command(subcommand)]
    other: Option<Other>,
    /// Vehicle file (RON); without one, the built-in clinic van.
    vehicle: Option<String>,
    /// Open a built-in vehicle: clinic_van, sprayer_truck or bench_board.
    #[arg(long, value_name = "NAME", conflicts_with = "vehicle")]
    sample: Option<String>,
    /// Check the vehicle file, say what was found, and leave.
    #[arg(long)]
    check: bool,
    /// Run the lines of a file instead of the prompt.
    #[arg(long, value_name = "FILE")]
    script: Option<String>,
    /// End a script at the first line that is not understood.
    #[arg(long)]
    strict: bool,
    /// One JSON object per answer instead of text.
    #[arg(long)]
    machine: bool,
    /// Table of failure rates instead of the built-in one.
    #[arg(long, value_name = "FILE")]
    rates: Option<String>,
}

/// What else it can do.
#[derive(Subcommand)]
enum Other {
    Trial(trial::TrialArguments),
}

fn main() -> ExitCode {
    match run(&Arguments::parse()) {
        Ok(Ending::AllUnderstood) => ExitCode::SUCCESS,
        Ok(Ending::SomeFailed) => ExitCode::from(1),
        Err(error) if is_broken_pipe(&*error) => ExitCode::SUCCESS,
        Err(error) => {
            // Nobody may be left to read it.
            let _ = writeln!(io::stderr(), "{error}");
            ExitCode::from(2)
        }
    }
}

fn run(arguments: &Arguments) -> Result<Ending, Box<dyn Error>> {
    if let Some(Other::Trial(arguments)) = &arguments.other {
        return trial::trial(arguments);
    }
    let loaded = open(arguments.vehicle.as_deref(), arguments.sample.as_deref())?;
    let rates = arguments.rates.as_deref().map_or_else(built_in_rates, load_rates)?;
    let vehicle = Rc::new(loaded.vehicle);
    let mut warnings = loaded.warnings;
    warnings.extend(check_drops(&Predictor::new(Rc::clone(&vehicle))));
    let mut out = io::stdout();
    if arguments.check {
        for warning in &warnings {
            writeln!(out, "{}\n", render(&loaded.file, warning))?;
        }
        let plural = if warnings.len() == 1 { "" } else { "s" };
        writeln!(out, "{}: no errors, {} warning{plural}", loaded.file.path, warnings.len())?;
        return Ok(Ending::AllUnderstood);
    }
    let case = Case::new(Engine::new(vehicle, rates))?;
    let mut session = Session::new(case, loaded.file, warnings);
    let form = if arguments.machine { Form::Machine } else { Form::Text };
    let on_failure = if arguments.strict { OnFailure::Stop } else { OnFailure::GoOn };
    let mut complaints = io::stderr();
    match &arguments.script {
        Some(path) => {
            let file = std::fs::File::open(path).map_err(|error| format!("cannot read `{path}`: {error}"))?;
            Ok(run_script(&mut session, BufReader::new(file), form, on_failure, &mut out, &mut complaints)?)
        }
        None if io::stdin().is_terminal() => {
            run_prompt(&mut session, form, &mut out)?;
            Ok(Ending::AllUnderstood)
        }
        None => Ok(run_script(&mut session, io::stdin().lock(), form, on_failure, &mut out, &mut complaints)?),
    }
}

fn open(vehicle: Option<&str>, built_in: Option<&str>) -> Result<Loaded, Box<dyn Error>> {
    match (vehicle, built_in) {
        (Some(path), _) => Ok(load(path)?),
        (None, Some(name)) => {
            let known: Vec<&str> = SAMPLES.iter().map(|(name, _)| *name).collect();
            let found = sample(name);
            Ok(found.ok_or_else(|| format!("no built-in vehicle `{name}`; there are {}", known.join(", ")))??)
        }
        (None, None) => Ok(sample(SAMPLES[0].0).ok_or("this build has no sample")??),
    }
}

fn is_broken_pipe(error: &(dyn Error + 'static)) -> bool {
    error.downcast_ref::<io::Error>().is_some_and(|error| error.kind() == io::ErrorKind::BrokenPipe)
}
