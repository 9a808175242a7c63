//! How often parts of the trial's vehicles fail: a table of rates of its own.

use super::rates::Rates;
use super::row::{ParameterTable, Row, RowReader};

/// Rates of the trial's vehicles.
#[derive(Debug, Clone, PartialEq)]
pub struct WorldRates(pub Rates);

impl ParameterTable for WorldRates {
    const WORD: &'static str = "WorldRates";
    const KEYS: &'static [&'static str] = Rates::KEYS;

    fn read(known: Option<&Self>, rows: &mut impl RowReader) -> Option<Self> {
        Rates::read(known.map(|known| &known.0), rows).map(Self)
    }

    fn rows(&self) -> Vec<Row<'_>> {
        self.0.rows().into_iter().map(|row| Row { table: Self::WORD, ..row }).collect()
    }
}
