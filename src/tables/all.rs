//! All tables of parameters together: read once, and handed to whoever needs
//! one of them.

use super::belief::Weighing;
use super::faults::Faults;
use super::instruments::Instruments;
use super::memory::Memory;
use super::plan::Planning;
use super::proof::Proving;
use super::rates::Rates;
use super::review::Reviewing;
use super::row::{ParameterTable, Row};
use super::sheet::Folding;
use super::signs::Signs;
use super::sketch::Sketching;
use super::spreads::Spreads;
use super::telling::Telling;
use super::times::Times;
use super::training::Teaching;
use super::trial::Simulation;
use super::world::Workshop;
use super::world_rates::WorldRates;

/// Reads one table after the other.
pub trait TableReader {
    /// Why there are no tables.
    type Error;

    /// The table of a key, of which `built_in` is the text that comes with the
    /// program.
    ///
    /// # Errors
    /// If that cannot be used.
    fn table<T: ParameterTable>(&mut self, key: &'static str, built_in: &'static str) -> Result<T, Self::Error>;
}

macro_rules! tables {
    ($($(#[doc = $doc:literal])+ $key:ident: $table:ident in $file:literal,)+) => {
        /// All tables.
        #[derive(Debug, Clone, PartialEq)]
        pub struct Tables {
            $($(#[doc = $doc])+ pub $key: $table,)+
        }

        impl Tables {
            /// Their keys in a file that gives several.
            pub const KEYS: &'static [&'static str] = &[$(stringify!($key)),+];
            /// The word at the start of each, and the keys in it.
            pub const KINDS: &'static [(&'static str, &'static [&'static str])] =
                &[$(($table::WORD, $table::KEYS)),+];

            /// Reads them.
            ///
            /// # Errors
            /// The first of `reading`.
            pub fn read<R: TableReader>(reading: &mut R) -> Result<Self, R::Error> {
                Ok(Self { $($key: reading.table(stringify!($key), include_str!($file))?,)+ })
            }

            /// Every row of every table.
            pub fn rows(&self) -> Vec<Row<'_>> {
                let mut rows = Vec::new();
                $(rows.extend(self.$key.rows());)+
                rows
            }
        }
    };
}

tables! {
    /// How often each kind of part fails in each way.
    rates: Rates in "rates.ron",
    /// Sizes of faults.
    faults: Faults in "faults.ron",
    /// Instruments.
    instruments: Instruments in "instruments.ron",
    /// Spreads of sound vehicles, and the thresholds of prediction.
    spreads: Spreads in "spreads.ron",
    /// Priors and thresholds of the belief.
    belief: Weighing in "belief.ron",
    /// Thresholds of the planner.
    plan: Planning in "plan.ron",
    /// Minutes of a test.
    times: Times in "times.ron",
    /// Chances of what people see, hear and feel.
    signs: Signs in "signs.ron",
    /// How much is held of what was worked out.
    memory: Memory in "memory.ron",
    /// What the proof of a repair must catch.
    proof: Proving in "proof.ron",
    /// What is worth telling.
    telling: Telling in "telling.ron",
    /// How a test sheet is folded.
    sheet: Folding in "sheet.ron",
    /// What a review holds a build against.
    review: Reviewing in "review.ron",
    /// What is usual, for a sketch.
    sketch: Sketching in "sketch.ron",
    /// Conduct of the trial.
    trial: Simulation in "trial.ron",
    /// What the trial's vehicles, people and instruments are really like.
    world: Workshop in "world.ron",
    /// How often parts of the trial's vehicles fail.
    world_rates: WorldRates in "world_rates.ron",
    /// Marks, prices and instrument of a lesson.
    training: Teaching in "training.ron",
}
