//! The way of a load as a drawing, supply at the top: points at the left with
//! what they read, parts at the right with what is known of them.

use super::phrases::{panel_said, read_said, standing_said};
use super::rows::spread;
use crate::case::{Hunt, ReadingVerdict, Way};
use crate::tables::telling::Telling;
use crate::vehicle::{PartId, PartKind, Vehicle};
use crate::words::document::{self, Anchor, Drawing, DrawingSize, Ink, Panel, Shape};
use crate::words::names;

/// Layout: of a panel, px.
const WIDTH: f64 = 328.0;
/// Layout: of the wire.
const WIRE: f64 = 122.0;
/// Layout: where the words on parts start.
const WORDS: f64 = 152.0;
/// Layout: from one point to the next.
const PITCH: f64 = 52.0;
/// Layout: the first point.
const TOP: f64 = 30.0;
/// Layout: parts of a panel: no more than an A4 page holds.
const MOST: usize = 15;
/// Layout: letters that fit beside a part.
const LETTERS: usize = 28;

/// The drawing, in as many panels as it needs.
pub fn panels(figures: &Telling, vehicle: &Vehicle, hunt: &Hunt, way: &Way) -> Vec<Panel> {
    // A panel ends with the point that the next starts with.
    let rows = spread(way.stations.len() - 1, MOST);
    let count = rows.len();
    rows.into_iter()
        .enumerate()
        .map(|(index, rows)| {
            let (first, last) = (rows.start, rows.end);
            let numbering = if count > 1 { format!(", {} of {count}", index + 1) } else { String::new() };
            let title = format!("Way of {}{numbering}", names::short_part(vehicle, way.load));
            let mut sheet = CircuitSheet { figures, vehicle, hunt, way, first, last, shapes: Vec::new() };
            sheet.draw(&title);
            let height = sheet.level(last) + 24.0;
            let description = panel_said(vehicle, &way.stations[first..=last]);
            Panel { title, description, drawing: Drawing { width: WIDTH, height, shapes: sheet.shapes } }
        })
        .collect()
}

/// One panel being drawn.
struct CircuitSheet<'a> {
    figures: &'a Telling,
    vehicle: &'a Vehicle,
    hunt: &'a Hunt,
    way: &'a Way,
    first: usize,
    last: usize,
    shapes: Vec<Shape>,
}

impl CircuitSheet<'_> {
    fn level(&self, station: usize) -> f64 {
        TOP + PITCH * (station - self.first) as f64
    }

    fn draw(&mut self, title: &str) {
        self.text((0.0, 14.0), Anchor::Start, DrawingSize::Note, Ink::Quiet, title.to_string());
        for station in self.first + 1..=self.last {
            if let Some(part) = self.way.stations[station].stop.by {
                self.part(part, self.level(station - 1));
            }
        }
        (self.first..=self.last).for_each(|station| self.point(station));
        self.spans();
    }

    fn text(&mut self, at: (f64, f64), anchor: Anchor, size: DrawingSize, ink: Ink, text: String) {
        self.shapes.push(Shape::Text { at, anchor, size, ink, text });
    }

    fn line(&mut self, from: (f64, f64), to: (f64, f64), width: f64, ink: Ink) {
        self.shapes.push(Shape::Line { from, to, width, ink });
    }

    /// A part below the point at `top`.
    fn part(&mut self, id: PartId, top: f64) {
        let (standing, ink) = standing_said(self.figures, self.hunt, id);
        let middle = top + 0.5 * PITCH;
        if ink == Ink::Bad {
            self.question(top);
        }
        self.line((WIRE, top), (WIRE, top + PITCH), 2.0, Ink::Plain);
        self.symbol(&self.vehicle.part(id).kind, middle);
        let part = self.vehicle.part(id);
        let label = part.label.as_deref().filter(|label| *label != part.name).unwrap_or(part.kind.words());
        let mut lines = vec![(DrawingSize::Name, Ink::Plain, part.name.clone())];
        lines.extend(broken(label).into_iter().map(|line| (DrawingSize::Note, Ink::Quiet, line)));
        lines.extend(
            standing.map(|word| (if ink == Ink::Bad { DrawingSize::Name } else { DrawingSize::Note }, ink, word)),
        );
        let start = middle + 4.0 - 6.5 * (lines.len() - 1) as f64;
        for (index, (size, ink, line)) in lines.into_iter().enumerate() {
            self.text((WORDS, start + 13.0 * index as f64), Anchor::Start, size, ink, line);
        }
    }

    /// The mark of a part in question: a tinted ground and a bracket.
    fn question(&mut self, top: f64) {
        let (upper, lower) = (top + 2.0, top + PITCH - 2.0);
        let at = (WIRE + 18.0, upper);
        self.shapes.push(Shape::Block { at, size: (WIDTH - at.0, lower - upper), ink: Ink::Tint });
        self.line((at.0, upper), (at.0, lower), 4.0, Ink::Bad);
        self.line((at.0 - 8.0, upper), (at.0, upper), 4.0, Ink::Bad);
        self.line((at.0 - 8.0, lower), (at.0, lower), 4.0, Ink::Bad);
    }

    fn frame(&mut self, middle: f64, width: f64, height: f64) {
        let at = (WIRE - 0.5 * width, middle - 0.5 * height);
        self.shapes.push(Shape::Frame { at, size: (width, height), ink: Ink::Plain });
    }

    fn ring(&mut self, at: (f64, f64), radius: f64) {
        self.shapes.push(Shape::Round { at, radius, ink: Ink::Plain, fill: Ink::Page });
    }

    /// A symbol in the manner of IEC 60617, from memory; the words beside it
    /// say what it is.
    fn symbol(&mut self, kind: &PartKind, middle: f64) {
        let across = |sheet: &mut Self, y: f64, reach: f64| {
            sheet.line((WIRE - reach, y), (WIRE + reach, y), 2.0, Ink::Plain);
        };
        match kind {
            PartKind::Cable { .. } => self.line((WIRE, middle - 16.0), (WIRE, middle + 16.0), 5.0, Ink::Plain),
            PartKind::Joint => {
                self.shapes.push(Shape::Round { at: (WIRE, middle), radius: 3.5, ink: Ink::Plain, fill: Ink::Plain });
            }
            PartKind::HolderContact => across(self, middle, 7.0),
            PartKind::Pin => {
                across(self, middle - 3.0, 7.0);
                across(self, middle + 3.0, 7.0);
            }
            PartKind::Fuse { .. } => {
                self.frame(middle, 11.0, 26.0);
                self.line((WIRE, middle - 13.0), (WIRE, middle + 13.0), 1.5, Ink::Plain);
            }
            PartKind::Switch | PartKind::Isolator | PartKind::Contact { .. } | PartKind::Breaker { .. } => {
                self.line((WIRE, middle - 10.0), (WIRE, middle + 10.0), 4.0, Ink::Page);
                self.line((WIRE - 8.0, middle - 12.0), (WIRE, middle + 10.0), 2.0, Ink::Plain);
                self.ring((WIRE, middle - 11.0), 2.5);
                self.ring((WIRE, middle + 11.0), 2.5);
            }
            PartKind::Load { .. } => {
                self.ring((WIRE, middle), 11.0);
                self.line((WIRE - 7.5, middle - 7.5), (WIRE + 7.5, middle + 7.5), 1.5, Ink::Plain);
                self.line((WIRE - 7.5, middle + 7.5), (WIRE + 7.5, middle - 7.5), 1.5, Ink::Plain);
            }
            PartKind::Diode { .. } => {
                let corners = vec![(WIRE - 7.0, middle - 6.0), (WIRE + 7.0, middle - 6.0), (WIRE, middle + 6.0)];
                self.shapes.push(Shape::Polygon { corners, ink: Ink::Plain });
                across(self, middle + 6.0, 7.0);
            }
            PartKind::Chassis => [(0.0, 10.0), (4.0, 6.5), (8.0, 3.0)]
                .into_iter()
                .for_each(|(below, reach)| across(self, middle - 4.0 + below, reach)),
            PartKind::Coil(_) | PartKind::Shunt | PartKind::Supply(_) | PartKind::Instrument(_) => {
                self.frame(middle, 13.0, 24.0)
            }
        }
    }

    fn point(&mut self, station: usize) {
        let level = self.level(station);
        let of = &self.way.stations[station];
        let name = shortened(names::short_point(self.vehicle, of.stop.point), 13);
        self.text((WIRE - 14.0, level + 4.5), Anchor::End, DrawingSize::Name, Ink::Plain, name);
        self.shapes.push(mark((WIRE, level), of.read.map(|(_, verdict)| verdict)));
        if let Some((volts, verdict)) = of.read {
            self.text(
                (WIRE - 14.0, level + 18.5),
                Anchor::End,
                DrawingSize::Note,
                tone(verdict),
                read_said(volts, verdict),
            );
        }
    }

    /// Readings between two points, as a line along the left edge.
    fn spans(&mut self) {
        let mut taken = Vec::new();
        for &(red, black, volts, verdict) in &self.way.spans {
            let (from, to) = (red.min(black), red.max(black));
            // The value stands below the first point that has room for it.
            let row = (from..to).find(|row| !taken.contains(row)).unwrap_or(from);
            taken.push(row);
            if from >= self.last || to <= self.first {
                continue;
            }
            let (upper, lower) = (self.level(from.max(self.first)), self.level(to.min(self.last)));
            let x = 4.0 + 5.0 * (taken.len() - 1) as f64;
            self.line((x, upper), (x, lower), 1.5, tone(verdict));
            self.line((x, upper), (x + 5.0, upper), 1.5, tone(verdict));
            self.line((x, lower), (x + 5.0, lower), 1.5, tone(verdict));
            if (self.first..self.last).contains(&row) {
                let y = self.level(row) + 34.0;
                self.line((x, y - 4.0), (30.0_f64.max(x), y - 4.0), 1.0, tone(verdict));
                let at = (WIRE - 14.0, y);
                self.text(at, Anchor::End, DrawingSize::Note, tone(verdict), read_said(volts, verdict));
            }
        }
    }
}

/// The mark of a point: an open ring where nothing was read, a disc where it
/// reads as it should, a diamond where it does not.
pub fn mark(at: (f64, f64), verdict: Option<ReadingVerdict>) -> Shape {
    match verdict {
        None => Shape::Round { at, radius: 3.5, ink: Ink::Plain, fill: Ink::Page },
        Some(ReadingVerdict::Within) => Shape::Round { at, radius: 5.0, ink: Ink::Good, fill: Ink::Good },
        Some(ReadingVerdict::Floating) => Shape::Round { at, radius: 5.0, ink: Ink::Plain, fill: Ink::Page },
        Some(ReadingVerdict::Low | ReadingVerdict::High) => {
            let (x, y) = at;
            Shape::Polygon { corners: vec![(x, y - 6.5), (x + 6.5, y), (x, y + 6.5), (x - 6.5, y)], ink: Ink::Bad }
        }
    }
}

/// The ink of a verdict.
pub fn tone(verdict: ReadingVerdict) -> Ink {
    match verdict {
        ReadingVerdict::Within => Ink::Good,
        ReadingVerdict::Floating => Ink::Plain,
        ReadingVerdict::Low | ReadingVerdict::High => Ink::Bad,
    }
}

/// Words in at most two lines that fit; the table holds them in full.
fn broken(words: &str) -> Vec<String> {
    let mut lines: Vec<String> = document::broken(words, LETTERS).iter().map(|line| shortened(line, LETTERS)).collect();
    if lines.len() > 2 {
        lines.truncate(2);
        lines[1] = shortened(&format!("{} …", lines[1]), LETTERS);
    }
    lines
}

/// At most so many letters.
pub fn shortened(text: &str, letters: usize) -> String {
    match text.chars().count() > letters {
        true => text.chars().take(letters - 1).chain(['…']).collect(),
        false => text.to_string(),
    }
}
