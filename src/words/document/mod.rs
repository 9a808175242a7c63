//! A small marked-up document: a value first, text or page last. Two writers
//! turn it into Markdown and into one self-contained HTML page.

mod blocks;
mod drawing;
mod markdown;
mod markup;
mod page;
mod palette;
mod paper;
mod plain;

pub use blocks::{Block, Cell, Document, Figure, Layout, Panel, Table, Tone};
pub use drawing::{Anchor, Drawing, DrawingSize, Ink, Shape};
pub use paper::Paper;
