//! What a person with a sheet tells apart: as it should be, low, nothing, high.

use crate::belief::{Sign, Symptom};
use crate::case::Entry;
use crate::plan::{Advice, Range, Test};
use crate::predict::Scale;
use crate::quantity::{Amps, Measured, Ohms, Typed, Volts};
use crate::tables::Tables;
use crate::tables::instruments::Instruments;
use crate::vehicle::Vehicle;

/// Layout: V or A below which an edge is rounded to a tenth of this.
const COARSE: f64 = 1e-3;
/// Layout: steps of that in a volt or ampere.
const PER_UNIT: f64 = 1e4;

/// What somebody found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Took {
    /// A display showed it.
    Shown(Measured),
    /// It was seen or heard.
    Seen(Sign),
}

/// An outcome as the sheet words it.
#[derive(Debug, Clone, PartialEq)]
pub enum When {
    /// A value of a scale between two limits; none where it is open.
    Reads {
        /// The scale.
        scale: Scale,
        /// From here.
        from: Option<f64>,
        /// To below there.
        below: Option<f64>,
        /// Whether a sound vehicle reads so.
        is_sound: bool,
    },
    /// One of these signs.
    Signs(Vec<Sign>),
}

impl When {
    /// Whether what was found is this outcome.
    pub fn holds(&self, instruments: &Instruments, took: &Took) -> bool {
        match (self, took) {
            (Self::Reads { from, below, .. }, Took::Shown(measured)) => {
                let value = Scale::value_of(instruments, measured).0;
                from.is_none_or(|from| value >= from) && below.is_none_or(|below| value < below)
            }
            (Self::Signs(signs), Took::Seen(sign)) => signs.contains(sign),
            _ => false,
        }
    }
}

/// An outcome with those that found it.
pub struct OutcomeClass {
    pub when: When,
    /// Who, by position.
    pub members: Vec<usize>,
    /// What goes into the record for all of them.
    pub stands_for: Took,
}

impl Took {
    /// The entry for it.
    pub fn entered(self, advice: &Advice) -> Entry {
        let settings = advice.settings.clone();
        match (advice.test, self) {
            (Test::Measure(probe), Self::Shown(measured)) => {
                Entry::Read { settings, probe, measured, symptom: Symptom::Present }
            }
            (Test::Sense { subject, .. }, Self::Seen(sign)) => Entry::Observe { settings, subject, sign },
            (test, _) => Entry::Unwanted { test },
        }
    }
}

/// The outcomes that are told apart; what nobody found joins its neighbour.
pub fn classes(tables: &Tables, vehicle: &Vehicle, advice: &Advice, taken: &[Took]) -> Vec<OutcomeClass> {
    match advice.sound {
        Some(sound) => by_value(tables, vehicle, sound, taken),
        None => by_sign(taken),
    }
}

fn by_sign(taken: &[Took]) -> Vec<OutcomeClass> {
    let mut classes: Vec<OutcomeClass> = Vec::new();
    for (member, &took) in taken.iter().enumerate() {
        let Took::Seen(sign) = took else { continue };
        // Dead and weak lead the same way: it does not work as it should.
        let same = |class: &&mut OutcomeClass| match class.stands_for {
            Took::Seen(other) => other.is_complaint() && sign.is_complaint() || other == sign,
            Took::Shown(_) => false,
        };
        match classes.iter_mut().find(same) {
            Some(class) => {
                class.members.push(member);
                if let When::Signs(signs) = &mut class.when
                    && !signs.contains(&sign)
                {
                    signs.push(sign);
                }
            }
            None => {
                classes.push(OutcomeClass { when: When::Signs(vec![sign]), members: vec![member], stands_for: took })
            }
        }
    }
    classes
}

fn by_value(tables: &Tables, vehicle: &Vehicle, sound: Range, taken: &[Took]) -> Vec<OutcomeClass> {
    let value = |took: &Took| match took {
        Took::Shown(measured) => Scale::value_of(&tables.instruments, measured).0,
        Took::Seen(_) => 0.0,
    };
    let mut values: Vec<f64> = taken.iter().map(value).collect();
    values.sort_by(f64::total_cmp);
    let width = sound.high - sound.low;
    let low = clear_of(&values, sound.low - 0.5 * width, sound.low);
    let high = clear_of(&values, sound.high, sound.high + 0.5 * width);
    let nominal = vehicle.nominal.0;
    let figures = &tables.sheet;
    let mut edges = vec![low, high];
    match sound.scale {
        Scale::Volts if low > figures.fed_from * nominal => edges.push(figures.next_to_nothing * low),
        Scale::Volts if high < figures.nearly_all * nominal && high > -figures.drop_from * nominal => {
            edges.push(figures.nearly_all * nominal)
        }
        Scale::Amps if low > 0.0 => edges.push(figures.next_to_nothing * low),
        _ => {}
    }
    edges.iter_mut().for_each(|edge| *edge = rounded(*edge, sound.scale));
    edges.sort_by(f64::total_cmp);
    edges.dedup();
    let limits: Vec<f64> = std::iter::once(f64::NEG_INFINITY).chain(edges).chain([f64::INFINITY]).collect();
    let middle = 0.5 * (sound.low + sound.high);
    let mut classes: Vec<OutcomeClass> = Vec::new();
    for pair in limits.windows(2) {
        let (from, below) = (pair[0], pair[1]);
        let inside = |took: &&Took| value(took) >= from && value(took) < below;
        let members: Vec<usize> = (0..taken.len()).filter(|&member| inside(&&taken[member])).collect();
        let is_sound = middle >= from && middle < below;
        let open = |limit: f64| limit.is_finite().then_some(limit);
        if members.is_empty() {
            continue;
        }
        let found: Vec<f64> = members.iter().map(|&member| value(&taken[member])).collect();
        let stands_for = Took::Shown(typical(tables, found, open(from), open(below), sound.scale));
        let when = When::Reads { scale: sound.scale, from: open(from), below: open(below), is_sound };
        classes.push(OutcomeClass { when, members, stands_for });
    }
    close_gaps(&mut classes);
    classes
}

/// What nobody found goes to the neighbour that is not as it should be.
fn close_gaps(classes: &mut [OutcomeClass]) {
    for upper in 1..classes.len() {
        let (lower, upper) = classes.split_at_mut(upper);
        let (Some(lower), Some(upper)) = (lower.last_mut(), upper.first_mut()) else { continue };
        if let (When::Reads { below, is_sound, .. }, When::Reads { from, .. }) = (&mut lower.when, &mut upper.when) {
            if *is_sound { *from = *below } else { *below = *from }
        }
    }
    if let Some(When::Reads { from, .. }) = classes.first_mut().map(|class| &mut class.when) {
        *from = None;
    }
    if let Some(When::Reads { below, .. }) = classes.last_mut().map(|class| &mut class.when) {
        *below = None;
    }
}

/// The middle of the widest gap between values that lies in a window.
fn clear_of(sorted: &[f64], from: f64, to: f64) -> f64 {
    let usual = if from.abs() < to.abs() { from } else { to };
    let edges =
        [from].into_iter().chain(sorted.iter().copied().filter(|value| (from..=to).contains(value))).chain([to]);
    let edges: Vec<f64> = edges.collect();
    let widest = edges.windows(2).max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])));
    widest.map_or(usual, |gap| 0.5 * (gap[0] + gap[1]))
}

/// An edge that a person reads off: three figures.
fn rounded(edge: f64, scale: Scale) -> f64 {
    match scale {
        Scale::LogOhms => edge,
        _ if edge.abs() < COARSE => (edge * PER_UNIT).round() / PER_UNIT,
        _ => {
            let step = 10f64.powf(edge.abs().log10().floor() - if edge.abs() < 1.0 { 1.0 } else { 2.0 });
            (edge / step).round() * step
        }
    }
}

/// A reading for all in a band: their middle, shown as coarsely as they spread,
/// yet well inside the band.
fn typical(tables: &Tables, mut values: Vec<f64>, from: Option<f64>, below: Option<f64>, scale: Scale) -> Measured {
    let figures = &tables.sheet;
    values.sort_by(f64::total_cmp);
    let middle = values[values.len() / 2];
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let spread = (values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / count).sqrt();
    let room = [from, below].into_iter().flatten().map(|edge| (edge - middle).abs() / figures.inside);
    // A display's last digit is even over its step: a step of √12 deviations.
    let step = 12f64.sqrt() * room.fold(spread, f64::min);
    match scale {
        Scale::Volts => Measured::Volts(Typed { value: Volts(middle), step: Volts(step) }),
        Scale::Amps => Measured::Amps(Typed { value: Amps(middle), step: Amps(step.max(figures.amps_digit.0)) }),
        Scale::LogOhms if middle > Scale::of_ohms(&tables.instruments, figures.no_path.0) => Measured::NoPath,
        Scale::LogOhms => {
            let ohms = Scale::displayed_ohms(middle);
            Measured::Ohms(Typed { value: ohms, step: Ohms(step * ohms.0) })
        }
    }
}
