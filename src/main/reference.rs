//! `halfsplit reference`: what a vehicle file can hold.

use clap::Args;
use halfsplit::repl::Ending;
use halfsplit::words::document::{USUAL, on_screen};
use halfsplit::words::{reference as told, reference_syntax};
use std::error::Error;
use std::io::{self, Write};

/// What a vehicle file can hold: every kind of entry, key, unit and choice.
#[derive(Args)]
pub struct ReferenceArguments {
    /// A kind of entry, a key or a choice, such as Fuse, metres or Rocker.
    #[arg(value_name = "KEY")]
    word: Option<String>,
    /// The bare words of the format, for an editor that is to know them.
    #[arg(long, conflicts_with = "word")]
    syntax: bool,
}

/// Shows it.
pub fn reference(arguments: &ReferenceArguments) -> Result<Ending, Box<dyn Error>> {
    let mut out = io::stdout();
    match arguments.syntax {
        true => writeln!(out, "{}", reference_syntax())?,
        false => writeln!(out, "{}", on_screen(&told(arguments.word.as_deref())?, USUAL))?,
    }
    Ok(Ending::AllUnderstood)
}
