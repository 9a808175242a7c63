//! Runs: parts read one after the other and joined end to end.

use super::builder::Builder;
use super::names::{called_twice, enter};
use super::reader::Located;
use super::schema::*;
use crate::source::{Diagnostic, Span, near};
use crate::vehicle::*;
use std::collections::HashMap;

/// A run whose parts have been read, to be joined to the points it names.
struct Link<'a> {
    from: Located<Name<'a>>,
    to: Located<Name<'a>>,
    /// First and last end; none if it has no parts.
    ends: Option<(usize, usize)>,
}

impl<'a> Builder<'_, 'a> {
    pub fn read_runs(&mut self, entry: &mut VehicleEntry<'a>) -> Vec<Run> {
        let mut runs = Vec::new();
        let mut links = Vec::new();
        let mut names = HashMap::new();
        for (run, span) in entry.runs.take() {
            let name = run.name.value;
            if let Some(name) = name {
                let place = self.reader.span_of(name);
                if let Some(first) = enter(&mut names, name.text, place) {
                    self.reader.findings.push(called_twice("runs", name, place).with_also(first, "first one"));
                }
            }
            let first_part = self.seeds.len();
            let (from, to, label) = (run.from, run.to, run.label.value.clone());
            let ends = self.read_run(run, span);
            links.push(Link { from, to, ends });
            let parts: Vec<PartId> = (first_part..self.seeds.len()).map(PartId::new).collect();
            // A run without parts only says that two points are one.
            if ends.is_some() {
                let name = name.map_or_else(String::new, |name| name.text.to_string());
                runs.push(Run { label: label.unwrap_or_else(|| name.clone()), name, parts, span });
            }
        }
        // Only now are all points known that a run may start from.
        links.into_iter().for_each(|link| self.join_run(link));
        runs
    }

    fn join_run(&mut self, link: Link<'a>) {
        let points = [link.from, link.to].map(|name| self.given_end(name));
        let Some((first, last)) = link.ends else {
            match points {
                [Located { value: Some(from), .. }, Located { value: Some(to), .. }] => self.ends.join(from, to),
                // The far end of a run without parts is not known.
                known => known.into_iter().filter_map(|end| end.value).for_each(|end| self.ends.doubt(end)),
            }
            return;
        };
        for (point, end) in points.into_iter().zip([first, last]) {
            match point.value {
                Some(point) => self.ends.join(point, end),
                None if point.span.is_some() => self.ends.doubt(end),
                None => {}
            }
        }
    }

    fn given_end(&mut self, name: Located<Name<'a>>) -> Located<usize> {
        let Located { value, span } = name;
        // What could not be read may lead anywhere.
        self.loose |= value.is_none() && span.is_some();
        let end = value.and_then(|name| self.end_of(name));
        if let (Some(name), None) = (value, end) {
            self.doubt_meant_end(name);
        }
        Located { value: end, span }
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
    fn read_run(&mut self, run: RunEntry<'a>, span: Span) -> Option<(usize, usize)> {
        let is_known = run.at.span.is_none() && !self.reader.spoiled.contains(&span);
        let stand_in = (!is_known).then(|| PlaceId::new(0));
        self.run_place = self.place(run.at.value).or(stand_in);
        let Some(parts) = run.parts.value else { return Some(self.gap()) };
        if parts.is_empty() {
            self.check_naming_run(run.to, span);
        }
        let mut ends: Option<(usize, usize)> = None;
        let count = parts.len();
        for (index, part) in parts.into_iter().enumerate() {
            let read = part.read().and_then(|(part, span)| {
                if let PartEntry::Capped { name, .. } = part {
                    self.check_capped(name, span, run.to, index + 1 == count);
                }
                let read = self.read_part(part, span);
                if read.is_none() {
                    self.reader.spoil_text(span);
                }
                read
            });
            let (start, stop) = read.unwrap_or_else(|| self.gap());
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

    fn check_naming_run(&mut self, to: Located<Name<'a>>, run: Span) {
        if to.span.is_none() {
            let finding = Diagnostic::error(
                Span { start: run.start, end: run.start + "Run".len() },
                "expected parts or a `to`, but this run has neither",
                "leads nowhere",
                "list its parts from supply to return; without parts, `from` and `to` are two names of one point",
            );
            self.reject(run, finding);
        }
    }

    /// A capped end is where a run stops.
    fn check_capped(&mut self, name: Name<'a>, span: Span, to: Located<Name<'a>>, is_last: bool) {
        if is_last && to.value.is_none() {
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
