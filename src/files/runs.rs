//! Runs: parts read one after the other and joined end to end.

use super::builder::Builder;
use super::names::enter;
use super::reader::{KeyField, Located};
use super::schema::*;
use crate::source::{Diagnostic, Span, near};
use crate::vehicle::*;
use std::collections::HashMap;

/// A run whose parts have been read, to be joined to the points it names.
struct Link<'a> {
    from: KeyField<Name<'a>>,
    to: KeyField<Name<'a>>,
    /// First and last end; none if it has no parts.
    ends: Option<(usize, usize)>,
}

impl<'a> Builder<'_, 'a> {
    pub fn read_runs(&mut self, entry: &VehicleEntry<'_, 'a>) -> Vec<Run> {
        let mut runs = Vec::new();
        let mut links = Vec::new();
        let mut names = HashMap::new();
        for node in entry.list("runs") {
            let Some(run) = self.reader.run(node) else {
                continue;
            };
            if let Some(name) = run.name {
                let span = self.reader.span_of(name);
                if let Some(first) = enter(&mut names, name.text, span) {
                    let headline = format!("two runs are called `{}`", name.text);
                    let finding = Diagnostic::error(span, headline, "second one", "give one of them another name");
                    self.reader.findings.push(finding.with_also(first, "first one"));
                }
            }
            let first_part = self.seeds.len();
            let ends = self.read_run(&run);
            links.push(Link { from: run.from, to: run.to, ends });
            let parts: Vec<PartId> = (first_part..self.seeds.len()).map(PartId::new).collect();
            // A run without parts only says that two points are one.
            if ends.is_some() {
                let name = run.name.map_or_else(String::new, |name| name.text.to_string());
                runs.push(Run { label: run.label.unwrap_or_else(|| name.clone()), name, parts, span: run.span });
            }
        }
        // Only now are all points known that a run may start from.
        links.into_iter().for_each(|link| self.join_run(link));
        runs
    }

    fn join_run(&mut self, link: Link<'a>) {
        let from = self.given_end(link.from);
        let to = self.given_end(link.to);
        let Some((first, last)) = link.ends else {
            return match (from, to) {
                (KeyField::Read(from), KeyField::Read(to)) => self.ends.join(from, to),
                (from, to) => [from, to].into_iter().for_each(|end| self.doubt_other_end(end)),
            };
        };
        for (point, end) in [(from, first), (to, last)] {
            match point {
                KeyField::Read(point) => self.ends.join(point, end),
                KeyField::Unread => self.ends.doubt(end),
                KeyField::Absent => {}
            }
        }
    }

    /// The far end of a run without parts is not known.
    fn doubt_other_end(&mut self, end: KeyField<usize>) {
        if let KeyField::Read(end) = end {
            self.ends.doubt(end);
        }
    }

    fn given_end(&mut self, name: KeyField<Name<'a>>) -> KeyField<usize> {
        match name {
            KeyField::Read(name) => match self.end_of(name) {
                Some(end) => KeyField::Read(end),
                None => {
                    self.doubt_meant_end(name);
                    KeyField::Unread
                }
            },
            KeyField::Unread => {
                self.loose = true;
                KeyField::Unread
            }
            KeyField::Absent => KeyField::Absent,
        }
    }

    /// The end that an unknown name may have meant, is not what it seems.
    fn doubt_meant_end(&mut self, name: Name<'a>) {
        if self.reader.is_broken(name.text) || !self.doubted.insert(name.text.to_lowercase()) {
            return;
        }
        let meant: Vec<String> = near(name.text, self.ends.known_names()).map(|(_, name)| name.to_string()).collect();
        self.loose |= meant.is_empty();
        let ends: Vec<usize> = meant.iter().filter_map(|name| self.ends.find(name)).collect();
        ends.into_iter().for_each(|end| self.ends.doubt(end));
    }

    /// Reads the parts of a run in order; the ends are those of the whole run.
    fn read_run(&mut self, run: &RunEntry<'_, 'a>) -> Option<(usize, usize)> {
        let stand_in = Some(PlaceId::new(0));
        self.run_place = match run.at {
            KeyField::Absent => None,
            KeyField::Unread => stand_in,
            KeyField::Read(name) => self.place(Some(name)).or(stand_in),
        };
        let Some(parts) = &run.parts else {
            self.reader.lost.push("parts");
            return Some(self.gap());
        };
        if parts.is_empty() {
            self.check_naming_run(run);
        }
        let mut ends: Option<(usize, usize)> = None;
        for (index, node) in parts.iter().enumerate() {
            let entry = self.reader.entry::<PartEntry>(node);
            if let Some(Located { value: PartEntry::Capped { name, .. }, span }) = &entry {
                self.check_capped(*name, *span, run, index + 1 == parts.len());
            }
            let read = entry.and_then(|Located { value, span }| self.read_part(value, span));
            let (start, stop) = read.unwrap_or_else(|| {
                self.reader.spoil(node);
                self.gap()
            });
            ends = Some(match ends {
                Some((first, last)) => {
                    self.ends.join(last, start);
                    (first, stop)
                }
                None => (start, stop),
            });
        }
        ends
    }

    /// Two loose ends where a part could not be read.
    fn gap(&mut self) -> (usize, usize) {
        let ends = (self.ends.create(None), self.ends.create(None));
        self.ends.doubt(ends.0);
        self.ends.doubt(ends.1);
        ends
    }

    fn check_naming_run(&mut self, run: &RunEntry<'_, 'a>) {
        if matches!(run.to, KeyField::Absent) {
            self.reject(
                run.span,
                Diagnostic::error(
                    Span { start: run.span.start, end: run.span.start + "Run".len() },
                    "expected parts or a `to`, but this run has neither",
                    "leads nowhere",
                    "list its parts from supply to return; without parts, `from` and `to` are two names of one point",
                ),
            );
        }
    }

    /// A capped end is where a run stops.
    fn check_capped(&mut self, name: Name<'a>, span: Span, run: &RunEntry<'_, 'a>, is_last: bool) {
        if is_last && !matches!(run.to, KeyField::Read(_)) {
            return;
        }
        let help = if is_last {
            "take `to` away from its run: nothing is connected yet"
        } else {
            "move it to the end of its run"
        };
        let headline = format!("capped end `{}` must end its run, but the run goes on", name.text);
        self.reject(span, Diagnostic::error(self.reader.span_of(name), headline, "the run goes on from here", help));
    }
}
