//! A battery that goes flat: when what is read is of a sleeping vehicle, what
//! millivolts across a fuse mean, and how long the battery lasts.

use super::document::Block;
use super::{names, quantities};
use crate::belief::{Sign, Site};
use crate::case::{Case, Drain, Entry, FuseAmps};
use crate::quantity::{Amps, HOURS_A_DAY, Minutes, PERCENT};
use crate::tables::supply::LEAST_CHARGE;

/// Format: days.
const A_YEAR: f64 = 365.0;

/// What is said before anything is measured.
pub fn asleep_first(case: &Case) -> Option<Block> {
    let (Entry::Observe { sign, .. } | Entry::Complain { sign, .. }) = case.entries().last()? else { return None };
    if *sign != Sign::GoesFlat {
        return None;
    }
    let vehicle = case.vehicle();
    let longest = vehicle.sleep_controls().map(|control| vehicle.control(control).minutes.0).reduce(f64::max);
    let wait = match longest {
        Some(minutes) => format!("{} by the drawing", Minutes(minutes)),
        None => "the drawing shows nothing that sleeps, modules elsewhere take 2 to 60 min".to_string(),
    };
    let text = format!(
        "Everything off, doors shut, key away, then wait until all sleeps ({wait}): what is read before is of a waking vehicle. A door opened or a pulled fuse fitted again wakes it: wait once more before you read on."
    );
    Some(Block::Paragraph(text))
}

/// Where things stand before anything was read: by then no part is suspect, and
/// the battery itself may be.
pub fn nothing_read(case: &Case) -> Option<Block> {
    let vehicle = case.vehicle();
    let may = case.may_empty()?;
    let (belief, figures) = (&case.assessment().belief, &case.engine().tables().telling);
    let beside = [Site::Nothing, Site::Undrawn].map(|site| (names::site(vehicle, site), belief.probability(site)));
    let causes = [
        (format!("something drains {}", names::part(vehicle, may.battery)), may.drain),
        ("the battery itself is weak".to_string(), may.itself),
        ("another fault".to_string(), may.other),
    ];
    let said: Vec<String> = (causes.into_iter().chain(beside))
        .filter(|(_, held)| *held > figures.beside)
        .map(|(cause, held)| format!("{cause} {}", quantities::percent(held)))
        .collect();
    let text = format!("So far: {}. What it gives at rest tells which. (`more`)", said.join("; "));
    (!said.is_empty()).then_some(Block::Paragraph(text))
}

/// The current that the newest reading across a fuse stands for.
pub fn through_a_fuse(case: &Case) -> Option<Block> {
    if !matches!(case.entries().last()?, Entry::Read { .. } | Entry::Retake { .. }) {
        return None;
    }
    let reading = case.standing().evidence.readings.last()?;
    let FuseAmps { fuse, amps } = FuseAmps::of(case.engine().tables(), case.vehicle(), reading)?;
    let name = names::short_part(case.vehicle(), fuse);
    let text = match amps.low {
        Amps(low) if low > 0.0 => format!("{} across {name} is {}.", reading.measured, quantities::estimate(amps)),
        _ => format!(
            "{} across {name} is no more than the meter shows by itself: less than {}, and maybe nothing.",
            reading.measured, amps.high
        ),
    };
    Some(Block::Paragraph(text))
}

/// What runs out of the battery, and for how long it can.
pub fn lasts(case: &Case) -> Option<Block> {
    let drain = case.drain()?;
    let battery = names::part(case.vehicle(), drain.battery);
    let text = format!(
        "As things are set {battery} gives {}: from full, {:.0} A·h, down to {:.0} %, where it no longer starts or carries its loads, that lasts {}. All sound: {}, {}.",
        quantities::estimate(drain.amps),
        drain.ampere_hours,
        LEAST_CHARGE * PERCENT,
        days(&drain, drain.amps.middle),
        drain.sound,
        days(&drain, drain.sound),
    );
    Some(Block::Paragraph(text))
}

fn days(drain: &Drain, amps: Amps) -> String {
    match drain.days(amps) {
        few if few < 2.0 => format!("{:.0} h", few * HOURS_A_DAY),
        many if many > A_YEAR => "over a year".to_string(),
        days => format!("{days:.0} days"),
    }
}
