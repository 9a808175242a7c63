//! A vehicle of one's own in words: what is asked for it, and what was made of
//! the answers.

use super::document::Block;
use super::names::capital;
use crate::sketch::{FilledIn, Own, OwnFile, OwnQuestion, SketchError};
use crate::vehicle::Vehicle;
use std::path::Path;

/// A question, with the usual answer in brackets.
pub fn own_question(question: OwnQuestion, own: &Own) -> String {
    match question {
        OwnQuestion::Name => format!("What is the vehicle called? [{}]", own.name),
        OwnQuestion::Battery => format!("Which battery? [{} V {} Ah]", own.volts, own.battery.ampere_hours),
        OwnQuestion::Circuit(1) => {
            "Circuit 1: what runs, and what lies on its way? Such as `fridge 60 W, 4 m`.".to_string()
        }
        OwnQuestion::Circuit(number) => format!("Circuit {number}? [no more]"),
        OwnQuestion::Extras => "What else: `charger`, `second battery`, `trailer`? [nothing]".to_string(),
    }
}

/// What may be answered, and what it does.
pub fn own_explained(question: OwnQuestion) -> Block {
    Block::paragraph(match question {
        OwnQuestion::Name => {
            "Whatever you call it. `back` goes back a question, `stop` ends this; nothing is written then."
        }
        OwnQuestion::Battery => {
            "12 V or 24 V, and Ah by its label; `lithium` if it is one, such as `24 V lithium 200 Ah`. Enter takes what stands in brackets."
        }
        OwnQuestion::Circuit(_) => {
            "One load with what lies between the fuse board and it: what it is and what it draws (W or A), metres one way, and `fuse 10 A`, `cable 2.5`, `switch`, `relay`, `plug`, `chassis` where you know it; the rest is filled in. A name first if you like: `reading lamp: led 10 W, switch, 3 m`. A load worked by a relay is `relay, pump 8 A, 3 m`. Enter alone when there are no more."
        }
        OwnQuestion::Extras => {
            "`charger`: a starter battery, its alternator and a charger from the one battery to the other. `second battery`: the same with a split relay instead. `trailer`: a trailer socket with tail and brake lamps. Commas between them; Enter for nothing."
        }
    })
}

/// Why an answer was not taken.
pub fn own_refused(question: OwnQuestion, error: &SketchError) -> Block {
    let text = match (question, error) {
        (OwnQuestion::Circuit(_), SketchError::Unknown { word, .. }) => {
            format!("{error}. If `{word}` is its name, put a colon after it and say what it is: `{word}: lamp 10 W`.")
        }
        _ => error.to_string(),
    };
    Block::Paragraph(capital(&text))
}

/// What is said once the file is there.
pub fn own_written(path: &Path, written: &OwnFile, vehicle: &Vehicle) -> Vec<Block> {
    let path = path.display();
    let loads = vehicle.loads().count();
    let mut blocks = vec![Block::Paragraph(format!(
        "{path} is written: {loads} load{}, {} parts.",
        if loads == 1 { "" } else { "s" },
        vehicle.parts.len()
    ))];
    let supposed: Vec<String> = written.supposed.iter().filter_map(supposed).collect();
    if !supposed.is_empty() {
        blocks.push(Block::paragraph("Nobody said, so it is the usual (change it in the file):"));
        blocks.push(Block::List(supposed));
    }
    blocks.push(Block::Paragraph(format!(
        "Open it with `halfsplit {path}` and say what is wrong, such as `dead {}`. After a change `halfsplit check {path}` looks it over; `halfsplit reference` lists what a file can hold.",
        written.load
    )));
    blocks
}

/// What of a circuit was supposed, if anything was.
fn supposed(of: &FilledIn) -> Option<String> {
    let amounts = [
        of.watts.map(|watts| format!("{watts} W")),
        of.fuse.map(|amps| format!("fuse {amps} A")),
        of.metres.map(|metres| format!("{metres} m each way")),
        of.mm2.map(|mm2| format!("cable {mm2} mm²")),
        of.switch.then(|| "a switch".to_string()),
    ];
    let said: Vec<String> = amounts.into_iter().flatten().collect();
    (!said.is_empty()).then(|| format!("{}: {}", of.load, said.join(", ")))
}
