//! The lines of a file back to entries. What cannot be used is set aside and
//! explained; everything else counts.

use super::line::{FORMAT, Header, Line, Stamp, read_line};
use super::written::{Unusable, Written};
use crate::case::entry::Entry;
use crate::complaint::Trees;
use crate::source::{Diagnostic, SourceFile, Span};
use crate::vehicle::Vehicle;
use std::collections::HashMap;

/// An entry that was kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    /// When, by whom, and its number.
    pub stamp: Stamp,
    pub entry: Entry,
    /// Where it stands in the file.
    pub span: Span,
}

/// What a file comes to.
#[derive(Debug, Clone)]
pub struct Replayed {
    pub file: SourceFile,
    /// Its first line, if it could be read.
    pub header: Option<Header>,
    /// The entries that stand, in order.
    pub entries: Vec<Kept>,
    /// The entries taken back that can be put in again, the next one last.
    pub undone: Vec<Kept>,
    /// Number of the next line.
    pub next: u64,
    /// The newest line.
    pub last: Option<Stamp>,
    /// What was set aside, in file order.
    pub findings: Vec<Diagnostic>,
}

/// Reads what a file holds.
pub fn replay(path: String, bytes: &[u8], vehicle: &Vehicle, trees: &Trees) -> Replayed {
    let mut of = Replayed {
        file: SourceFile::new(path, String::new()),
        header: None,
        entries: Vec::new(),
        undone: Vec::new(),
        next: 1,
        last: None,
        findings: Vec::new(),
    };
    let mut stacks = Stacks::default();
    for raw in bytes.split_inclusive(|&byte| byte == b'\n') {
        let start = of.file.text.len();
        let text = String::from_utf8_lossy(raw).into_owned();
        let line = text.trim_end_matches(['\n', '\r']);
        let is_torn = line.len() == text.len();
        if !line.trim().is_empty() {
            let header = if of.header.is_none() { read_line::<Header>(line, start).ok() } else { None };
            match header {
                Some(header) => of.header = Some(header),
                None => match read_line::<Line>(line, start) {
                    Ok(line) => {
                        let span = Span { start, end: start + text.trim_end().len() };
                        of.next = of.next.max(line.stamp().number.saturating_add(1));
                        of.last = Some(line.stamp());
                        stacks.apply(line, span, &mut of.findings);
                    }
                    Err(_) if is_torn => of.findings.push(torn(start, line)),
                    Err(finding) => of.findings.push(*finding),
                },
            }
        }
        of.file.text += &text;
    }
    stacks.convert(vehicle, trees, &mut of);
    of.findings.sort_by_key(|finding| finding.span.map_or(0, |span| span.start));
    of
}

fn torn(start: usize, line: &str) -> Diagnostic {
    Diagnostic::warning(
        Span { start, end: start + line.len() },
        "the last line was cut off while it was being written",
        "set aside",
        "its entry was never confirmed; look at the end of `record` and enter it again if it is missing",
    )
}

/// Whether a newer program wrote the file.
pub fn is_too_new(of: &Replayed) -> bool {
    of.header.as_ref().is_some_and(|header| header.format > FORMAT)
}

/// A line with an entry.
struct Entered {
    stamp: Stamp,
    written: Written,
    span: Span,
}

/// The entries as undo and redo left them.
#[derive(Default)]
struct Stacks {
    live: Vec<Entered>,
    undone: Vec<Entered>,
}

impl Stacks {
    fn apply(&mut self, line: Line, span: Span, findings: &mut Vec<Diagnostic>) {
        let stamp = line.stamp();
        let (from, to, of, what) = match line {
            Line::Entry { did, .. } => {
                self.undone.clear();
                return self.live.push(Entered { stamp, written: did, span });
            }
            Line::WentOn { .. } => return,
            Line::Undo { of, .. } => (&mut self.live, &mut self.undone, of, "takes back"),
            Line::Redo { of, .. } => (&mut self.undone, &mut self.live, of, "puts in again"),
        };
        match from.iter().rposition(|entered| entered.stamp.number == of) {
            Some(position) => to.push(from.remove(position)),
            None => findings.push(Diagnostic::warning(
                span,
                format!("this line {what} entry {of}, which is not there"),
                "no such entry",
                "nothing depends on it; the line is set aside",
            )),
        }
    }

    /// Names to things, in the order in which the entries would be put in, so
    /// that readings get their numbers.
    fn convert(self, vehicle: &Vehicle, trees: &Trees, of: &mut Replayed) {
        let mut readings: HashMap<u64, usize> = HashMap::new();
        let mut converted = |entered: Entered, findings: &mut Vec<Diagnostic>| -> Option<Kept> {
            match entered.written.entry(vehicle, trees, |number| readings.get(&number).copied()) {
                Ok(entry) => {
                    if matches!(entry, Entry::Read { .. }) {
                        let count = readings.len() + 1;
                        readings.insert(entered.stamp.number, count);
                    }
                    Some(Kept { stamp: entered.stamp, entry, span: entered.span })
                }
                Err(why) => {
                    findings.push(unusable(&of.file, entered.span, &why));
                    None
                }
            }
        };
        for entered in self.live {
            of.entries.extend(converted(entered, &mut of.findings));
        }
        for entered in self.undone.into_iter().rev() {
            of.undone.extend(converted(entered, &mut of.findings));
        }
        of.undone.reverse();
    }
}

/// An entry that does not count, with the spot marked.
fn unusable(file: &SourceFile, line: Span, why: &Unusable) -> Diagnostic {
    let (marked, headline, help) = match why {
        Unusable::UnknownName { what, name, near } => {
            let near = near.as_ref().map_or(String::new(), |near| format!(" (`{near}` is near)"));
            (
                format!("\"{name}\""),
                match *what {
                    "complaint tree" | "question" | "answer" => format!("there is no {what} `{name}`{near}"),
                    _ => format!("the drawing has no {what} `{name}`{near}"),
                },
                "the entry does not count; if the thing was renamed in the drawing, change the name here too",
            )
        }
        Unusable::UnknownReading { entry } => (
            format!("of: {entry}"),
            format!("entry {entry} is no reading that counts"),
            "the entry does not count; mend the line it means, if that was set aside too",
        ),
        Unusable::BadValue => (
            "shows: ".to_string(),
            "this is no value that a meter shows for it".to_string(),
            "the entry does not count; correct the number, or enter the reading again",
        ),
    };
    let spot = match file.text[line.range()].find(&marked) {
        Some(at) => Span { start: line.start + at, end: line.start + at + marked.len() },
        None => line,
    };
    Diagnostic::warning(spot, headline, "set aside", help)
}
