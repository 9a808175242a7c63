//! halfsplit.
pub mod belief;
pub mod fault;
pub mod files;
pub mod meter;
pub mod network;
pub mod predict;
pub mod quantity;
pub mod source;
pub mod tables;
pub mod vehicle;
