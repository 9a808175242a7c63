//! Where a report goes: `report FILE.html`, `report FILE.md`. The one place
//! that writes a file.

use crate::words::document::Paper;
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use thiserror::Error;

/// What may be written over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Overwrite {
    /// Only an earlier report.
    Reports,
    /// Whatever is there.
    Anything,
}

/// A report asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct ReportOrder {
    /// Where it goes.
    pub path: PathBuf,
    /// What it is written as.
    pub paper: Paper,
    /// What it may be written over.
    pub overwrite: Overwrite,
}

/// Why a report was not written. What was there still is.
#[derive(Debug, Error)]
pub enum PaperError {
    /// No file named.
    #[error("`report` needs a file that ends in `.html` or `.md`, such as `report van3.html`")]
    NoFile,
    /// Another ending.
    #[error("`{name}` ends in neither `.html` (a page) nor `.md` (Markdown); the ending tells what to write")]
    Ending { name: String },
    /// Something else is there.
    #[error("`{name}` is there and is no report of halfsplit: `report {name} replace` writes over it")]
    Occupied { name: String },
    /// The disk refused.
    #[error("cannot write `{name}`: {source}; nothing was written, name another file or folder")]
    Refused { name: String, source: io::Error },
}

/// Understands what follows `report`. A name may hold spaces; `replace` at the
/// end writes over whatever is there.
///
/// # Errors
/// [`PaperError`] without a file or with another ending.
pub fn order(rest: &str) -> Result<ReportOrder, PaperError> {
    let rest = rest.trim();
    let (name, overwrite) = match rest.strip_suffix("replace") {
        Some(name) if name.ends_with(char::is_whitespace) => (name.trim_end(), Overwrite::Anything),
        _ => (rest, Overwrite::Reports),
    };
    if name.is_empty() || name == "replace" {
        return Err(PaperError::NoFile);
    }
    let path = PathBuf::from(name);
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    let paper = match ending.as_deref() {
        Some("html" | "htm") => Paper::Page,
        Some("md") => Paper::Markdown,
        _ => return Err(PaperError::Ending { name: name.to_string() }),
    };
    Ok(ReportOrder { path, paper, overwrite })
}

/// Writes a report: whole, or not at all.
///
/// # Errors
/// [`PaperError`] if something else is there, or the disk refuses.
pub fn put(order: &ReportOrder, text: &str) -> Result<(), PaperError> {
    let name = order.path.display().to_string();
    let refused = |source| PaperError::Refused { name: name.clone(), source };
    if order.path.is_dir() {
        return Err(refused(io::Error::from(io::ErrorKind::IsADirectory)));
    }
    let free = match order.overwrite {
        Overwrite::Anything => true,
        Overwrite::Reports => !order.path.exists() || is_ours(&order.path).map_err(refused)?,
    };
    if !free {
        return Err(PaperError::Occupied { name });
    }
    // A full disk must not cost the report that was there.
    let mut unfinished = order.path.clone().into_os_string();
    unfinished.push(".unfinished");
    let written = fs::write(&unfinished, text).and_then(|()| fs::rename(&unfinished, &order.path));
    written.map_err(|source| {
        // What is left of the attempt is of no use to anybody.
        let _ = fs::remove_file(&unfinished);
        refused(source)
    })
}

/// Whether a file carries the mark of a report, near its start.
fn is_ours(path: &Path) -> io::Result<bool> {
    let mut start = Vec::new();
    fs::File::open(path)?.take(512).read_to_end(&mut start)?;
    let start = String::from_utf8_lossy(&start);
    Ok(start.is_empty() || [Paper::Markdown, Paper::Page].iter().any(|paper| start.contains(paper.mark())))
}
