//! A sketched vehicle in words: what was assumed, and what is asked for one.

use super::document::Block;
use crate::sketch::{Assumed, Item, Made, Prompt, Sketch};
use crate::vehicle::Vehicle;

/// Layout: parts of one that are shown.
const HUNDREDTHS: f64 = 100.0;

/// What is said of a vehicle just sketched.
pub fn sketched(sketch: &Sketch, vehicle: &Vehicle) -> Vec<Block> {
    let first = format!(
        "Sketched, {:.0} V: {} parts round `{}`, each within about a factor of two of what is usual.",
        vehicle.nominal.0,
        vehicle.parts.len(),
        sketch.load
    );
    let strip: Vec<String> = sketch.made.iter().map(made).collect();
    let mut blocks = vec![Block::List(strip), Block::Paragraph(first)];
    if !sketch.assumed.is_empty() {
        let assumed: Vec<String> = sketch.assumed.iter().map(assumed).collect();
        blocks.push(Block::Paragraph(format!("Assumed, since nobody said: {}.", assumed.join("; "))));
    }
    let next = format!(
        "Say what is wrong, such as `complaint {} dead`; `save FILE.ron` keeps the drawing, to be refined.",
        sketch.load
    );
    blocks.push(Block::Paragraph(next));
    blocks
}

/// What some words became.
fn made(made: &Made) -> String {
    let amounts = |all: &[(Option<f64>, &str)]| {
        all.iter()
            .filter_map(|(value, unit)| value.map(|value| format!(" {} {unit}", shortened(value))))
            .collect::<String>()
    };
    let item = match &made.item {
        Item::Battery { volts, ampere_hours, lithium } => {
            let kind = if *lithium { "lithium battery" } else { "battery" };
            format!("{kind}{}", amounts(&[(*volts, "V"), (*ampere_hours, "Ah")]))
        }
        Item::Fuse { amps } => format!("fuse{}", amounts(&[(*amps, "A")])),
        Item::Breaker { amps } => format!("breaker{}", amounts(&[(*amps, "A")])),
        Item::Cable { metres, mm2 } => format!("cable{}", amounts(&[(*metres, "m"), (*mm2, "mm²")])),
        Item::Switch => "switch".to_string(),
        Item::Isolator => "isolator".to_string(),
        Item::Relay => "relay, its contact here, its coil with a switch of its own".to_string(),
        Item::Plug => "plug".to_string(),
        Item::Joint => "joint".to_string(),
        Item::Load { name, watts, amps, .. } => format!("load `{name}`{}", amounts(&[(*watts, "W"), (*amps, "A")])),
        Item::Chassis => "return by body metal".to_string(),
        Item::Negative => "return to the negative post".to_string(),
        Item::Source { is_solar, amps } => {
            format!("{}{}", if *is_solar { "solar regulator" } else { "alternator" }, amounts(&[(*amps, "A")]))
        }
    };
    let unused = if made.unused.is_empty() { String::new() } else { format!(" ({} not used)", made.unused.join(", ")) };
    format!("`{}`: {item}{unused}", made.said)
}

/// Without more digits than anybody has said.
fn shortened(value: f64) -> f64 {
    (value * HUNDREDTHS).round() / HUNDREDTHS
}

/// Why something is asked.
pub fn sketch_explained(question: Prompt) -> Block {
    Block::paragraph(match question {
        Prompt::Load => {
            "Name the thing that gives trouble and what its plate says, W or A: it sets the current that every drop is foretold for. `stop` ends this."
        }
        Prompt::Battery => {
            "12 V or 24 V, by the battery's label or the number of batteries in a row; Ah if it is on it. Enter takes the usual; `back` goes back."
        }
        Prompt::Fuse => {
            "Its rating stands on the fuse. Enter takes the next size above what the load draws; `back` goes back."
        }
        Prompt::Cable => {
            "Metres from the battery to the load, and mm² by the print on its jacket. Enter takes the usual; `back` goes back."
        }
        Prompt::Between => {
            "Whatever the current passes: switch, isolator, relay, plug, joint, in that order. Enter for nothing; `back` goes back."
        }
        Prompt::Return => {
            "Follow the load's other wire: to bare metal near it is `chassis`, to the battery is `negative` or a cable with its length. Enter for chassis; `back` goes back."
        }
    })
}

fn assumed(of: &Assumed) -> String {
    match of {
        Assumed::Battery { volts, ampere_hours } => format!("a battery of {volts} V and {ampere_hours} Ah"),
        Assumed::Fuse { name, amps } => format!("fuse {name} of {amps} A"),
        Assumed::Cable { name, metres, mm2 } => format!("cable {name} of {metres} m and {mm2} mm²"),
        Assumed::Load { name, watts } => format!("{watts} W for the {name}"),
        Assumed::Source { name, amps } => format!("{amps} A from {name}, with a fuse and wires of its own"),
        Assumed::Chassis => "a return by body metal".to_string(),
        Assumed::SecondPin { name } => format!("the return through the second pin of plug {name}"),
        Assumed::Coil { name } => format!("relay {name} worked by a switch of its own with a 5 A fuse"),
    }
}

/// A question of the dialogue.
pub fn sketch_question(question: Prompt) -> Block {
    Block::paragraph(match question {
        Prompt::Load => {
            "What does not work as it should, and what does it draw? Such as `lamp 55 W` (`stop` ends this)."
        }
        Prompt::Battery => "Which battery? Such as `12 V 100 Ah`; an empty line for the usual.",
        Prompt::Fuse => "Which fuse? Such as `15 A`; an empty line if nobody knows.",
        Prompt::Cable => "How far is it, and how thick is the cable? Such as `6 m 2.5`; an empty line if nobody knows.",
        Prompt::Between => {
            "What lies between fuse and load, in order? Such as `switch, plug`; an empty line for nothing."
        }
        Prompt::Return => "Does the current come back by `chassis`, or by `cable 6 m 2.5`? An empty line for chassis.",
    })
}

/// What is said once the drawing is kept.
pub fn sketch_saved(path: &std::path::Path) -> Block {
    let text = format!("Drawing written to {0}: refine it there, and open it with `halfsplit {0}`.", path.display());
    Block::Paragraph(text)
}
