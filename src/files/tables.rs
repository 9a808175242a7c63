//! Tables of parameters as files: those that come with the program, and one of
//! somebody's own that gives some rows in other figures.

use super::error::{LoadError, read_text};
use super::load::read;
use super::outline::Root;
use super::reader::KeyedFile;
use crate::source::{Diagnostic, SourceFile};
use crate::tables::row::ParameterTable;
use crate::tables::{TableReader, Tables};
use std::rc::Rc;

/// Word at the start of a file that gives several tables.
const SEVERAL: &str = "Tables";

/// The tables that come with the program.
///
/// # Errors
/// [`LoadError::Rejected`]; a released program's tables have none.
pub fn built_in_tables() -> Result<Rc<Tables>, LoadError> {
    Tables::read(&mut BuiltIn).map(Rc::new)
}

/// The same with what a file gives in other figures: one table, as the program
/// has it, or several in `Tables( … )`; of each all rows or some.
///
/// # Errors
/// [`LoadError`] with every error found.
pub fn load_tables(path: &str) -> Result<Rc<Tables>, LoadError> {
    altered(read_text(path)?)
}

/// The same of a text.
///
/// # Errors
/// [`LoadError::Rejected`] with every error found.
pub fn parse_tables(file: SourceFile) -> Result<Rc<Tables>, LoadError> {
    altered((file, Vec::new()))
}

fn altered(text: (SourceFile, Vec<Diagnostic>)) -> Result<Rc<Tables>, LoadError> {
    let mut kinds = vec![(SEVERAL, Tables::KEYS)];
    kinds.extend(Tables::KINDS);
    let root = Root { word: SEVERAL, noun: "table" };
    let read =
        read(text, root, |reader, node| Some(Tables::read(&mut Override(KeyedFile::new(reader, node, &kinds)?))));
    read?.0.map(Rc::new)
}

struct BuiltIn;

impl TableReader for BuiltIn {
    type Error = LoadError;

    fn table<T: ParameterTable>(&mut self, key: &'static str, built_in: &'static str) -> Result<T, LoadError> {
        let file = SourceFile::new(format!("src/tables/{key}.ron"), built_in.to_string());
        let kind = (T::WORD, T::KEYS);
        let root = Root { word: T::WORD, noun: "table" };
        let read =
            read((file, Vec::new()), root, |reader, node| T::read(None, &mut KeyedFile::new(reader, node, &[kind])?));
        Ok(read?.0)
    }
}

/// A file that gives some of the tables.
struct Override<'r, 'n, 'a>(KeyedFile<'r, 'n, 'a>);

impl TableReader for Override<'_, '_, '_> {
    type Error = LoadError;

    fn table<T: ParameterTable>(&mut self, key: &'static str, built_in: &'static str) -> Result<T, LoadError> {
        let known: T = BuiltIn.table(key, built_in)?;
        let given = match self.0.word {
            SEVERAL => self.0.inside(key, (T::WORD, T::KEYS)).and_then(|mut table| T::read(Some(&known), &mut table)),
            word if word == T::WORD => T::read(Some(&known), &mut self.0),
            _ => None,
        };
        // What could not be read has been reported.
        Ok(given.unwrap_or(known))
    }
}
