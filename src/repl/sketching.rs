//! A vehicle that nobody has described, made at the prompt: from a line, or
//! from a few questions; and its file.

use super::session::{Reply, Session, failed};
use crate::files::{LoadError, Loaded, parse};
use crate::sketch::{Interview, Sketch, sketch};
use crate::source::SourceFile;
use crate::words;
use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::Path;
use std::rc::Rc;

/// The vehicle of a sketch: it takes the same way as any file.
///
/// # Errors
/// [`LoadError`] if the sketch makes no vehicle.
fn loaded(sketch: &Sketch) -> Result<Loaded, LoadError> {
    parse(SourceFile { path: "sketch".to_string(), text: sketch.text.clone() })
}

impl Session {
    /// `sketch`, `sketch LINE`.
    pub(super) fn begin_sketch(&mut self, line: &str, width: usize) -> Reply {
        if !self.case().entries().is_empty() {
            let why = "something is entered on this vehicle already; sketch another one in a fresh session \
                       (`halfsplit --sketch`)";
            return failed(why, width);
        }
        match line {
            "" => self.ask_on(Interview::default(), width),
            line => match sketch(&self.case().engine().tables().sketch, line) {
                Ok(sketch) => self.take_sketch(&sketch, width),
                Err(error) => failed(&error.to_string(), width),
            },
        }
    }

    /// A line while a sketch is being asked for.
    pub(super) fn answer_sketch(&mut self, mut asking: Interview, line: &str, width: usize) -> Reply {
        if line.trim() == "stop" {
            return self.said("No sketch, then.".to_string());
        }
        match asking.answer(line) {
            Ok(()) => self.ask_on(asking, width),
            Err(error) => {
                self.asking = Some(asking);
                failed(&error.to_string(), width)
            }
        }
    }

    fn ask_on(&mut self, asking: Interview, width: usize) -> Reply {
        match asking.next() {
            Some(question) => {
                self.asking = Some(asking);
                self.said(words::sketch_question(question, width))
            }
            None => match asking.finish(&self.case().engine().tables().sketch) {
                Ok(sketch) => self.take_sketch(&sketch, width),
                Err(error) => failed(&error.to_string(), width),
            },
        }
    }

    fn take_sketch(&mut self, sketch: &Sketch, width: usize) -> Reply {
        let loaded = match loaded(sketch) {
            Ok(loaded) => loaded,
            Err(error) => return failed(&error.to_string(), width),
        };
        match self.case().on(Rc::new(loaded.vehicle)) {
            Ok(case) => self.change_vehicle(case, loaded.file, loaded.warnings),
            Err(error) => return failed(&error.to_string(), width),
        }
        self.said(words::sketched(sketch, self.case().vehicle(), width))
    }

    /// Writes the drawing to a file of its own; cases go beside it from then on.
    pub(super) fn save_drawing(&mut self, path: &Path, width: usize) -> Reply {
        let name = path.display();
        if path.extension().is_none_or(|ending| ending != "ron") {
            return failed(&format!("a drawing is kept in a `.ron` file, such as `save {name}.ron`"), width);
        }
        let written = OpenOptions::new().write(true).create_new(true).open(path);
        match written.and_then(|mut file| file.write_all(self.drawing().as_bytes())) {
            Ok(()) => {
                self.file_under(path);
                self.said(words::sketch_saved(path, width))
            }
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
                failed(&format!("`{name}` is there already; choose another name"), width)
            }
            Err(error) => failed(&format!("`{name}` cannot be written: {error}"), width),
        }
    }
}
