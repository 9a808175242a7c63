//! The next test: where, what to do to get there, what to expect, what each
//! outcome would mean.

use super::charging::what_should_charge;
use super::document::Block;
use super::marks::marks;
use super::{caution, names, phone, quantities, tree};
use crate::belief::Site;
use crate::case::Case;
use crate::complaint::Channel;
use crate::fault::FailureMode;
use crate::plan::{Advice, Next, Outcome, OutcomeBand, OutcomeSeen, Sense, Test};
use crate::predict::{Burden, Probe};
use crate::vehicle::{PartId, PointId, Vehicle};

/// What to do once a part has been repaired.
pub fn after_repair() -> Block {
    Block::paragraph("What was seen and read before no longer counts.")
}

/// What to do next.
pub fn next_test(case: &Case) -> Vec<Block> {
    match &case.assessment().next {
        Next::Test(advice) if case.standing().channel == Channel::ByPhone => phone::said(case, advice),
        Next::Test(advice) => advised("Next:", case, advice),
        without_test => vec![Block::Lead(ended(case, without_test))],
    }
}

/// What is left where the fault is on the mains side.
const MAINS: &str = "Next: this is mains wiring: the inverter off at its switch, everything unplugged, and a licensed electrician. A tripped breaker there is put in once, with nothing plugged in.";

/// Whether a fuse or breaker is believed to have opened.
fn has_opened(case: &Case, part: PartId) -> bool {
    let ways = case.assessment().belief.modes_at(Site::Part(part));
    case.vehicle().part(part).kind.is_fuse() && ways.contains(&(part, FailureMode::OpenCircuit))
}

/// A fuse opens for something: that is looked for before a new one goes in. From: common
/// practice, no source.
fn lamp_first(vehicle: &Vehicle, fuse: PartId) -> String {
    let fuse = names::short_part(vehicle, fuse);
    format!(
        "Next: no new fuse yet. A lamp in its place first (`lamp {fuse}`), and on with what it feeds: bright, the short is still there, so unplug and switch off one thing after another until it dims; dim or dark, fit one new fuse, say so (`fixed {fuse}`) and read the same points again."
    )
}

/// The relay that a coil or a contact is of, by its coil.
fn relay_of(vehicle: &Vehicle, part: PartId) -> Option<PartId> {
    let kind = &vehicle.part(part).kind;
    kind.contact().map(|contact| contact.coil).or(kind.is_coil().then_some(part))
}

/// A relay is not taken apart: another one in its socket tells.
fn swap_relays(vehicle: &Vehicle, parts: &[PartId]) -> String {
    let mut named: Vec<&str> = Vec::new();
    for name in parts.iter().filter_map(|&part| relay_of(vehicle, part)).map(|coil| names::short_part(vehicle, coil)) {
        let name = name.split('.').next().unwrap_or(name);
        if !named.contains(&name) {
            named.push(name);
        }
    }
    format!(
        "Next: swap {} for a like relay known good, one at a time, and try again. What cures it is to be renewed (`fixed NAME`); then read the same points again.",
        named.join(", then ")
    )
}

/// What to do where there is no test to take.
fn ended(case: &Case, next: &Next) -> String {
    let vehicle = case.vehicle();
    let text = match next {
        Next::AskComplaint => {
            let load = names::example_load(vehicle);
            return format!("Say what is wrong, such as `dead {load}` or `weak {load}`; `list` names what there is.");
        }
        Next::NothingAmiss => "So far everything reads as it should. Say what is wrong, if anything is.",
        Next::ReadAgain { reading } => {
            let number = case.standing().number_of(*reading);
            return format!(
                "Next: take reading {number} again, best with another meter (`meter good`). Nothing is suspect before it shows the same."
            );
        }
        Next::Test(_) => "",
        Next::Found { site: Site::Nothing } => {
            "Next: nothing to repair in the wiring as far as it was read. Look at how the thing is set and used, or read again while it fails."
        }
        Next::Found { site: Site::Undrawn } => {
            "Next: follow the wires from the points that do not fit, and look for what the drawing does not show."
        }
        Next::Found { site: Site::Both(..) } => return repair_both(case),
        Next::Found { site: Site::Part(part) } if vehicle.is_on_mains(*part) => MAINS,
        Next::Inseparable { parts } if parts.iter().any(|&part| vehicle.is_on_mains(part)) => MAINS,
        Next::Inseparable { parts } if parts.iter().all(|&part| relay_of(vehicle, part).is_some()) => {
            return swap_relays(vehicle, parts);
        }
        Next::Found { site: Site::Part(part) } if has_opened(case, *part) => return lamp_first(vehicle, *part),
        Next::Found { .. } => {
            "Next: repair it and say so (`fixed NAME`), then read the same points again in the same state; `trace` shows what they must read."
        }
        Next::Inseparable { .. } => {
            "Next: no probe tells these apart. Look, pull gently on each wire, or renew them together and say so (`fixed NAME`); then read the same points again."
        }
        Next::NothingWorthwhile => {
            if let Some(first) = what_should_charge(case) {
                return format!("Next: {first}");
            }
            let text = "Next: no test left tells enough for its effort. Look at what else works (`works NAME`, `dead NAME`), set another state, or take a doubtful reading again.";
            let others = case.assessment().belief.suspects.first().map(|first| {
                format!(
                    " Likeliest so far: {} {}.",
                    names::site(vehicle, first.site),
                    quantities::percent(first.probability.value())
                )
            });
            return text.to_string() + &others.unwrap_or_default();
        }
    };
    text.to_string()
}

/// Which of two to repair first.
fn repair_both(case: &Case) -> String {
    let failures = case.assessment().segment.iter().flat_map(|segment| &segment.failures);
    let named: Vec<&str> = failures.map(|failure| names::short_part(case.vehicle(), failure.part)).collect();
    let [first, second] = named[..] else {
        return "Next: repair one, say so (`fixed NAME`), and read the same points again; then the other.".to_string();
    };
    format!(
        "Next: repair {first} first and say so (`fixed {first}`), then read the same points again in the same state: what is still off shows {second} by itself. Then repair {second} (`fixed {second}`)."
    )
}

fn advised(lead: &str, case: &Case, advice: &Advice) -> Vec<Block> {
    let vehicle = case.vehicle();
    let mut first = lead.to_string();
    if !advice.settings.is_empty() {
        first += &format!(" set {}, then", names::settings(vehicle, &advice.settings));
    }
    first += &match advice.test {
        Test::Measure(probe) => format!(" {}.", measurement(vehicle, probe)),
        Test::Sense { subject, sense } => format!(" {}.", names::sense_said(vehicle, subject, sense)),
        Test::Ask(question) => format!(" ask: {}", tree::asked(case, question)),
    };
    let mut blocks = vec![Block::Lead(first), Block::Detail(whereabouts(vehicle, case, advice))];
    if let Test::Measure(probe) = advice.test {
        blocks.extend(marks(vehicle, probe).map(Block::Detail));
        blocks.extend(long_leads(vehicle, probe).map(Block::Detail));
    }
    blocks.extend(caution::cautions_for(case, advice));
    if advice.proves_contact(case.engine().tables().telling.contact) {
        blocks.push(Block::detail(proving(case, advice.test)));
    }
    blocks.extend(zeroing(case, advice).map(Block::Detail));
    blocks.extend(provoking(case, advice).map(Block::Detail));
    blocks.extend(advice.sound.map(|sound| Block::Detail(format!("If all is well: {}.", quantities::range(sound)))));
    let told = advice.told(case.engine().tables().telling.beside);
    // Where no limit parts the readings, an outcome would say what is believed already.
    if let [(_, Some(_))] = told[..] {
        return blocks;
    }
    blocks.extend(told.iter().map(|(outcome, band)| Block::Detail(outcome_said(case, advice.test, outcome, *band))));
    blocks
}

/// What to do before next to nothing is believed.
fn proving(case: &Case, test: Test) -> &'static str {
    let black = match test {
        // Across a part both tips are at its ends, and no lead is clipped anywhere.
        Test::Measure(probe) => {
            let is_across =
                |&(red, black): &(PointId, PointId)| case.vehicle().parts_between(red, black).next().is_some();
            probe.plain_voltage().filter(|points| !is_across(points)).map(|(_, black)| black)
        }
        Test::Sense { .. } | Test::Ask(_) => None,
    };
    match black.is_some_and(|black| case.is_unproved_bar(black)) {
        true => {
            "Prove the black lead there first, with the red one on something live. Next to nothing may be no contact: tips on bare metal, read again."
        }
        false => "Next to nothing may be no contact: tips on bare metal, prove the leads, read again.",
    }
}

/// Where each lead goes and what is to be opened for it.
fn whereabouts(vehicle: &Vehicle, case: &Case, advice: &Advice) -> String {
    let mut opens = advice.opens.clone();
    let mut told = |point: PointId| {
        let place = vehicle.point(point).places.iter().copied().find(|place| opens.contains(place));
        match place {
            Some(place) => {
                opens.retain(|&other| other != place);
                names::place(vehicle, place)
            }
            None => names::whereabouts(vehicle, point),
        }
    };
    let mut text = match advice.test {
        Test::Sense { sense: Sense::Listen, .. } => "By ear".to_string(),
        Test::Sense { sense: Sense::Feel, .. } => "By hand, near it, not on it".to_string(),
        Test::Sense { .. } => "By eye".to_string(),
        Test::Ask(question) => tree::how_to_answer(case, question),
        Test::Measure(probe @ Probe::Current { .. }) => format!("Round one wire, at {}", told(probe.points(vehicle).0)),
        Test::Measure(Probe::Fixed { instrument, .. }) => match vehicle.part(instrument).place {
            Some(place) => format!("By eye, at {}", vehicle.place(place).name),
            None => "By eye".to_string(),
        },
        Test::Measure(probe) => {
            let (red, black) = probe.points(vehicle);
            let shared =
                !case.moves_black_lead(black) || names::whereabouts(vehicle, red) == names::whereabouts(vehicle, black);
            let at_red = told(red);
            if shared { format!("At {at_red}") } else { format!("Red at {at_red}; black at {}", told(black)) }
        }
    };
    for place in opens {
        text += &format!("; open {}", names::place(vehicle, place));
    }
    format!("{text} [{}].", advice.minutes)
}

/// Two places that the leads at hand may not reach between, where the file says how
/// long they are.
fn long_leads(vehicle: &Vehicle, probe: Probe) -> Option<String> {
    let (red, black) = probe.points(vehicle);
    let (at_red, at_black) = (names::whereabouts(vehicle, red), names::whereabouts(vehicle, black));
    let metres = vehicle.leads.filter(|_| at_red != at_black)?;
    Some(format!(
        "The leads at hand are {} m: enough from {at_red} to {at_black}? Else a longer wire, proved first.",
        metres.0
    ))
}

/// What to measure, with where each lead goes.
fn measurement(vehicle: &Vehicle, probe: Probe) -> String {
    let leads = |red, black| {
        format!("red lead on {}, black lead on {}", names::point(vehicle, red), names::point(vehicle, black))
    };
    match probe {
        Probe::Voltage { red, black, burden: Burden::Bare } => leads(red, black),
        Probe::Voltage { red, black, burden: Burden::Lamp } => {
            format!("{}, a test lamp across the leads (type `lamp` at the end)", leads(red, black))
        }
        Probe::Voltage { red, black, burden: Burden::Each(against) } => format!(
            "{} and then {}, each against {}: how much more the first shows",
            names::point(vehicle, red),
            names::point(vehicle, black),
            names::point(vehicle, against)
        ),
        Probe::Resistance { red, black } => format!(
            "everything dead there, resistance from {} to {} (type `ohm` or `ol`)",
            names::point(vehicle, red),
            names::point(vehicle, black)
        ),
        Probe::Current { part } => format!("clamp round {} (type `A`)", names::part(vehicle, part)),
        Probe::Fixed { instrument, .. } => format!("read {}", names::part(vehicle, instrument)),
    }
}

/// For a drain: what its zero is off by is the same in every reading of a clamp.
fn zeroing(case: &Case, advice: &Advice) -> Option<String> {
    let hunts_a_drain = case.standing().evidence.hunts_a_drain();
    let is_clamp = matches!(advice.test, Test::Measure(Probe::Current { .. }));
    let text = "Zero the clamp first, off any wire; best is one that shows milliamperes (type `mA`).";
    (hunts_a_drain && is_clamp).then(|| text.to_string())
}

/// For what comes and goes: read it while it fails, and where to move the loom.
fn provoking(case: &Case, advice: &Advice) -> Option<String> {
    if !case.standing().evidence.comes_and_goes() || !matches!(advice.test, Test::Measure(_)) {
        return None;
    }
    let suspects = case.assessment().belief.suspects.iter().flat_map(|suspect| suspect.site.parts());
    let named: Vec<&str> = suspects.take(3).map(|part| names::short_part(case.vehicle(), part)).collect();
    Some(format!(
        "Read it while it fails, and end with `faulty`; a good reading clears nothing. If it works now, move, warm or load {} and watch for a dip (`min VOLTS`).",
        named.join(", ")
    ))
}

fn outcome_said(case: &Case, test: Test, outcome: &Outcome, band: Option<OutcomeBand>) -> String {
    let seen = match (outcome.seen, band) {
        (OutcomeSeen::Answer(answer), _) => tree::answer_said(case, test, answer),
        (OutcomeSeen::Reads(_), Some(band)) => quantities::band(band),
        (OutcomeSeen::Reads(reads), None) => quantities::range(reads),
        (OutcomeSeen::Sign(sign), _) => names::bare_sign(sign).to_string(),
    };
    format!("{seen} ({}): {}", quantities::percent(outcome.probability.value()), points_to(case, outcome))
}

/// The sites that an outcome would point to.
fn points_to(case: &Case, outcome: &Outcome) -> String {
    let vehicle = case.vehicle();
    let sites: Vec<String> = outcome
        .points_to
        .iter()
        .map(|&(site, probability)| quantities::odds(names::short_site(vehicle, site), probability))
        .collect();
    let more = 1.0 - outcome.points_to.iter().map(|(_, probability)| probability).sum::<f64>();
    let more = if more > case.engine().tables().telling.beside { ", others".to_string() } else { String::new() };
    if sites.is_empty() { "no part stands out".to_string() } else { sites.join(", ") + &more }
}

/// Other tests worth taking.
pub fn runners_up(case: &Case) -> Block {
    let others = &case.assessment().others;
    if others.is_empty() {
        return Block::paragraph("No other test is worth its effort.");
    }
    let vehicle = case.vehicle();
    let rows = others.iter().map(|advice| {
        let mut what = names::test(case, advice.test);
        if !advice.settings.is_empty() {
            what = format!("{}, then {what}", names::settings(vehicle, &advice.settings));
        }
        vec![what, names::places(vehicle, &advice.opens), advice.minutes.to_string(), format!("{:.1}", advice.bits)]
    });
    Block::table(&["test", "opens", "time", "bits"], rows)
}
