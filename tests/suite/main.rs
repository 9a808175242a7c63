//! The whole of halfsplit, tested from outside.

mod bad_files;
mod beliefs;
mod cli;
mod closed_loop;
mod complaints;
mod demo_faults;
mod drift;
mod instruments;
mod journal;
mod kirchhoff;
mod layers;
mod outside;
mod part_kinds;
mod past;
mod played;
mod proofs;
mod pty;
mod published;
mod reports;
mod sessions;
mod sheets;
mod sketches;
mod training;
mod trees;
mod trial;
mod trial_outside;
