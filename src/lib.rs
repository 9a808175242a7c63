//! halfsplit.

#![forbid(unsafe_code)]

pub mod belief;
pub mod case;
pub mod complaint;
pub mod fault;
pub mod files;
pub mod findings;
pub mod memo;
pub mod meter;
pub mod network;
pub mod odds;
pub mod plan;
pub mod predict;
pub mod quantity;
pub mod repl;
pub mod review;
pub mod sheet;
pub mod sketch;
pub mod source;
pub mod tables;
pub mod training;
pub mod trial;
pub mod vehicle;
pub mod words;
