//! The vehicle as it is, and what people and instruments tell of it.

mod as_is;
mod parts;
mod readings;
mod senses;

pub use as_is::World;
pub use parts::real_parts;
pub use readings::TakenReading;
pub use senses::{likeliest, seen};
