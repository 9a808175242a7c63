//! A vehicle that nobody has described, made at the prompt: from a line, or
//! from a few questions; and its file.

use super::session::{Refusal, Said, Session};
use crate::files::{LoadError, Loaded, parse};
use crate::sketch::{Interview, Sketch, sketch};
use crate::source::SourceFile;
use crate::words;
use crate::words::document::Block;
use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::Path;
use std::rc::Rc;

/// The vehicle of a sketch: it takes the same way as any file.
///
/// # Errors
/// [`LoadError`] if the sketch makes no vehicle.
fn loaded(sketch: &Sketch) -> Result<Loaded, LoadError> {
    parse(SourceFile::new("sketch".to_string(), sketch.text.clone()))
}

impl Session {
    /// `sketch`, `sketch LINE`.
    pub(super) fn begin_sketch(&mut self, line: &str) -> Said {
        if !self.case().entries().is_empty() {
            let why = "something is entered on this vehicle already; sketch another one in a fresh session \
                       (`halfsplit --sketch`)";
            return Err(Refusal(why.to_string()));
        }
        match line {
            "" => self.ask_on(Interview::default()),
            line => self.take_sketch(&sketch(&self.case().engine().tables().sketch, line)?),
        }
    }

    /// A line while a sketch is being asked for.
    pub(super) fn answer_sketch(&mut self, mut asking: Interview, line: &str) -> Said {
        if line.trim() == "stop" {
            return Ok(vec![Block::paragraph("No sketch, then.")]);
        }
        match line.trim() {
            "?" => {
                let explained = asking.next().map(words::sketch_explained);
                self.asking = Some(asking);
                return Ok(explained.into_iter().collect());
            }
            "back" => {
                asking.back();
                return self.ask_on(asking);
            }
            _ => {}
        }
        match asking.answer(line) {
            Ok(()) => self.ask_on(asking),
            Err(error) => {
                self.asking = Some(asking);
                Err(error.into())
            }
        }
    }

    fn ask_on(&mut self, asking: Interview) -> Said {
        match asking.next() {
            Some(question) => {
                self.asking = Some(asking);
                Ok(vec![words::sketch_question(question)])
            }
            None => self.take_sketch(&asking.finish(&self.case().engine().tables().sketch)?),
        }
    }

    fn take_sketch(&mut self, sketch: &Sketch) -> Said {
        let loaded = loaded(sketch)?;
        let case = self.case().on(Rc::new(loaded.vehicle))?;
        self.change_vehicle(case, loaded.file, loaded.warnings);
        Ok(words::sketched(sketch, self.case().vehicle()))
    }

    /// Writes the drawing to a file of its own; cases go beside it from then on.
    pub(super) fn save_drawing(&mut self, path: &Path) -> Said {
        let name = path.display();
        if path.extension().is_none_or(|ending| ending != "ron") {
            return Err(Refusal(format!("a drawing is kept in a `.ron` file, such as `save {name}.ron`")));
        }
        let written = OpenOptions::new().write(true).create_new(true).open(path);
        match written.and_then(|mut file| file.write_all(self.drawing().as_bytes())) {
            Ok(()) => {
                self.file_under(path);
                Ok(vec![words::sketch_saved(path)])
            }
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
                Err(Refusal(format!("`{name}` is there already; choose another name")))
            }
            Err(error) => Err(Refusal(format!("`{name}` cannot be written: {error}"))),
        }
    }
}
