//! Thousands of simulated faults, played from the complaint to the answer, and
//! how well the engine guided.
//!
//! Every case is a function of one number, its seed: the fault, the real parts,
//! the meter, what is misread and what cannot be reached. Cases are shared out
//! between threads and put together again in order, so the figures do not
//! depend on how many there are.
//!
//! The order in which things come to be: conditions and trouble; the vehicle
//! as it is (`world`); the hidden fault, drawn on a bench; the players (`drive`
//! follows the tool, `path` the textbook); what each came to;
//! the report.

mod alike;
mod answer;
mod baseline;
mod bench;
mod calibration;
mod complaint;
mod conditions;
mod draw;
mod drive;
mod figures;
mod habits;
mod hidden;
mod look_over;
mod mechanics;
mod options;
mod outcome;
mod paired;
mod panel;
mod path;
mod played;
mod report;
mod run;
mod seed;
mod threads;
mod told;
mod trouble;
mod world;

pub use bench::Bench;
pub use calibration::{Band, Calibration, CalibrationTable};
pub use complaint::with_battery;
pub use conditions::{Conditions, Draw, LookedBefore, MeterQuality, Misreading, Tails, WrongKind};
pub use figures::{Mean, Share, calibration_error, mean_ratio, utility};
pub use habits::{Habits, habits};
pub use hidden::{DrawnCase, Hidden};
pub use options::{Options, Policy};
pub use outcome::CaseOutcome;
pub use paired::{Paired, PairedCase, PairedFigure};
pub use panel::with_panel;
pub use played::{LEVELS, PlayedAnswer, PlayedCase, PlayedEnding};
pub use report::{Column, FailedCase, FailureKind, Report, report};
pub use run::{play, run};
pub use seed::case_seed;
pub use threads::in_threads;
pub use trouble::{Trouble, beside};
pub use world::{Departure, Look, TakenReading, World, likeliest, real_parts};
