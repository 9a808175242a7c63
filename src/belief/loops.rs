//! Do readings that close a loop add up to nothing? (Kirchhoff's voltage law.)

use super::evidence::{Evidence, Reading};
use crate::meter::rounding_variance;
use crate::quantity::{Typed, Volts};
use crate::tables::Tables;
use crate::tables::instruments::Instruments;
use std::collections::{HashMap, VecDeque};

/// Readings round a loop that do not add up.
#[derive(Debug, Clone, PartialEq)]
pub struct LoopGap {
    /// Their numbers, the newest last.
    pub readings: Vec<usize>,
    /// What they add up to, V.
    pub gap: f64,
}

/// Checks the loop that a reading closes with others of the same state, if it
/// closes one.
pub fn loop_gap(tables: &Tables, evidence: &Evidence, newest: usize) -> Option<LoopGap> {
    let readings = &evidence.readings;
    let last = readings.get(newest)?;
    let is_before = |reading: &Reading| evidence.is_before_complaint(reading);
    let (last_red, last_black, last_volts) = last.voltage()?;
    let mut reached = HashMap::from([(last_black, None)]);
    let mut queue = VecDeque::from([last_black]);
    while let Some(here) = queue.pop_front() {
        for (index, reading) in readings.iter().enumerate() {
            let is_with = reading.state == last.state && reading.symptom == last.symptom;
            if index == newest || !is_with || is_before(reading) != is_before(last) {
                continue;
            }
            let far = match reading.voltage() {
                Some((red, black, _)) if here == red => black,
                Some((red, black, _)) if here == black => red,
                _ => continue,
            };
            if let std::collections::hash_map::Entry::Vacant(entry) = reached.entry(far) {
                entry.insert(Some((here, index)));
                queue.push_back(far);
            }
        }
    }
    let mut point = last_red;
    let (mut sum, mut used, mut variance) =
        (-last_volts.value.0, vec![newest], variance(&tables.instruments, last, last_volts));
    reached.get(&point)?;
    while let Some(Some((before, index))) = reached.get(&point).copied() {
        let reading = &readings[index];
        let (red, _, volts) = reading.voltage()?;
        sum += if red == point { volts.value.0 } else { -volts.value.0 };
        variance += self::variance(&tables.instruments, reading, volts);
        used.push(index);
        point = before;
    }
    let limit = tables.belief.gap_limit * variance.sqrt() + tables.belief.supply_movement.0;
    used.reverse();
    (used.len() > 1 && sum.abs() > limit).then_some(LoopGap { readings: used, gap: sum })
}

/// Variance of a voltage by its meter, V².
fn variance(instruments: &Instruments, reading: &Reading, volts: Typed<Volts>) -> f64 {
    let sheet = reading.meter.meter(instruments);
    let gain = sheet.gain_deviation() * volts.value.0;
    gain * gain + sheet.offset_deviation(volts.value).0.powi(2) + rounding_variance(volts.step.0)
}
