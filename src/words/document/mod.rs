//! A small marked-up document: a value first, text or page last. Writers turn
//! it into lines of a terminal, Markdown, and one self-contained HTML page.

mod blocks;
mod drawing;
mod markdown;
mod markup;
mod page;
mod palette;
mod paper;
mod plain;
mod terminal;

pub use blocks::{Bar, Bars, Block, Cell, Document, Figure, Layout, Panel, Table, Tone};
pub use drawing::{Anchor, Drawing, DrawingSize, Ink, Shape};
pub use paper::Paper;
pub use terminal::{NARROWEST, Terminal, USUAL, WIDEST, broken, on_screen};
