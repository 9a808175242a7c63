//! Words and amounts of a line to parts in current-flow order. What nobody can make
//! anything of is an error: nothing is dropped.

use super::error::SketchError;
use super::line::{Amount, LineToken, Unit, tokens};
use super::vocabulary::{LineWord, word_of};
use crate::quantity::{NOMINAL, Volts};
use crate::vehicle::LoadKind;

/// Format: A; what a file takes of fuses and loads.
const AMPS: (f64, f64) = (0.01, 2000.0);
/// Format: W; the same of loads.
const WATTS: (f64, f64) = (0.1, 20_000.0);
/// Format: A·h; the same of batteries.
const AMPERE_HOURS: (f64, f64) = (1.0, 5000.0);
/// Format: m; the same of cables.
const METRES: (f64, f64) = (0.05, 100.0);
/// Format: mm²; the same.
const MM2: (f64, f64) = (0.2, 240.0);

/// A part as the line names it; what it does not say is `None`.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    Battery {
        /// Nominal voltage.
        volts: Option<f64>,
        /// Capacity, A·h.
        ampere_hours: Option<f64>,
        /// Whether it is a lithium one.
        lithium: bool,
    },
    Fuse {
        /// Rating, A.
        amps: Option<f64>,
    },
    Breaker {
        /// Rating, A.
        amps: Option<f64>,
    },
    Cable {
        /// Length, m.
        metres: Option<f64>,
        /// Cross-section, mm².
        mm2: Option<f64>,
    },
    Switch,
    Isolator,
    /// A relay: its contact.
    Relay,
    /// A plug.
    Plug,
    /// A joint, stud or terminal.
    Joint,
    /// A load.
    Load {
        kind: LoadKind,
        /// Its word.
        name: String,
        /// Power, W.
        watts: Option<f64>,
        /// Current, A.
        amps: Option<f64>,
    },
    /// Return by body metal.
    Chassis,
    /// Return to the negative post.
    Negative,
    /// What charges the battery.
    Source {
        /// By sun, else by the engine.
        is_solar: bool,
        /// Current, A.
        amps: Option<f64>,
    },
}

/// What some words of a line became.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// The words, as they were said.
    pub said: String,
    pub item: Item,
    /// Of these what changes nothing.
    pub unused: Vec<String>,
}

/// A part on its way from words.
struct Draft {
    word: LineWord,
    /// The word for it.
    name: String,
    said: Vec<(usize, String)>,
    amounts: Vec<Amount>,
    unused: Vec<String>,
    piece: usize,
    /// Position of its word in the line.
    at: usize,
}

impl Draft {
    fn new(word: LineWord, name: &str, at: usize, piece: usize) -> Self {
        let said = vec![(at, name.to_string())];
        Self { word, name: name.to_string(), said, amounts: Vec::new(), unused: Vec::new(), piece, at }
    }

    fn has(&self, unit: Unit) -> bool {
        self.amounts.iter().any(|amount| amount.unit == unit)
    }

    /// Whether an amount says something of it that is not said.
    fn takes(&self, unit: Unit) -> bool {
        let fits = match self.word {
            LineWord::Battery => matches!(unit, Unit::Volts | Unit::AmpereHours),
            LineWord::Fuse | LineWord::Breaker => matches!(unit, Unit::Amps | Unit::None),
            LineWord::Solar | LineWord::Alternator => unit == Unit::Amps,
            LineWord::Cable => matches!(unit, Unit::Metres | Unit::Mm2 | Unit::None),
            LineWord::Load(_) => matches!(unit, Unit::Watts | Unit::Amps),
            _ => false,
        };
        let is_bare = |amount: &Amount| amount.unit == Unit::None && unit != Unit::Metres;
        let bare = if self.word == LineWord::Cable { Unit::Mm2 } else { Unit::Amps };
        fits && !self.has(if unit == Unit::None { bare } else { unit }) && !self.amounts.iter().any(is_bare)
    }

    /// Whether an amount may be on it and changes nothing.
    fn bears(&self, unit: Unit) -> bool {
        match self.word {
            LineWord::Switch | LineWord::Isolator | LineWord::Relay => {
                matches!(unit, Unit::Amps | Unit::Volts | Unit::None)
            }
            LineWord::Plug | LineWord::Joint => matches!(unit, Unit::Amps | Unit::None),
            LineWord::Fuse | LineWord::Breaker | LineWord::Load(_) | LineWord::Solar | LineWord::Alternator => {
                matches!(unit, Unit::Volts | Unit::Watts)
            }
            _ => false,
        }
    }

    fn take(&mut self, at: usize, amount: Amount) {
        self.said.push((at, amount.said.clone()));
        if self.takes(amount.unit) {
            self.amounts.push(amount);
        } else {
            self.unused.push(amount.said);
        }
    }
}

/// What the words of a line become, in their order.
pub fn made(line: &str) -> Result<Vec<Made>, SketchError> {
    let tokens = tokens(line)?;
    let mut drafts = drafts(&tokens);
    attach(&tokens, &mut drafts)?;
    drafts.sort_by_key(|draft| draft.at);
    let made = drafts.into_iter().map(item).collect::<Result<Vec<_>, _>>()?;
    for (what, wanted) in [
        ("battery", (|item| matches!(item, Item::Battery { .. })) as fn(&Item) -> bool),
        ("solar panel", |item| matches!(item, Item::Source { is_solar: true, .. })),
        ("alternator", |item| matches!(item, Item::Source { is_solar: false, .. })),
    ] {
        if let Some(second) = made.iter().filter(|made| wanted(&made.item)).nth(1) {
            return Err(SketchError::Second { said: second.said.clone(), what });
        }
    }
    Ok(made)
}

/// Words that name a part; those beside each other that say the same are one.
fn drafts(tokens: &[LineToken]) -> Vec<Draft> {
    let mut drafts: Vec<Draft> = Vec::new();
    let mut notes: Vec<(usize, String)> = Vec::new();
    let (mut piece, mut is_beside) = (0, false);
    let has_load = |is_socket: bool| {
        tokens.iter().any(|token| matches!(token, LineToken::Word { word: LineWord::Load(kind), .. } if (*kind == LoadKind::Socket) == is_socket))
    };
    for (at, token) in tokens.iter().enumerate() {
        match token {
            LineToken::Cut => {
                piece += 1;
                is_beside = false;
                // What says more of the one before.
                if let Some(last) = drafts.last_mut() {
                    last.said.append(&mut notes);
                }
            }
            LineToken::Amount(_) | LineToken::Word { word: LineWord::Filler, .. } => is_beside = false,
            LineToken::Word { word: LineWord::Note, said } => notes.push((at, said.clone())),
            LineToken::Word { word, said } => {
                // A socket feeds what is plugged in, if something is.
                let word = match word {
                    LineWord::Load(LoadKind::Socket) if said.starts_with("socket") && has_load(false) => LineWord::Plug,
                    word => *word,
                };
                // Coil and contact are of the relay that is named already.
                let is_half = word == LineWord::Relay
                    && (said.ends_with("coil") || said.ends_with("contact") || said == "control");
                if let Some(relay) = drafts.iter_mut().find(|draft| is_half && draft.word == LineWord::Relay) {
                    relay.said.push((at, said.clone()));
                    continue;
                }
                match drafts.last_mut().filter(|last| is_beside && last.piece == piece) {
                    Some(last) if last.word == word || is_of(last.word, word) => last.said.push((at, said.clone())),
                    Some(last) if is_of(word, last.word) => {
                        (last.word, last.name) = (word, said.clone());
                        last.said.push((at, said.clone()));
                    }
                    _ => {
                        drafts.push(Draft::new(word, said, at, piece));
                    }
                }
                if let Some(last) = drafts.last_mut() {
                    last.said.append(&mut notes);
                }
                is_beside = true;
            }
        }
    }
    if let Some(last) = drafts.last_mut() {
        last.said.append(&mut notes);
    }
    drafts
}

/// Whether the second word says only what the first is made of: `led lamp`, `pump motor`,
/// `compressor fridge`.
fn is_of(word: LineWord, other: LineWord) -> bool {
    let (LineWord::Load(kind), LineWord::Load(other)) = (word, other) else { return false };
    matches!(
        (kind, other),
        (LoadKind::Led | LoadKind::Beacon, LoadKind::Lamp)
            | (LoadKind::Pump | LoadKind::Fan | LoadKind::Actuator, LoadKind::Motor)
            | (LoadKind::Fridge, LoadKind::Compressor)
            | (LoadKind::Camera, LoadKind::Lamp)
            | (LoadKind::Radio, LoadKind::Electronics)
    )
}

/// Gives each amount to the part beside it: the one before, or the one after where a
/// piece begins with an amount.
fn attach(tokens: &[LineToken], drafts: &mut Vec<Draft>) -> Result<(), SketchError> {
    let (mut piece, mut is_first, mut leads) = (0, true, false);
    for (at, token) in tokens.iter().enumerate() {
        let amount = match token {
            LineToken::Cut => {
                (piece, is_first) = (piece + 1, true);
                continue;
            }
            LineToken::Word { word: LineWord::Filler | LineWord::Note, .. } => continue,
            LineToken::Word { .. } => {
                leads &= !is_first;
                is_first = false;
                continue;
            }
            LineToken::Amount(amount) => amount.clone(),
        };
        leads = if is_first { true } else { leads };
        is_first = false;
        let of_battery = matches!(amount.unit, Unit::Volts | Unit::AmpereHours);
        let here = || (0..drafts.len()).filter(|&index| drafts[index].piece == piece);
        let before = here().filter(|&index| drafts[index].at < at).max_by_key(|&index| drafts[index].at);
        let after = here().filter(|&index| drafts[index].at > at).min_by_key(|&index| drafts[index].at);
        let order = if leads { [after, before] } else { [before, after] };
        let takes = |index: &usize| drafts[*index].takes(amount.unit);
        let bears = |index: &usize| drafts[*index].bears(amount.unit);
        let battery = || {
            drafts.iter().position(|draft| draft.word == LineWord::Battery).filter(|index| of_battery && takes(index))
        };
        let first = order[0].filter(|index| takes(index) || !leads && bears(index) && !of_battery);
        let taker = first.or_else(|| order[1].filter(takes)).or_else(battery);
        let taker = taker.or_else(|| order.into_iter().flatten().find(bears));
        match (taker, amount.unit) {
            (Some(index), _) => drafts[index].take(at, amount),
            // A length says cable by itself, a voltage battery.
            (None, Unit::Metres | Unit::Mm2) => drafts.push(by_itself(LineWord::Cable, at, piece, amount)),
            (None, Unit::Volts | Unit::AmpereHours) if !drafts.iter().any(|draft| draft.word == LineWord::Battery) => {
                drafts.push(by_itself(LineWord::Battery, at, piece, amount));
            }
            (None, _) => return Err(SketchError::NoTaker { said: amount.said }),
        }
    }
    Ok(())
}

fn by_itself(word: LineWord, at: usize, piece: usize, amount: Amount) -> Draft {
    let mut draft = Draft { said: Vec::new(), ..Draft::new(word, "", at, piece) };
    draft.take(at, amount);
    draft
}

fn item(mut draft: Draft) -> Result<Made, SketchError> {
    draft.said.sort();
    let said = draft.said.iter().map(|(_, said)| said.as_str()).collect::<Vec<_>>().join(" ");
    let of = |unit: Unit| draft.amounts.iter().find(|amount| amount.unit == unit).map(|amount| amount.value);
    let bounded = |value: Option<f64>, unit: &'static str, (least, most): (f64, f64)| match value {
        Some(value) if !(least..=most).contains(&value) => {
            Err(SketchError::OutOfBounds { piece: said.clone(), value, unit, least, most })
        }
        value => Ok(value),
    };
    let amps = || bounded(of(Unit::Amps).or(of(Unit::None)), "A", AMPS);
    let item = match draft.word {
        LineWord::Battery => {
            let volts = of(Unit::Volts);
            if let Some(volts) = volts.filter(|volts| !NOMINAL.contains(&Volts(*volts))) {
                return Err(SketchError::Voltage { volts });
            }
            let ampere_hours = bounded(of(Unit::AmpereHours), "Ah", AMPERE_HOURS)?;
            Item::Battery { volts, ampere_hours, lithium: draft.said.iter().any(|(_, said)| said == "lithium") }
        }
        LineWord::Fuse => Item::Fuse { amps: amps()? },
        LineWord::Breaker => Item::Breaker { amps: amps()? },
        LineWord::Cable => {
            // A bare number is the size, as people say it.
            let mm2 = bounded(of(Unit::Mm2).or(of(Unit::None)), "mm²", MM2)?;
            Item::Cable { metres: bounded(of(Unit::Metres), "m", METRES)?, mm2 }
        }
        LineWord::Switch => Item::Switch,
        LineWord::Isolator => Item::Isolator,
        LineWord::Relay => Item::Relay,
        LineWord::Plug => Item::Plug,
        LineWord::Joint => Item::Joint,
        LineWord::Chassis => Item::Chassis,
        LineWord::Negative => Item::Negative,
        LineWord::Solar => Item::Source { is_solar: true, amps: amps()? },
        LineWord::Alternator => Item::Source { is_solar: false, amps: amps()? },
        LineWord::Load(kind) => {
            let watts = bounded(of(Unit::Watts), "W", WATTS)?;
            // Its own word says more than its kind, where it is one word.
            let name = if draft.name.chars().all(|c| c.is_ascii_alphanumeric()) {
                draft.name.clone()
            } else {
                word_of(kind).to_string()
            };
            Item::Load { kind, name, watts, amps: amps()? }
        }
        LineWord::Note | LineWord::Filler => return Err(SketchError::NoLoad),
    };
    Ok(Made { said, item, unused: draft.unused })
}
