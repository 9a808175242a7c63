//! Number formatting: values, bands and probabilities as they stand in a sentence
//! or a column.

use crate::belief::Estimate;
use crate::plan::{OutcomeBand, Range};
use crate::predict::Scale;
use crate::quantity::{Amps, KILO, Ohms, PERCENT, Volts};
use crate::trial::Share;
use std::fmt::Display;

/// `12.20 to 12.93 V`, `0.3 Ω to 1.2 Ω`.
pub fn range(range: Range) -> String {
    let (low, high) = (range.low, range.high);
    // Layout: a clamp's zero is off by about so much.
    match range.scale {
        Scale::Volts => volts_range(low, high),
        Scale::LogOhms => ohms_range(Scale::displayed_ohms(low), Scale::displayed_ohms(high)),
        Scale::Amps if low < 0.0 && high > 0.0 && high - low < 0.6 => "about 0 A".to_string(),
        Scale::Amps => format!("{} to {}", Amps(low), Amps(high)),
    }
}

/// `12 V or more`, `under 12 V`, `0.5 V to 12 V`.
pub fn band(of: OutcomeBand) -> String {
    let value = |value: f64| match of.scale {
        Scale::LogOhms => Scale::displayed_ohms(value).to_string(),
        Scale::Volts => limit(value, "V"),
        Scale::Amps => limit(value, "A"),
    };
    match (of.from, of.below) {
        (Some(from), Some(below)) => format!("{} to {}", value(from), value(below)),
        (Some(from), None) => format!("{} or more", value(from)),
        (None, Some(below)) => format!("under {}", value(below)),
        (None, None) => "anything".to_string(),
    }
}

/// A limit without the digits that it does not need.
fn limit(value: f64, unit: &str) -> String {
    // Layout: thousandths below a tenth of a unit.
    let (number, prefix) = if value.abs() < 0.1 { (value * KILO, "m") } else { (value, "") };
    let text = format!("{number:.3}");
    format!("{} {prefix}{unit}", text.trim_end_matches('0').trim_end_matches('.'))
}

/// A value of a scale with its unit.
pub fn on_scale(scale: Scale, value: f64) -> String {
    match scale {
        Scale::Volts => Volts(value).to_string(),
        Scale::LogOhms => Scale::displayed_ohms(value).to_string(),
        Scale::Amps => Amps(value).to_string(),
    }
}

fn ohms_range(low: Ohms, high: Ohms) -> String {
    // Layout: beyond its range an ohmmeter shows no path.
    match (low.0, high.0) {
        (low, _) if low > 10e6 => "no path".to_string(),
        (_, high) if high > 20e6 => format!("over {low}"),
        _ => format!("{low} to {high}"),
    }
}

fn volts_range(low: f64, high: f64) -> String {
    // Layout: digits as of a single voltage.
    match low.abs().max(high.abs()) {
        // A point that hangs in the air shows next to nothing, give or take.
        most if most < 0.6 && low < -0.1 && high > 0.1 => "about 0 V".to_string(),
        most if most < 0.3995 => format!("{:.1} to {:.1} mV", low * KILO, high * KILO),
        most if most < 3.9995 => format!("{low:.3} to {high:.3} V"),
        _ => format!("{low:.2} to {high:.2} V"),
    }
    // "-0.0" would make a person look for a reversed lead.
    .replace("-0.00 ", "0.00 ")
    .replace("-0.0 ", "0.0 ")
}

/// `12.20 to 12.93`, in volts without the unit, for a column.
pub fn bare_range(range: Range) -> String {
    format!("{} to {}", bare_volts(Volts(range.low)), bare_volts(Volts(range.high)))
}

/// `12.93` or `0.034`, in volts without the unit.
pub fn bare_volts(volts: Volts) -> String {
    // Layout: digits as of a voltage with its unit.
    let text = if volts.0.abs() < 3.9995 { format!("{:.3}", volts.0) } else { format!("{:.2}", volts.0) };
    if text == "-0.000" { "0.000".to_string() } else { text }
}

/// `0.29 Ω (0.24 Ω to 0.35 Ω)`.
pub fn estimate<T: Display>(of: Estimate<T>) -> String {
    format!("about {} ({} to {})", of.middle, of.low, of.high)
}

/// How many there are of something.
pub fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

/// A share in per cent, with what chance allows.
pub fn share(of: &Share, digits: usize) -> String {
    let (low, high) = of.interval();
    let [share, low, high] = [of.value(), low, high].map(|share| share * PERCENT);
    format!("{share:.digits$} % ({low:.digits$} to {high:.digits$})")
}

/// A name with its probability.
pub fn odds(name: impl Display, probability: f64) -> String {
    format!("{name} {}", percent(probability))
}

/// A probability in whole per cent, without pretending to certainty.
pub fn percent(probability: f64) -> String {
    // Layout: where a whole per cent would round to all or none.
    match probability {
        p if p > 0.995 => "over 99 %".to_string(),
        p if p < 0.005 => "under 1 %".to_string(),
        p => format!("{:.0} %", p * PERCENT),
    }
}
