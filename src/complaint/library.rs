//! The trees that come with the program, and a folder of one's own.

use super::{Danger, Lexicon, OfEvery, Question, Tree, Trees, read};
use crate::files::{LoadError, read_text};
use crate::source::{Diagnostic, SourceFile};
use std::path::Path;

/// The trees built into the program: class and text.
const BUILT_IN: [(&str, &str); 14] = [
    ("dead", include_str!("../../trees/dead.ron")),
    ("weak", include_str!("../../trees/weak.ron")),
    ("intermittent", include_str!("../../trees/intermittent.ron")),
    ("blows", include_str!("../../trees/blows.ron")),
    ("stays-on", include_str!("../../trees/stays-on.ron")),
    ("flat", include_str!("../../trees/flat.ron")),
    ("uncharged", include_str!("../../trees/uncharged.ron")),
    ("several", include_str!("../../trees/several.ron")),
    ("sneak", include_str!("../../trees/sneak.ron")),
    ("glows", include_str!("../../trees/glows.ron")),
    ("drop-outs", include_str!("../../trees/drop-outs.ron")),
    ("cuts-out", include_str!("../../trees/cuts-out.ron")),
    ("chatters", include_str!("../../trees/chatters.ron")),
    ("trailer", include_str!("../../trees/trailer.ron")),
];

/// What is asked of every complaint, and what comes before each.
const QUESTIONS: &str = include_str!("../../trees/of-every/questions.ron");
const DANGERS: &str = include_str!("../../trees/of-every/dangers.ron");
const LEXICON: &str = include_str!("../../trees/of-every/lexicon.ron");

/// The trees that come with the program.
///
/// # Errors
/// [`LoadError`]; a released program's trees have none.
pub fn built_in_trees() -> Result<Trees, LoadError> {
    Ok(Trees::new(built_in()?, of_every()?))
}

fn built_in() -> Result<Vec<Tree>, LoadError> {
    let file = |(class, text): &(&str, &str)| built_in_file(&format!("{class}.ron"), text);
    BUILT_IN.iter().map(|tree| read::tree(file(tree))).collect()
}

fn of_every() -> Result<OfEvery, LoadError> {
    Ok(OfEvery {
        questions: read::of_every(built_in_file("of-every/questions.ron", QUESTIONS))?,
        dangers: read::dangers(built_in_file("of-every/dangers.ron", DANGERS))?,
        lexicon: read::lexicon(built_in_file("of-every/lexicon.ron", LEXICON))?,
    })
}

fn built_in_file(name: &str, text: &str) -> (SourceFile, Vec<Diagnostic>) {
    (SourceFile::new(format!("trees/{name}"), text.to_string()), Vec::new())
}

/// One tree file.
///
/// # Errors
/// [`LoadError`] with every error found.
pub fn load_tree(path: &str) -> Result<Tree, LoadError> {
    read::tree(read_text(path)?)
}

/// One file of questions that are asked of every complaint.
///
/// # Errors
/// [`LoadError`] with every error found.
pub fn load_questions(path: &str) -> Result<Vec<Question>, LoadError> {
    read::of_every(read_text(path)?)
}

/// One file of words that come before every complaint.
///
/// # Errors
/// [`LoadError`] with every error found.
pub fn load_dangers(path: &str) -> Result<Vec<Danger>, LoadError> {
    read::dangers(read_text(path)?)
}

/// A lexicon.
///
/// # Errors
/// [`LoadError`] with every error found.
pub fn load_lexicon(path: &str) -> Result<Lexicon, LoadError> {
    read::lexicon(read_text(path)?)
}

/// The built-in trees with those of a folder: a class that is there already is
/// replaced, another is added.
///
/// # Errors
/// [`LoadError`] of the first file, by name, that cannot be used.
pub fn trees_with(folder: &Path) -> Result<Trees, LoadError> {
    let unreadable = |source| LoadError::Read { path: folder.display().to_string(), source };
    let entries = std::fs::read_dir(folder).map_err(unreadable)?;
    let mut paths: Vec<_> = entries.filter_map(|entry| entry.ok().map(|entry| entry.path())).collect();
    paths.retain(|path| path.extension().is_some_and(|extension| extension == "ron"));
    paths.sort();
    let mut trees = built_in()?;
    for path in paths {
        let tree = load_tree(&path.to_string_lossy())?;
        match trees.iter_mut().find(|known| known.class == tree.class) {
            Some(known) => *known = tree,
            None => trees.push(tree),
        }
    }
    Ok(Trees::new(trees, of_every()?))
}
