//! `halfsplit compare`: what one revision of a drawing changes.

use clap::Args;
use halfsplit::files::{built_in_tables, load, load_tables};
use halfsplit::predict::Predictor;
use halfsplit::repl::Ending;
use halfsplit::review::compare as compared;
use halfsplit::words::document::{WIDEST, on_screen};
use halfsplit::words::{comparison, comparison_machine};
use std::error::Error;
use std::io::{self, Write};
use std::rc::Rc;

/// Hold two revisions of a vehicle against each other: parts by name, and what that
/// changes for each load.
#[derive(Args)]
pub struct CompareArguments {
    /// The vehicle file as it was.
    #[arg(value_name = "OLD.ron")]
    old: String,
    /// The vehicle file as it is.
    #[arg(value_name = "NEW.ron")]
    new: String,
    /// File that gives parameters in other figures.
    #[arg(long, value_name = "FILE")]
    rates: Option<String>,
    /// One JSON object instead of text.
    #[arg(long)]
    machine: bool,
}

/// Compares them and says what is otherwise.
pub fn compare(arguments: &CompareArguments) -> Result<Ending, Box<dyn Error>> {
    let tables = arguments.rates.as_deref().map_or_else(built_in_tables, load_tables)?;
    let predictor = |path: &str| -> Result<Predictor, Box<dyn Error>> {
        Ok(Predictor::new(Rc::new(load(path)?.vehicle), Rc::clone(&tables)))
    };
    let found = compared(&predictor(&arguments.old)?, &predictor(&arguments.new)?)?;
    let mut out = io::stdout();
    match arguments.machine {
        true => writeln!(out, "{}", comparison_machine(&found))?,
        false => writeln!(out, "{}", on_screen(&comparison(&found), WIDEST))?,
    }
    Ok(Ending::AllUnderstood)
}
