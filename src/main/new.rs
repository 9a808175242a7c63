//! `halfsplit new`: a vehicle file of one's own, by a few questions or by flags.

use crate::check::found;
use clap::Args;
use halfsplit::files::{built_in_tables, parse};
use halfsplit::repl::Ending;
use halfsplit::sketch::{Own, Questionnaire, own_file};
use halfsplit::source::{SourceFile, render};
use halfsplit::tables::sketch::Sketching;
use halfsplit::words::document::{USUAL, on_screen};
use halfsplit::words::{own_explained, own_question, own_refused, own_written};
use std::error::Error;
use std::fs::OpenOptions;
use std::io::{self, BufRead, IsTerminal, Write};
use std::path::PathBuf;

/// Make a vehicle file: a few questions at a terminal, or their answers here.
#[derive(Args)]
#[command(after_help = "A circuit is one load with what lies on its way from the fuse board:\n  \
    --circuit \"fridge 60 W, 4 m\"                    a fused feed\n  \
    --circuit \"reading lamp: led 10 W, switch, 3 m\" with a name of its own\n  \
    --circuit \"relay, pump 8 A, 3 m\"                worked by a relay\n\
    What is not said is filled in with the usual, and said.")]
pub struct NewArguments {
    /// The file to make; one that is there is never overwritten.
    #[arg(value_name = "FILE")]
    path: PathBuf,
    /// What the vehicle is called.
    #[arg(long, value_name = "WORDS")]
    name: Option<String>,
    /// Its battery, such as "24 V lithium 200 Ah".
    #[arg(long, value_name = "LINE")]
    battery: Option<String>,
    /// A circuit; once for each.
    #[arg(long, value_name = "LINE")]
    circuit: Vec<String>,
    /// What else is in it: charger, second-battery, trailer.
    #[arg(long, value_name = "LIST")]
    with: Option<String>,
}

impl NewArguments {
    /// Whether some answer is given here; then nothing is asked.
    fn answers(&self) -> bool {
        self.name.is_some() || self.battery.is_some() || !self.circuit.is_empty() || self.with.is_some()
    }

    fn own(&self, figures: &Sketching) -> Result<Own, Box<dyn Error>> {
        let mut own = Own::usual(figures);
        own.call(self.name.as_deref().unwrap_or_default());
        own.take_battery(self.battery.as_deref().unwrap_or_default()).map_err(|error| format!("--battery: {error}"))?;
        for line in &self.circuit {
            own.add_circuit(line).map_err(|error| format!("--circuit \"{line}\": {error}"))?;
        }
        if own.circuits.is_empty() {
            own.add_circuit("lamp")?;
        }
        own.take_extras(self.with.as_deref().unwrap_or_default()).map_err(|error| format!("--with: {error}"))?;
        Ok(own)
    }
}

/// Makes the file.
pub fn new(arguments: &NewArguments) -> Result<Ending, Box<dyn Error>> {
    let path = &arguments.path;
    let shown = path.display();
    if path.extension().is_none_or(|ending| ending != "ron") {
        return Err(
            format!("a vehicle file ends in `.ron`, such as `{}.ron`", path.with_extension("").display()).into()
        );
    }
    if path.exists() {
        return Err(format!("`{shown}` is there already; choose another name").into());
    }
    let tables = built_in_tables()?;
    let own = match arguments.answers() {
        true => arguments.own(&tables.sketch)?,
        false => match asked(&tables.sketch)? {
            Some(own) => own,
            None => return Ok(Ending::AllUnderstood),
        },
    };
    let written = own_file(&own, &tables.sketch);
    let loaded = parse(SourceFile::new(shown.to_string(), written.text.clone()))?;
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => format!("`{shown}` is there already; choose another name"),
        _ => format!("`{shown}` cannot be written: {error}"),
    })?;
    file.write_all(written.text.as_bytes())?;
    let mut out = io::stdout();
    for warning in &found(&loaded, tables) {
        writeln!(out, "{}\n", render(&loaded.file, warning))?;
    }
    writeln!(out, "{}", on_screen(&own_written(path, &written, &loaded.vehicle), USUAL))?;
    Ok(Ending::AllUnderstood)
}

/// The answers of somebody at a terminal, or the lines of a pipe; none if they
/// stop. The end of the lines is the usual for what is left.
fn asked(figures: &Sketching) -> Result<Option<Own>, Box<dyn Error>> {
    let is_terminal = io::stdin().is_terminal();
    let (mut out, mut lines) = (io::stdout(), io::stdin().lock().lines());
    if is_terminal {
        writeln!(out, "A few questions. Enter takes what stands in brackets, `?` explains, `back` goes back.")?;
    }
    let mut asking = Questionnaire::new(figures);
    while let Some(question) = asking.question() {
        if is_terminal {
            write!(out, "{}\n> ", own_question(question, asking.own()))?;
            out.flush()?;
        }
        let Some(line) = lines.next().transpose()? else {
            if is_terminal {
                writeln!(out, "\nNothing written.")?;
                return Ok(None);
            }
            // A pipe that ends has no more circuits.
            asking.answer("").map_err(|error| error.to_string())?;
            continue;
        };
        match line.trim() {
            "stop" => {
                writeln!(out, "Nothing written.")?;
                return Ok(None);
            }
            "?" => writeln!(out, "{}", on_screen(&[own_explained(question)], USUAL))?,
            "back" => asking.back(),
            answer => match asking.answer(answer) {
                Ok(()) => {}
                Err(error) => {
                    let said = on_screen(&[own_refused(question, &error)], USUAL);
                    if !is_terminal {
                        return Err(said.into());
                    }
                    writeln!(out, "{said}")?;
                }
            },
        }
    }
    Ok(Some(asking.own().clone()))
}
