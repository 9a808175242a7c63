//! halfsplit.
pub mod belief;
pub mod case;
pub mod fault;
pub mod files;
pub mod meter;
pub mod network;
pub mod plan;
pub mod predict;
pub mod quantity;
pub mod repl;
pub mod source;
pub mod tables;
pub mod training;
pub mod trial;
pub mod vehicle;
pub mod words;
