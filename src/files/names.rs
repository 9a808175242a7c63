//! Names of a vehicle file while it is being put together: which are taken,
//! and which endpoints are one point.

use super::reader::Reader;
use super::schema::Name;
use crate::source::{Diagnostic, Span, nearest};
use crate::vehicle::{Markings, PlaceId, Point, PointId};
use std::collections::HashMap;

/// Names that may stand only once, by kind of thing.
#[derive(Default)]
pub struct ClaimedNames {
    spans: HashMap<String, Span>,
}

impl ClaimedNames {
    /// Claims a name, or reports who has it.
    pub fn claim(&mut self, reader: &mut Reader<'_>, name: Name<'_>) -> Span {
        let span = reader.span_of(name);
        let odd = |c: char| !(c.is_alphanumeric() || matches!(c, '_' | '-' | '/'));
        if name.text.is_empty() || name.text.contains(odd) || name.text.ends_with('-') {
            reader.findings.push(Diagnostic::error(
                span,
                format!("`{}` cannot be used as a name", name.text),
                "this name",
                "use letters, digits, `_`, `/` and `-` (not at the end), without spaces or dots",
            ));
        }
        match self.spans.get(&name.text.to_lowercase()) {
            Some(&first) => reader.findings.push(
                Diagnostic::error(
                    span,
                    format!("`{}` is the name of two things", name.text),
                    "second use",
                    "give one of them another name; capitals make no difference",
                )
                .with_also(first, "first use"),
            ),
            None => {
                self.spans.insert(name.text.to_lowercase(), span);
            }
        }
        span
    }
}

/// Two things of a kind may not have one name.
pub fn called_twice(kind: &str, name: Name<'_>, second: Span) -> Diagnostic {
    let headline = format!("two {kind} are called `{}`", name.text);
    Diagnostic::error(second, headline, "second one", "give one of them another name")
}

/// A thing with its name as written.
pub struct Declared<T> {
    pub name: String,
    pub thing: T,
}

/// Things by lower-case name.
pub fn enter<T>(known: &mut HashMap<String, Declared<T>>, name: &str, thing: T) -> Option<T> {
    let before = known.insert(name.to_lowercase(), Declared { name: name.to_string(), thing });
    before.map(|known| known.thing)
}

/// Looks up a name among those of one kind, or reports it with the nearest.
pub fn resolve<T: Copy>(
    reader: &mut Reader<'_>,
    what: &'static str,
    name: Name<'_>,
    known: &HashMap<String, Declared<T>>,
) -> Option<T> {
    if let Some(found) = known.get(&name.text.to_lowercase()) {
        return Some(found.thing);
    }
    report_unknown(reader, what, name, known.values().map(|known| known.name.as_str()));
    None
}

/// Reports an unknown name with the nearest known one, unless its own entry
/// was unreadable.
pub fn report_unknown<'k>(
    reader: &mut Reader<'_>,
    what: &'static str,
    name: Name<'_>,
    known: impl Iterator<Item = &'k str>,
) {
    reader.report_unknown(what, name, || match nearest(name.text, known) {
        Some(near) => format!("did you mean `{near}`?"),
        None if what == "point" => {
            "a point is a bus (`HB`), a post (`B1+`) or an end of a part (`F1.out`, `lamp-`)".to_string()
        }
        None => format!("declare this {what}, or correct the name"),
    });
}

/// How gladly a name is shown: a bus before a part, a part before a cable.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rank {
    Bus,
    Post,
    Device,
    Cable,
    Alias,
}

/// Ends of parts, merged where they are the same point.
#[derive(Default)]
pub struct Endpoints {
    parent: Vec<usize>,
    sizes: Vec<usize>,
    names: Vec<(Rank, String)>,
    owners: Vec<usize>,
    places: Vec<Vec<PlaceId>>,
    labels: Vec<Option<String>>,
    marks: Vec<Markings>,
    /// Ends next to something that could not be read.
    doubtful: Vec<usize>,
    /// Lower-case name to the name as written and the endpoint.
    known: HashMap<String, (String, usize)>,
}

impl Endpoints {
    /// An end that has no name yet.
    pub fn create(&mut self, place: Option<PlaceId>) -> usize {
        self.parent.push(self.parent.len());
        self.sizes.push(1);
        self.places.push(place.into_iter().collect());
        self.labels.push(None);
        self.marks.push(Markings::default());
        self.parent.len() - 1
    }

    /// Gives an end a name; the first owner of a name keeps it.
    pub fn name(&mut self, end: usize, rank: Rank, name: &str) {
        self.names.push((rank, name.to_string()));
        self.owners.push(end);
        self.known.entry(name.to_lowercase()).or_insert_with(|| (name.to_string(), end));
    }

    /// Says what people call an end, where that says more than its name.
    pub fn label(&mut self, end: usize, label: Option<String>) {
        self.labels[end] = label;
    }

    /// Says what tells an end from its neighbours.
    pub fn mark(&mut self, end: usize, marks: Markings) {
        self.marks[end] = marks;
    }

    /// Markings an end: nobody knows what else is joined to it.
    pub fn doubt(&mut self, end: usize) {
        self.doubtful.push(end);
    }

    /// The end of that name, made if there is none.
    pub fn find_or_create(&mut self, name: &str, rank: Rank, place: Option<PlaceId>) -> usize {
        match self.find(name) {
            Some(end) => end,
            None => {
                let end = self.create(place);
                self.name(end, rank, name);
                end
            }
        }
    }

    /// The end of that name.
    pub fn find(&self, name: &str) -> Option<usize> {
        self.known.get(&name.to_lowercase()).map(|&(_, end)| end)
    }

    /// Every name, as written.
    pub fn known_names(&self) -> impl Iterator<Item = &str> {
        self.known.values().map(|(name, _)| name.as_str())
    }

    /// Makes two ends one point.
    pub fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        if a != b {
            // The bigger tree stays on top, so that ways to the root are short.
            let (top, under) = if self.sizes[a] < self.sizes[b] { (b, a) } else { (a, b) };
            self.parent[under] = top;
            self.sizes[top] += self.sizes[under];
            let moved = std::mem::take(&mut self.places[under]);
            self.places[top].extend(moved);
        }
    }

    fn root(&self, mut end: usize) -> usize {
        while self.parent[end] != end {
            end = self.parent[end];
        }
        end
    }

    /// The points, for each end the point it became, and the doubtful points.
    pub fn into_points(self) -> (Vec<Point>, Vec<PointId>, Vec<PointId>) {
        let mut numbers = HashMap::new();
        let mut points: Vec<Point> = Vec::new();
        let mut of_end = Vec::with_capacity(self.parent.len());
        for end in 0..self.parent.len() {
            let root = self.root(end);
            let number = *numbers.entry(root).or_insert_with(|| {
                let mut places = self.places[root].clone();
                places.sort_unstable();
                places.dedup();
                points.push(Point { names: Vec::new(), label: None, places, marks: Markings::default() });
                points.len() - 1
            });
            if let Some(label) = &self.labels[end] {
                points[number].label = Some(label.clone());
            }
            if self.marks[end] != Markings::default() {
                points[number].marks = self.marks[end].clone();
            }
            of_end.push(PointId::new(number));
        }
        let mut order: Vec<usize> = (0..self.names.len()).collect();
        order.sort_by_key(|&index| self.names[index].0);
        for index in order {
            points[of_end[self.owners[index]].index()].names.push(self.names[index].1.clone());
        }
        let doubtful = self.doubtful.iter().map(|&end| of_end[end]).collect();
        (points, of_end, doubtful)
    }
}
