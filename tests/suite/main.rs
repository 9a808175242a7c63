//! The whole of halfsplit, tested from outside.

mod closed_loop;
mod kirchhoff;
mod played;
