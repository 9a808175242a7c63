//! `halfsplit format`: a file laid out, every comment kept.

use clap::Args;
use halfsplit::files::{laid_out, read_text};
use halfsplit::repl::Ending;
use halfsplit::source::render;
use std::error::Error;
use std::fs;
use std::io::{self, Write};
use std::path::PathBuf;

/// Lay vehicle files out: lines set in by their brackets; comments stay.
#[derive(Args)]
pub struct FormatArguments {
    /// Files to lay out, in their place.
    #[arg(required = true, value_name = "FILE")]
    paths: Vec<PathBuf>,
    /// Change nothing, and say which would change; exit status 1 if any would.
    #[arg(long)]
    check: bool,
}

/// Lays them out.
pub fn format(arguments: &FormatArguments) -> Result<Ending, Box<dyn Error>> {
    let mut out = io::stdout();
    let mut ending = Ending::AllUnderstood;
    for path in &arguments.paths {
        let shown = path.display();
        let (file, slips) = read_text(&path.to_string_lossy())?;
        let laid = if slips.is_empty() { laid_out(&file.text) } else { Err(slips) };
        let laid = match laid {
            Ok(laid) => laid,
            Err(slips) => {
                let said: String = slips.iter().map(|slip| render(&file, slip) + "\n\n").collect();
                writeln!(out, "{said}{shown}: left as it is")?;
                ending = Ending::SomeFailed;
                continue;
            }
        };
        match (laid == file.text, arguments.check) {
            (true, _) => writeln!(out, "{shown}: laid out already")?,
            (false, true) => {
                writeln!(out, "{shown}: would change")?;
                ending = Ending::SomeFailed;
            }
            (false, false) => {
                // A disk that is full must not take the file with it.
                let beside = path.with_extension("ron.new");
                fs::write(&beside, laid.as_bytes())?;
                fs::rename(&beside, path)?;
                writeln!(out, "{shown}: laid out")?;
            }
        }
    }
    Ok(ending)
}
