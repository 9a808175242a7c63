//! The whole of halfsplit, tested from outside.

mod bad_files;
mod beliefs;
mod cli;
mod closed_loop;
mod demo_faults;
mod kirchhoff;
mod layers;
mod outside;
mod played;
mod pty;
mod published;
mod reports;
mod sessions;
