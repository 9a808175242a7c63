//! Words for somebody on the phone: one plain instruction at a time.

use super::document::Block;
use super::{caution, names, perishable, tree};
use crate::case::Case;
use crate::complaint::Channel;
use crate::plan::{Advice, NEVER, Never, Sense, Test};
use crate::predict::Probe;
use crate::quantity::PERCENT;
use crate::vehicle::{ControlId, PartId, PointId, Position, Reach, Vehicle};

/// What is said when the phone is taken up or put down.
pub fn helping(case: &Case) -> Vec<Block> {
    match case.standing().channel {
        Channel::OnSite => vec![Block::paragraph("At the vehicle: what is seen and read counts as your own.")],
        Channel::ByPhone => {
            let first = "By phone: one plain instruction at a time, eyes and ears before any meter, only what opens \
                         by hand. Answers and readings count for less, since people look at the wrong fuse.";
            let danger = "Ask first: any smoke, hot smell, melted plastic or swollen battery? Then: switch off, leave \
                          it alone, get away from it. `phone never` lists what nobody is to be asked for.";
            vec![Block::paragraph(first), Block::paragraph(danger)]
        }
    }
}

/// What is never asked of a customer, with the reasons.
pub fn never_by_phone() -> Vec<Block> {
    let reasons = NEVER.map(|never| reason(never).to_string());
    vec![Block::paragraph("Never by phone:"), Block::List(reasons.to_vec())]
}

fn reason(never: Never) -> &'static str {
    match never {
        Never::BiggerFuse => {
            "a bigger fuse, or foil in its place: the cable burns instead; one of the same rating, once"
        }
        Never::BridgeRelay => "a wire in a relay socket: the wrong two holes are a dead short or a motor that runs",
        Never::OpenLithium => {
            "jumping or opening a lithium battery: it opened itself for a reason; its own charger wakes it"
        }
        Never::Mains => "anything on the mains side of an inverter or shore inlet: it kills; licensed work",
        Never::LiveStuds => {
            "undoing studs of a battery or isolator with loads on: arcs, and hundreds of amperes into a tool"
        }
        Never::SolarPlugs => "pulling solar plugs in the sun: a direct-current arc does not go out by itself",
        Never::Moving => "a hand, head or body under a raised lift or into what can start by itself",
        Never::Restraint => "yellow connectors or seats: airbags and belt tensioners fire",
        Never::OhmsOrAmps => "a meter on ohms or amperes: on a battery the one lies and the other is a short",
        Never::Licensed => "gas, or orange cables: for those licensed for it",
        Never::Dismantling => "taking anything apart: what is left of the fault is gone, and so are the screws",
    }
}

/// The next thing to say, and what to listen for.
pub fn said(case: &Case, advice: &Advice) -> Vec<Block> {
    let vehicle = case.vehicle();
    let mut what = String::from("Say: \"");
    if !advice.settings.is_empty() {
        let settings: Vec<String> = advice.settings.iter().map(|&one| plainly(vehicle, one)).collect();
        what += &format!("First switch {}. ", settings.join(", then "));
    }
    what += &match advice.test {
        Test::Ask(question) => tree::asked(case, question),
        Test::Sense { subject, sense } => looked(&called(vehicle, subject), sense),
        Test::Measure(probe) => measured(vehicle, probe),
    };
    what += "\"";
    let mut blocks: Vec<Block> = perishable::keeps_until(case).into_iter().chain([Block::Paragraph(what)]).collect();
    blocks.push(Block::Detail(format!("{} [{}].", listened_for(case, advice), advice.minutes)));
    blocks.extend(caution::cautions_for(case, advice));
    blocks
}

/// A setting by what people call the thing; plugs and fuses nobody is asked to
/// touch.
fn plainly(vehicle: &Vehicle, (control, position): (ControlId, Position)) -> String {
    let id = control;
    let control = vehicle.control(id);
    if vehicle.aid(id).is_some() {
        return names::setting(vehicle, (id, position));
    }
    let to = if position == Position::On { "on" } else { "off" };
    match control.label == control.name {
        true => format!("{to} {}", control.name),
        false => format!("{to} the {} ({})", control.label, control.name),
    }
}

/// A part by what people call it.
fn called(vehicle: &Vehicle, part: PartId) -> String {
    let part = vehicle.part(part);
    match &part.label {
        Some(label) => format!("the {label}"),
        None => format!("{} (the {})", part.name, part.kind.words()),
    }
}

fn looked(name: &str, sense: Sense) -> String {
    match sense {
        Sense::Look => format!("Look at {name}. Is it dead, weaker than usual, or does it work as always?"),
        Sense::Listen => {
            format!("Put a finger on {name} while somebody switches it on. Does it click under the finger?")
        }
        Sense::Fuse => format!(
            "Find {name} by its label. Without changing anything else, look at the wire inside. Is it whole or broken?"
        ),
        Sense::Lamp => format!("Look at the lamp in the place of {name}. Is it bright, or dim or out?"),
        Sense::Feel => format!("Hold your hand near {name}, not on it. Is it hotter than what is beside it?"),
        Sense::Source => format!("Look at the lamp or display of {name}. Does it say that it gives current, or not?"),
    }
}

fn measured(vehicle: &Vehicle, probe: Probe) -> String {
    let (red, black) = probe.points(vehicle);
    let spot = |point: PointId| match vehicle.reach(point) {
        Reach::At(place) => format!("{}, at the {}", names::point(vehicle, point), vehicle.place(place).name),
        Reach::Never => names::point(vehicle, point),
    };
    format!(
        "Turn the meter to direct volts, the 20 or the next above. Black probe on {}. Red probe on {}. Hold both still \
         and read me the number, with its minus if there is one.",
        spot(black),
        spot(red)
    )
}

/// What the helper types for what comes back.
fn listened_for(case: &Case, advice: &Advice) -> String {
    match advice.test {
        Test::Ask(question) => {
            let trust = case.trees().question(question).by_phone;
            format!("{}; of such answers about {:.0} in 100 hold", tree::how_to_answer(case, question), trust * PERCENT)
        }
        Test::Sense { sense, .. } => format!("Type {}", names::told_by(sense)),
        Test::Measure(_) => "Type the number".to_string(),
    }
}
