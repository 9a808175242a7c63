//! `halfsplit lesson`, `course` and `class`: learning on a simulated vehicle.

use super::conversation::converse;
use super::named::{Named, one_of};
use super::progress::progress;
use super::vehicle::open;
use clap::Args;
use halfsplit::case::journal::{Access, Clock, Shelf};
use halfsplit::files::built_in_tables;
use halfsplit::repl::{AtEnd, Ending, Form, LessonSession, OnFailure};
use halfsplit::training::{
    Attempt, Class, Difficulty, Learner, Lesson, LessonSeries, Marks, TakenLesson, class, course, curtain, example,
    lesson_file, play_all, rows, yardstick,
};
use halfsplit::trial::{Bench, WrongKind};
use halfsplit::words::document::{Paper, WIDEST, on_screen};
use halfsplit::words::training as words;
use std::error::Error;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::rc::Rc;

/// Take a lesson: a hidden fault, a simulated instrument, and marks.
#[derive(Args)]
pub struct LessonArguments {
    /// Number of a lesson of the course (`halfsplit course` lists them).
    #[arg(conflicts_with_all = ["sample", "vehicle", "file"])]
    number: Option<usize>,
    /// A lesson that a teacher set.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["sample", "vehicle"])]
    file: Option<String>,
    /// Write the lesson of `--file` where it cannot be read at a glance. This
    /// is a curtain, no secret.
    #[arg(long, value_name = "FILE", requires = "file")]
    hide: Option<PathBuf>,
    /// Print a lesson file to begin from.
    #[arg(long)]
    example: bool,
    /// Vehicle file (RON) to draw a lesson on.
    #[arg(long, value_name = "FILE")]
    vehicle: Option<String>,
    /// Built-in vehicle to draw a lesson on; bench_board unless said.
    #[arg(long, value_name = "NAME", conflicts_with = "vehicle")]
    sample: Option<String>,
    /// Seed: the same seed gives the same lesson and marks everywhere.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// How hard the lesson drawn is to be.
    #[arg(long, value_parser = one_of(&DIFFICULTIES), value_name = "HOW")]
    difficulty: Option<Difficulty>,
    /// What the complaint is to be about.
    #[arg(long, value_name = "LOAD")]
    complaint: Option<String>,
    /// Two faults at once.
    #[arg(long)]
    two: bool,
    /// Run the lines of a file instead of the prompt.
    #[arg(long, value_name = "FILE")]
    script: Option<String>,
    /// End a script at the first line that is not understood.
    #[arg(long)]
    strict: bool,
    /// Folder that the record, the page and the marks go into.
    #[arg(long, value_name = "FOLDER")]
    into: Option<PathBuf>,
    /// Who learns.
    #[arg(long, value_name = "NAME", default_value = "learner")]
    by: String,
    /// Let learners that need no teacher play, and print how they fare; may be
    /// given several times.
    #[arg(long, value_parser = one_of(&LEARNERS), value_name = "WHO")]
    play: Vec<&'static [Learner]>,
    /// How many lessons they play.
    #[arg(long, default_value_t = 100)]
    lessons: usize,
    /// Threads.
    #[arg(long, default_value_t = std::thread::available_parallelism().map_or(1, usize::from))]
    threads: usize,
}

const DIFFICULTIES: [Named<Difficulty>; 3] =
    [("easy", "", Difficulty::Easy), ("middling", "", Difficulty::Middling), ("hard", "", Difficulty::Hard)];

const LEARNERS: [Named<&[Learner]>; 5] = [
    ("planner", "", &[Learner::Planner]),
    ("random", "", &[Learner::Random]),
    ("walk", "", &[Learner::Walk]),
    ("swap", "", &[Learner::Swap]),
    ("all", "", &Learner::ALL),
];

/// See a class: everything in a folder in one table.
#[derive(Args)]
pub struct ClassArguments {
    /// The folder that lessons were put into.
    folder: PathBuf,
    /// Comma-separated values instead of tables.
    #[arg(long)]
    csv: bool,
}

/// Lists the course.
pub fn list() -> Result<Ending, Box<dyn Error>> {
    writeln!(io::stdout(), "{}", on_screen(&words::course_list(&course()?), WIDEST))?;
    Ok(Ending::AllUnderstood)
}

/// Shows a class.
pub fn show_class(arguments: &ClassArguments) -> Result<Ending, Box<dyn Error>> {
    let class: Class = class(&arguments.folder)?;
    let text = if arguments.csv { words::class_csv(&class) } else { on_screen(&words::class_table(&class), WIDEST) };
    writeln!(io::stdout(), "{text}")?;
    Ok(Ending::AllUnderstood)
}

/// Gives a lesson.
pub fn lesson(arguments: &LessonArguments) -> Result<Ending, Box<dyn Error>> {
    let mut out = io::stdout();
    if arguments.example {
        write!(out, "{}", example())?;
        return Ok(Ending::AllUnderstood);
    }
    if let (Some(file), Some(to)) = (&arguments.file, &arguments.hide) {
        return hide(file, to);
    }
    if !arguments.play.is_empty() {
        return series(arguments);
    }
    let lesson = chosen(arguments)?;
    let yardstick = yardstick(&lesson)?;
    let at_end = arguments.into.clone().map(|folder| keeping(folder, arguments.by.clone()));
    let mut session = LessonSession::new(Attempt::new(lesson)?, yardstick, at_end);
    let on_failure = if arguments.strict { OnFailure::Stop } else { OnFailure::GoOn };
    converse(&mut session, arguments.script.as_deref(), Form::Text, on_failure, false, &[])
}

/// Draws the curtain before a lesson that was found to be whole.
fn hide(file: &str, to: &Path) -> Result<Ending, Box<dyn Error>> {
    lesson_file(file)?.lesson(file, built_in_tables()?)?;
    let text = std::fs::read_to_string(file).map_err(|error| format!("cannot read `{file}`: {error}"))?;
    if curtain::is_drawn(&text) {
        return Err(format!("`{file}` is behind a curtain already").into());
    }
    if to.exists() {
        return Err(format!("`{}` is there already: choose another name", to.display()).into());
    }
    std::fs::write(to, curtain::draw(&text)).map_err(|error| format!("cannot write `{}`: {error}", to.display()))?;
    writeln!(io::stdout(), "Hidden in {}; `halfsplit lesson --file {0}` gives it.", to.display())?;
    Ok(Ending::AllUnderstood)
}

fn chosen(arguments: &LessonArguments) -> Result<Rc<Lesson>, Box<dyn Error>> {
    let tables = built_in_tables()?;
    if let Some(file) = &arguments.file {
        return Ok(Rc::new(lesson_file(file)?.lesson(file, tables)?));
    }
    if let Some(number) = arguments.number {
        let course = course()?;
        let found = number.checked_sub(1).and_then(|index| course.get(index));
        let written = found.ok_or_else(|| format!("no lesson {number}; the course has 1 to {}", course.len()))?;
        return Ok(Rc::new(written.lesson("samples/course.ron", tables)?));
    }
    let (name, bench) = bench(arguments)?;
    let wrong = if arguments.two { WrongKind::TwoParts } else { WrongKind::OnePart };
    let about = match &arguments.complaint {
        None => None,
        Some(word) => {
            let vehicle = bench.engine().vehicle();
            let load = vehicle.loads().find(|&load| vehicle.part(load).name.eq_ignore_ascii_case(word));
            Some(load.ok_or_else(|| format!("no load of {} is called `{word}`", vehicle.name))?)
        }
    };
    let found = Lesson::search(
        &bench,
        &name,
        arguments.seed,
        wrong,
        |lesson| -> Result<bool, halfsplit::training::ActError> {
            let fits_complaint = about.is_none_or(|load| lesson.hidden.subject == load);
            Ok(fits_complaint
                && match arguments.difficulty {
                    None => true,
                    Some(hard) => hard.fits(yardstick(lesson)?.tests),
                })
        },
    )?;
    Ok(found.ok_or("no such lesson is among the next two hundred seeds; ask for another difficulty or complaint")?)
}

fn bench(arguments: &LessonArguments) -> Result<(String, Bench), Box<dyn Error>> {
    let name = arguments.vehicle.as_deref().or(arguments.sample.as_deref()).unwrap_or("bench_board").to_string();
    let sample = arguments.vehicle.is_none().then_some(name.as_str());
    let loaded = open(arguments.vehicle.as_deref(), sample)?;
    Ok((name, Bench::new(loaded.vehicle, built_in_tables()?)))
}

fn series(arguments: &LessonArguments) -> Result<Ending, Box<dyn Error>> {
    // Among others `all` stands for all.
    let learners = match arguments.play.iter().find(|who| who.len() > 1) {
        Some(all) => all.to_vec(),
        None => arguments.play.concat(),
    };
    let sample = arguments.vehicle.is_none().then_some(arguments.sample.as_deref().unwrap_or("bench_board"));
    let vehicle = open(arguments.vehicle.as_deref(), sample)?.vehicle;
    let series = LessonSeries {
        lessons: arguments.lessons,
        seed: arguments.seed,
        learners,
        wrong: if arguments.two { WrongKind::TwoParts } else { WrongKind::OnePart },
        threads: arguments.threads.max(1),
    };
    let bar = progress(series.lessons as u64);
    let tables = built_in_tables()?;
    let played = play_all(&vehicle, &tables, &series, || bar.inc(1))?;
    bar.finish_and_clear();
    writeln!(io::stdout(), "{}", on_screen(&words::series_table(&rows(&series, &played), played.len()), WIDEST))?;
    Ok(Ending::AllUnderstood)
}

/// Puts the record, the page and the marks of a lesson into a folder.
fn keeping(folder: PathBuf, by: String) -> AtEnd {
    Box::new(move |attempt, marks| keep(attempt, marks, &folder, &by).map_err(|error| error.to_string()))
}

fn keep(attempt: &mut Attempt, marks: &Marks, folder: &Path, by: &str) -> Result<String, Box<dyn Error>> {
    std::fs::create_dir_all(folder).map_err(|error| format!("cannot make `{}`: {error}", folder.display()))?;
    let lesson = Rc::clone(attempt.lesson());
    let plain = |text: &str| -> String {
        text.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' }).collect()
    };
    let stem: String = format!("{}-{}", plain(by), plain(&lesson.brief.title)).chars().take(54).collect();
    let shelf = Shelf::new(folder.to_path_buf(), lesson.on.clone(), by.to_string(), Clock::from_environment()?);
    let is_free = |name: &String| !shelf.has(name) && !folder.join(format!("{name}.marks")).exists();
    let names = std::iter::once(stem.clone()).chain((2..10_000).map(|more| format!("{stem}-{more}")));
    let name = names.into_iter().find(is_free).ok_or("the folder is full of this lesson")?;
    attempt.case_mut().open(&shelf, &name, Access::Write)?;
    let page = words::page(attempt, marks, by, Paper::Page)?;
    let put = |ending: &str, text: &str| {
        let path = folder.join(format!("{name}.{ending}"));
        std::fs::write(&path, text).map_err(|error| format!("cannot write `{}`: {error}", path.display()))
    };
    put("html", &page)?;
    put(halfsplit::training::ENDING, &TakenLesson::of(by, &lesson, marks, words::mistake).written())?;
    Ok(format!("Kept in {}: {name}.ron (record), {name}.html (page), {name}.marks.", folder.display()))
}
