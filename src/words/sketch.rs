//! A sketched vehicle in words: what was assumed, and what is asked for one.

use super::document::Block;
use crate::sketch::{Assumed, Prompt, Sketch};
use crate::vehicle::Vehicle;

/// What is said of a vehicle just sketched.
pub fn sketched(sketch: &Sketch, vehicle: &Vehicle) -> Vec<Block> {
    let first = format!(
        "Sketched, {:.0} V: {} parts round `{}`, each within about a factor of two of what is usual.",
        vehicle.nominal.0,
        vehicle.parts.len(),
        sketch.load
    );
    let mut blocks = vec![Block::Paragraph(first)];
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

fn assumed(of: &Assumed) -> String {
    match of {
        Assumed::Battery { volts, ampere_hours } => format!("a battery of {volts} V and {ampere_hours} Ah"),
        Assumed::Fuse { name, amps } => format!("fuse {name} of {amps} A"),
        Assumed::Cable { name, metres, mm2 } => format!("cable {name} of {metres} m and {mm2} mm²"),
        Assumed::Load { name, watts } => format!("{watts} W for the {name}"),
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
