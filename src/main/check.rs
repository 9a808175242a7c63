//! `halfsplit check`: vehicles, complaint trees and cases, each finding with
//! its place.

use clap::Args;
use halfsplit::case::journal::replay;
use halfsplit::complaint::{Trees, built_in_trees, load_dangers, load_questions, load_tree};
use halfsplit::files::{LoadError, Loaded, SAMPLES, built_in_tables, load, sample};
use halfsplit::findings::findings;
use halfsplit::predict::Predictor;
use halfsplit::repl::Ending;
use halfsplit::source::{Diagnostic, render};
use halfsplit::tables::Tables;
use halfsplit::words::standards;
use std::error::Error;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::rc::Rc;

/// Check vehicle files, complaint trees and cases, or folders of them.
#[derive(Args)]
pub struct CheckArguments {
    /// Files or folders; what each is, is told by its first words.
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,
}

/// What a file claims to be.
enum Sort {
    Vehicle,
    Tree,
    Questions,
    Dangers,
    Case,
}

/// Checks everything named; the ending tells whether all of it can be used.
pub fn check(arguments: &CheckArguments) -> Result<Ending, Box<dyn Error>> {
    let mut files = Vec::new();
    for path in &arguments.paths {
        gather(path, &mut files)?;
    }
    let trees = built_in_trees()?;
    let mut out = io::stdout();
    let mut ending = Ending::AllUnderstood;
    for path in &files {
        let said = match sort(path) {
            Sort::Vehicle => check_vehicle(path),
            Sort::Tree => check_tree(path),
            Sort::Questions => check_entries(path, load_questions, "question"),
            Sort::Dangers => check_entries(path, load_dangers, "danger"),
            Sort::Case => check_case(path, &trees),
        };
        match said {
            Ok(said) => writeln!(out, "{said}")?,
            Err(said) => {
                ending = Ending::SomeFailed;
                writeln!(out, "{said}")?;
            }
        }
    }
    if files.is_empty() {
        return Err("nothing to check there: vehicles, trees and cases end in `.ron`".into());
    }
    Ok(ending)
}

/// A file, or everything of ours in a folder and those below, by name.
fn gather(path: &Path, files: &mut Vec<PathBuf>) -> Result<(), Box<dyn Error>> {
    if !path.is_dir() {
        files.push(path.to_path_buf());
        return Ok(());
    }
    let mut entries =
        fs::read_dir(path)?.map(|entry| entry.map(|entry| entry.path())).collect::<Result<Vec<_>, _>>()?;
    entries.sort();
    for entry in entries {
        let is_ours = entry.extension().is_some_and(|end| end == "ron");
        if entry.is_dir() || is_ours {
            gather(&entry, files)?;
        }
    }
    Ok(())
}

fn sort(path: &Path) -> Sort {
    // What cannot be read is said by whoever reads it.
    let text = fs::read_to_string(path).unwrap_or_default();
    let first = text
        .trim_start_matches('\u{feff}')
        .lines()
        .map(str::trim)
        .find(|line| !line.is_empty() && !line.starts_with("//"));
    match first {
        Some(line) if line.starts_with("Tree") => Sort::Tree,
        Some(line) if line.starts_with("Questions") => Sort::Questions,
        Some(line) if line.starts_with("Dangers") => Sort::Dangers,
        Some(line) if line.starts_with("Case(") => Sort::Case,
        _ => Sort::Vehicle,
    }
}

fn check_vehicle(path: &Path) -> Result<String, String> {
    let loaded = load(&path.to_string_lossy()).map_err(|error| error.to_string())?;
    let warnings = found(&loaded, built_in_tables().map_err(|error| error.to_string())?);
    let file = loaded.file;
    let mut said: String = warnings.iter().map(|warning| render(&file, warning) + "\n\n").collect();
    said += &standards(&warnings).map(|said| said.to_string() + "\n\n").unwrap_or_default();
    Ok(format!("{said}{}: vehicle, no errors, {}", file.path, counted(warnings.len(), "warning")))
}

/// What looks wrong in a vehicle, by its drawing and by what it would read.
pub fn found(loaded: &Loaded, tables: Rc<Tables>) -> Vec<Diagnostic> {
    let predictor = Predictor::new(Rc::new(loaded.vehicle.clone()), tables);
    loaded.warnings.iter().cloned().chain(findings(&predictor)).collect()
}

fn check_tree(path: &Path) -> Result<String, String> {
    let tree = load_tree(&path.to_string_lossy()).map_err(|error| error.to_string())?;
    Ok(format!("{}: tree `{}`, no errors, {}", path.display(), tree.class, counted(tree.questions.len(), "question")))
}

fn check_entries<T>(
    path: &Path,
    load: impl Fn(&str) -> Result<Vec<T>, LoadError>,
    entry: &str,
) -> Result<String, String> {
    let entries = load(&path.to_string_lossy()).map_err(|error| error.to_string())?;
    Ok(format!("{}: no errors, {}", path.display(), counted(entries.len(), entry)))
}

/// A case is checked against the vehicle it names: beside its folder, or built
/// into the program.
fn check_case(path: &Path, trees: &Trees) -> Result<String, String> {
    let bytes = fs::read(path).map_err(|error| format!("{}: {error}", path.display()))?;
    let shown = path.display().to_string();
    let any = sample(SAMPLES[0].0).ok_or("this build has no sample")?.map_err(|error| error.to_string())?;
    let header = replay(shown.clone(), &bytes, &any.vehicle, trees).header;
    let header = header.ok_or_else(|| format!("{shown}: no case: its first line does not say what it is"))?;
    let beside = path.parent().and_then(Path::parent).unwrap_or(Path::new("")).join(&header.file);
    let built_in =
        SAMPLES.iter().find(|(name, _)| header.file == format!("{name}.ron")).and_then(|(name, _)| sample(name));
    let loaded = match built_in {
        Some(loaded) if !beside.is_file() => loaded,
        _ => load(&beside.to_string_lossy()),
    };
    let loaded = loaded.map_err(|error| format!("{shown}: its vehicle: {error}"))?;
    let replayed = replay(shown.clone(), &bytes, &loaded.vehicle, trees);
    let said: String = replayed.findings.iter().map(|finding| render(&replayed.file, finding) + "\n\n").collect();
    let summary = format!(
        "{said}{shown}: case of {}, {}, {} set aside",
        header.vehicle,
        counted_entries(replayed.entries.len()),
        replayed.findings.len()
    );
    if replayed.findings.is_empty() { Ok(summary) } else { Err(summary) }
}

fn counted_entries(count: usize) -> String {
    if count == 1 { "1 entry".to_string() } else { format!("{count} entries") }
}

fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}
