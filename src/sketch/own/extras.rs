//! What a vehicle may have besides circuits.

use super::super::error::SketchError;
use crate::source::nearest;

/// What else is in a vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extra {
    /// A charger from the starter battery and its alternator.
    Charger,
    /// The starter battery, joined to the other by a relay while the engine runs.
    SecondBattery,
    /// A trailer socket with tail and brake lamps behind it.
    Trailer,
}

impl Extra {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Charger, Self::SecondBattery, Self::Trailer];

    /// The words that ask for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Charger => "charger",
            Self::SecondBattery => "second battery",
            Self::Trailer => "trailer",
        }
    }
}

const WANTED: &str = "the choices are `charger`, `second battery` and `trailer`";

/// The extras of a line; commas between them.
pub fn read(line: &str) -> Result<Vec<Extra>, SketchError> {
    let mut extras = Vec::new();
    let plain = line.to_lowercase().replace(['-', '_'], " ");
    for said in plain.split(',').map(str::trim).filter(|said| !matches!(*said, "" | "none" | "no" | "nothing")) {
        let found = Extra::ALL.into_iter().find(|extra| extra.words() == said);
        let near = || nearest(said, Extra::ALL.map(Extra::words));
        let near = found.or_else(|| Extra::ALL.into_iter().find(|extra| near() == Some(extra.words())));
        let extra = near.ok_or(SketchError::NoAnswer { said: said.to_string(), wanted: WANTED })?;
        if !extras.contains(&extra) {
            extras.push(extra);
        }
    }
    if extras.contains(&Extra::Charger) && extras.contains(&Extra::SecondBattery) {
        let wanted = "take one of `charger` and `second battery`: either brings the starter battery, and joins the two";
        return Err(SketchError::NoAnswer { said: line.trim().to_string(), wanted });
    }
    Ok(extras)
}
