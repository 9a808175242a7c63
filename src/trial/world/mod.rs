//! The vehicle as it is, and what people and instruments tell of it. Nothing in
//! here knows what the engine supposes: `tests/suite/layers.rs` sees to it.

mod as_is;
mod chance;
mod departure;
mod displays;
mod hand;
mod instruments;
mod naming;
mod nature;
mod parts;
mod people;
mod readings;
mod senses;
mod sizes;

pub use as_is::World;
pub use chance::log_uniform;
pub use departure::{Departure, departure, joined, swapped_behind};
pub use naming::in_order_of_naming;
pub use parts::real_parts;
pub use readings::TakenReading;
pub use senses::{Look, Sensation, likeliest};
pub use sizes::{draw_size, range};
