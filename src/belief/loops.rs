//! Do readings that close a loop add up to nothing? (Kirchhoff's voltage law.)

use super::evidence::Reading;
use std::collections::{HashMap, VecDeque};

/// Standard deviations of the meter beyond which a loop does not close.
const GAP_LIMIT: f64 = 3.0;
/// Movement of the supply between readings that is no reason to doubt one, V.
const SUPPLY_MOVEMENT: f64 = 0.05;

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
pub fn loop_gap(readings: &[Reading], newest: usize) -> Option<LoopGap> {
    let last = readings.get(newest)?;
    let mut reached = HashMap::from([(last.black, None)]);
    let mut queue = VecDeque::from([last.black]);
    while let Some(here) = queue.pop_front() {
        for (index, reading) in readings.iter().enumerate() {
            if index == newest || reading.state != last.state || reading.symptom != last.symptom {
                continue;
            }
            let far = match here {
                point if point == reading.red => reading.black,
                point if point == reading.black => reading.red,
                _ => continue,
            };
            if let std::collections::hash_map::Entry::Vacant(entry) = reached.entry(far) {
                entry.insert(Some((here, index)));
                queue.push_back(far);
            }
        }
    }
    let mut point = last.red;
    let (mut sum, mut used, mut variance) = (-last.volts.value.0, vec![newest], meter_variance(last));
    reached.get(&point)?;
    while let Some(Some((before, index))) = reached.get(&point).copied() {
        let reading = &readings[index];
        sum += if reading.red == point { reading.volts.value.0 } else { -reading.volts.value.0 };
        variance += meter_variance(reading);
        used.push(index);
        point = before;
    }
    let limit = GAP_LIMIT * variance.sqrt() + SUPPLY_MOVEMENT;
    used.reverse();
    (used.len() > 1 && sum.abs() > limit).then_some(LoopGap { readings: used, gap: sum })
}

fn meter_variance(reading: &Reading) -> f64 {
    let sheet = reading.meter.meter();
    let volts = reading.volts.value;
    let gain = sheet.gain_deviation() * volts.0;
    gain * gain + sheet.offset_deviation(volts).0.powi(2) + reading.volts.step.0.powi(2) / 12.0
}
