//! Arguments and exit codes.

#[path = "main/check.rs"]
mod check;
#[path = "main/compare.rs"]
mod compare;
#[path = "main/conversation.rs"]
mod conversation;
#[path = "main/format.rs"]
mod format;
#[path = "main/lesson.rs"]
mod lesson;
#[path = "main/named.rs"]
mod named;
#[path = "main/new.rs"]
mod new;
#[path = "main/progress.rs"]
mod progress;
#[path = "main/reference.rs"]
mod reference;
#[path = "main/review.rs"]
mod review;
#[path = "main/size.rs"]
mod size;
#[path = "main/trial.rs"]
mod trial;
#[path = "main/vehicle.rs"]
mod vehicle;

use clap::{Parser, Subcommand};
use conversation::converse;
use halfsplit::belief::Engine;
use halfsplit::case::Case;
use halfsplit::case::journal::{Access, CASES, Clock, Shelf};
use halfsplit::complaint::{Channel, built_in_trees, trees_with};
use halfsplit::files::{built_in_tables, load_tables};
use halfsplit::findings::findings;
use halfsplit::predict::Predictor;
use halfsplit::repl::{Beginning, Ending, Form, OnFailure, Session, Understanding};
use halfsplit::source::render;
use halfsplit::words::document::{Block, USUAL, on_screen};
use halfsplit::words::{set_aside as set_aside_said, standards};
use std::error::Error;
use std::io::{self, IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;
use std::rc::Rc;
use vehicle::open;

/// Small, and gone as soon as the sketch is there.
const SKETCHED_OVER: &str = "bench_board";

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
    /// No drawing: make a vehicle of usual parts from one line in current-flow
    /// order, such as "battery 12 V, fuse 15 A, switch, lamp 55 W, chassis";
    /// without a line, by a few questions.
    #[arg(long, value_name = "LINE", num_args = 0..=1, default_missing_value = "", conflicts_with_all = ["vehicle", "sample", "case", "check"])]
    sketch: Option<String>,
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
    /// Begin a case of this name, or go on with it: every entry is kept in
    /// `cases/` beside the vehicle file.
    #[arg(long, value_name = "NAME")]
    case: Option<String>,
    /// Look at the case without entering anything.
    #[arg(long, requires = "case")]
    read_only: bool,
    /// Keep nothing unless told to.
    #[arg(long, conflicts_with = "case")]
    no_case: bool,
    /// Leave the readings at handover out of account.
    #[arg(long)]
    no_handover: bool,
    /// Leave past cases out of account.
    #[arg(long)]
    no_history: bool,
    /// A folder with vehicles of the kind: their past cases count a little.
    #[arg(long, value_name = "FOLDER")]
    fleet: Option<String>,
    /// Who enters; otherwise the name of the user.
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// File that gives failure rates or other parameters in other figures.
    #[arg(long, value_name = "FILE")]
    rates: Option<String>,
    /// Folder of complaint trees of one's own, which add to the built-in ones
    /// or replace those of the same class.
    #[arg(long, value_name = "FOLDER")]
    trees: Option<String>,
    /// No colour, no drawn lines; `NO_COLOR` and `TERM=dumb` do the same.
    #[arg(long)]
    plain: bool,
    /// Help somebody by phone: one plain instruction at a time.
    #[arg(long)]
    phone: bool,
}

/// What else it can do.
#[derive(Subcommand)]
enum Other {
    Trial(Box<trial::TrialArguments>),
    Check(check::CheckArguments),
    New(new::NewArguments),
    Format(format::FormatArguments),
    Reference(reference::ReferenceArguments),
    Lesson(Box<lesson::LessonArguments>),
    /// List the lessons of the ready course.
    Course,
    Class(lesson::ClassArguments),
    Review(review::ReviewArguments),
    Compare(compare::CompareArguments),
    Size(size::SizeArguments),
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
    match &arguments.other {
        Some(Other::Trial(arguments)) => return trial::trial(arguments),
        Some(Other::Check(arguments)) => return check::check(arguments),
        Some(Other::New(arguments)) => return new::new(arguments),
        Some(Other::Format(arguments)) => return format::format(arguments),
        Some(Other::Reference(arguments)) => return reference::reference(arguments),
        Some(Other::Lesson(arguments)) => return lesson::lesson(arguments),
        Some(Other::Course) => return lesson::list(),
        Some(Other::Class(arguments)) => return lesson::show_class(arguments),
        Some(Other::Review(arguments)) => return review::review(arguments),
        Some(Other::Compare(arguments)) => return compare::compare(arguments),
        Some(Other::Size(arguments)) => return size::size(arguments),
        None => {}
    }
    // What is sketched replaces whatever vehicle the session begins with.
    let begins_with = arguments.sketch.as_ref().map(|_| SKETCHED_OVER).or(arguments.sample.as_deref());
    let loaded = open(arguments.vehicle.as_deref(), begins_with)?;
    let tables = arguments.rates.as_deref().map_or_else(built_in_tables, load_tables)?;
    let vehicle = Rc::new(loaded.vehicle);
    let mut warnings = loaded.warnings;
    warnings.extend(findings(&Predictor::new(Rc::clone(&vehicle), Rc::clone(&tables))));
    let mut out = io::stdout();
    if arguments.check {
        for warning in &warnings {
            writeln!(out, "{}\n", render(&loaded.file, warning))?;
        }
        if let Some(said) = standards(&warnings) {
            writeln!(out, "{said}\n")?;
        }
        let plural = if warnings.len() == 1 { "" } else { "s" };
        writeln!(out, "{}: no errors, {} warning{plural}", loaded.file.path, warnings.len())?;
        return Ok(Ending::AllUnderstood);
    }
    let trees =
        Rc::new(arguments.trees.as_deref().map_or_else(built_in_trees, |folder| trees_with(Path::new(folder)))?);
    let case = Case::new(Engine::new(vehicle, tables).with_trees(trees))?;
    let shelf = shelf(arguments, &loaded.file.path)?;
    let session = Session::new(case, loaded.file, warnings);
    let mut session = match arguments.sketch {
        Some(_) => session.with_shelf_once_saved(shelf),
        None => session.with_shelf(shelf, beginning(arguments)),
    };
    if !arguments.no_history {
        session.heed_history(arguments.fleet.as_deref().map(Path::new))?;
    }
    let known = match arguments.no_handover {
        true => None,
        false => session.heed_handover()?,
    };
    let opening = match &arguments.sketch {
        Some(line) => sketched(&mut session, line)?,
        None => open_case(arguments, &mut session)?,
    };
    let opening: Vec<Block> = known.into_iter().chain(opening).collect();
    if arguments.phone && session.case().standing().channel == Channel::OnSite {
        session.help_by_phone()?;
    }
    let form = if arguments.machine { Form::Machine } else { Form::Text };
    let on_failure = if arguments.strict { OnFailure::Stop } else { OnFailure::GoOn };
    if arguments.reads_lines() && !opening.is_empty() {
        writeln!(io::stderr(), "{}", on_screen(&opening, USUAL))?;
    }
    converse(&mut session, arguments.script.as_deref(), form, on_failure, arguments.plain, &opening)
}

impl Arguments {
    /// Whether lines come from a file or a pipe.
    fn reads_lines(&self) -> bool {
        self.script.is_some() || !io::stdin().is_terminal()
    }
}

/// Begins with a sketch, or with the first question for one.
fn sketched(session: &mut Session, line: &str) -> Result<Vec<Block>, Box<dyn Error>> {
    let reply = session.handle(&format!("sketch {line}"));
    if reply.outcome == Understanding::Failed { Err(reply.text(USUAL).into()) } else { Ok(reply.screen) }
}

/// Where the cases of this vehicle are, and who writes in them.
fn shelf(arguments: &Arguments, vehicle_file: &str) -> Result<Shelf, Box<dyn Error>> {
    let beside = arguments.vehicle.as_deref().and_then(|path| Path::new(path).parent());
    let folder = beside.unwrap_or(Path::new("")).join(CASES);
    let user = || ["USER", "USERNAME"].iter().find_map(|name| std::env::var(name).ok());
    let by = arguments.by.clone().or_else(user).unwrap_or_default();
    let file = Path::new(vehicle_file).file_name().map_or(vehicle_file.into(), |name| name.to_string_lossy());
    Ok(Shelf::new(folder, file.into_owned(), by, Clock::from_environment()?))
}

/// A vehicle of one's own at a terminal is kept without being asked; a sample
/// is for trying things out, and a script says itself what it wants.
fn beginning(arguments: &Arguments) -> Beginning {
    match arguments.vehicle.is_some() && !arguments.reads_lines() && !arguments.no_case {
        true => Beginning::WithFirstEntry,
        false => Beginning::WhenTold,
    }
}

/// Opens the case that was asked for. What is said of it goes to a terminal;
/// of a script's only what does not count.
fn open_case(arguments: &Arguments, session: &mut Session) -> Result<Vec<Block>, Box<dyn Error>> {
    let Some(name) = &arguments.case else { return Ok(Vec::new()) };
    let access = if arguments.read_only { Access::ReadOnly } else { Access::Write };
    let set_aside = session.open_case(name, access)?;
    if arguments.reads_lines() {
        return Ok(set_aside.iter().flat_map(set_aside_said).collect());
    }
    Ok(session.case_said(set_aside.as_ref()))
}

fn is_broken_pipe(error: &(dyn Error + 'static)) -> bool {
    error.downcast_ref::<io::Error>().is_some_and(|error| error.kind() == io::ErrorKind::BrokenPipe)
}
