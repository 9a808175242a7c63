//! The voltage profile of a way: at each point the expected band and what was
//! read. Supply side and return side have a scale each: one shows volts near
//! the supply's, the other losses of a few millivolts.

use super::circuit::{mark, shortened, tone};
use super::phrases::{panel_said, read_said};
use super::rows::spread;
use crate::case::{AccountPoint, Way};
use crate::vehicle::Vehicle;
use crate::words::document::{Anchor, Drawing, DrawingSize, Ink, Panel, Shape};
use crate::words::names;

/// Layout: of a panel, px.
const WIDTH: f64 = 328.0;
/// Layout: where names end.
const NAMES: f64 = 84.0;
/// Layout: where the scale starts and ends.
const SCALE: (f64, f64) = (96.0, 224.0);
/// Layout: where what was read stands.
const READ: f64 = 236.0;
/// Layout: the first point.
const TOP: f64 = 80.0;
/// Layout: points of a panel: no more than an A4 page holds.
const MOST: usize = 32;
/// Layout: from one point to the next.
const PITCH: f64 = 26.0;
/// Layout: a band narrower than this could not be seen.
const NARROWEST: f64 = 3.0;

/// The chart, in as many panels as it needs.
pub fn panels(vehicle: &Vehicle, way: &Way) -> Vec<Panel> {
    let load = vehicle.part(way.load);
    let turn = way.stations.iter().position(|station| station.stop.point == load.from).map_or(0, |index| index + 1);
    let (feed, back) = way.stations.split_at(turn);
    let black = names::short_point(vehicle, way.black);
    [("Supply side", feed), ("Return side", back)]
        .into_iter()
        .filter_map(|(side, stations)| Some((side, stations, Axis::over(stations)?)))
        .flat_map(|(side, stations, axis)| {
            let rows = spread(stations.len(), MOST);
            let count = rows.len();
            rows.into_iter().enumerate().map(move |(index, rows)| {
                let numbering = if count > 1 { format!(", {} of {count}", index + 1) } else { String::new() };
                let title = format!("{side}{numbering}");
                let drawing = drawn(vehicle, &stations[rows.clone()], &axis, &title, black);
                Panel { title, description: panel_said(vehicle, &stations[rows]), drawing }
            })
        })
        .collect()
}

/// A scale in volts.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Axis {
    low: f64,
    high: f64,
    step: f64,
}

impl Axis {
    /// Over everything expected and read; `None` if there is nothing.
    fn over(stations: &[AccountPoint]) -> Option<Self> {
        let bands = stations.iter().filter_map(|station| station.expected).flat_map(|band| [band.low, band.high]);
        let read = stations.iter().filter_map(|station| station.read).map(|(volts, _)| volts.0);
        let volts: Vec<f64> = bands.chain(read).collect();
        let low = volts.iter().copied().reduce(f64::min)?;
        let high = volts.iter().copied().reduce(f64::max)?;
        Some(Self::from(low, high.max(low + 1e-3)))
    }

    /// From a round number to a round number, in two to four steps.
    fn from(low: f64, high: f64) -> Self {
        // Near enough to zero, it starts there.
        let low = if low > -0.05 * high && low < 0.6 * high { 0.0 } else { low };
        let decade = 10f64.powf(((high - low) / 4.0).log10().floor());
        let steps = [1.0, 2.0, 5.0, 10.0].map(|factor| factor * decade);
        let fits = |step: &f64| (high / step).ceil() - (low / step).floor() <= 4.0;
        let step = steps.into_iter().find(fits).unwrap_or(20.0 * decade);
        Self { low: (low / step).floor() * step, high: (high / step).ceil() * step, step }
    }

    fn place(&self, volts: f64) -> f64 {
        SCALE.0 + (SCALE.1 - SCALE.0) * ((volts - self.low) / (self.high - self.low)).max(0.0)
    }

    fn ticks(&self) -> Vec<f64> {
        let count = ((self.high - self.low) / self.step).round() as usize;
        (0..=count).map(|index| self.low + self.step * index as f64).collect()
    }

    /// Whether millivolts read better.
    fn is_small(&self) -> bool {
        self.high.abs().max(self.low.abs()) < 1.0
    }

    fn tick_said(&self, volts: f64) -> String {
        let (value, step) = if self.is_small() { (volts * 1e3, self.step * 1e3) } else { (volts, self.step) };
        let decimals = (-step.log10().floor()).max(0.0) as usize;
        let text = format!("{value:.decimals$}");
        if text.trim_start_matches('-').chars().all(|letter| matches!(letter, '0' | '.')) { "0".into() } else { text }
    }
}

fn drawn(vehicle: &Vehicle, stations: &[AccountPoint], axis: &Axis, title: &str, black: &str) -> Drawing {
    let bottom = TOP + PITCH * (stations.len() - 1) as f64 + 12.0;
    let mut shapes = Vec::new();
    let mut text = |at, anchor, size, ink, text: String| shapes.push(Shape::Text { at, anchor, size, ink, text });
    let unit = if axis.is_small() { "mV" } else { "V" };
    let start =
        if axis.low == 0.0 { String::new() } else { format!("; the scale starts at {}", axis.tick_said(axis.low)) };
    text((0.0, 14.0), Anchor::Start, DrawingSize::Name, Ink::Plain, title.to_string());
    let scale = format!("{unit} against {}{start}", shortened(black, 20));
    text((0.0, 32.0), Anchor::Start, DrawingSize::Note, Ink::Quiet, scale);
    for tick in axis.ticks() {
        let x = axis.place(tick);
        text((x, 54.0), Anchor::Middle, DrawingSize::Note, Ink::Quiet, axis.tick_said(tick));
    }
    for tick in axis.ticks() {
        let x = axis.place(tick);
        shapes.push(Shape::Line { from: (x, 60.0), to: (x, bottom), width: 1.0, ink: Ink::Line });
    }
    for (index, station) in stations.iter().enumerate() {
        row(&mut shapes, vehicle, station, axis, TOP + PITCH * index as f64);
    }
    Drawing { width: WIDTH, height: bottom + 12.0, shapes }
}

fn row(shapes: &mut Vec<Shape>, vehicle: &Vehicle, station: &AccountPoint, axis: &Axis, y: f64) {
    let name = shortened(names::short_point(vehicle, station.stop.point), 11);
    let at = (NAMES, y + 4.5);
    shapes.push(Shape::Text { at, anchor: Anchor::End, size: DrawingSize::Name, ink: Ink::Plain, text: name });
    if let Some(band) = station.expected {
        let (low, high) = (axis.place(band.low), axis.place(band.high));
        let width = (high - low).max(NARROWEST);
        let at = (0.5 * (low + high) - 0.5 * width, y - 5.0);
        shapes.push(Shape::Block { at, size: (width, 10.0), ink: Ink::Band });
    }
    let (said, ink) = match (station.read, station.expected) {
        (Some((volts, verdict)), _) => {
            shapes.push(mark((axis.place(volts.0), y), Some(verdict)));
            (read_said(volts, verdict), tone(verdict))
        }
        (None, None) => ("floating".to_string(), Ink::Quiet),
        (None, Some(_)) => return,
    };
    shapes.push(Shape::Text { at: (READ, y + 4.5), anchor: Anchor::Start, size: DrawingSize::Note, ink, text: said });
}

#[cfg(test)]
mod tests {
    use super::Axis;

    #[track_caller]
    fn ticks(low: f64, high: f64, said: &[&str]) {
        let axis = Axis::from(low, high);
        let told: Vec<String> = axis.ticks().into_iter().map(|tick| axis.tick_said(tick)).collect();
        assert_eq!(told, said);
        assert!(axis.low <= low.max(0.0) && axis.high >= high);
    }

    #[test]
    fn scales_start_and_end_at_round_numbers() {
        ticks(11.4, 13.86, &["11", "12", "13", "14"]);
        ticks(0.0, 12.9, &["0", "5", "10", "15"]);
        ticks(0.0012, 0.0084, &["0", "5", "10"]);
        ticks(-0.0006, 0.268, &["0", "100", "200", "300"]);
        ticks(-0.2, 0.268, &["-200", "0", "200", "400"]);
    }

    #[test]
    fn a_scale_far_from_zero_keeps_its_detail() {
        assert!(Axis::from(12.4, 12.9).low > 12.0);
    }
}
