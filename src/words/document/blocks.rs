//! Document model: blocks in reading order, as values that know nothing of how
//! they are written.

use super::drawing::Drawing;

/// A document: a title and what stands under it.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    pub title: String,
    /// How it is laid out on paper.
    pub layout: Layout,
    /// Its blocks in reading order.
    pub blocks: Vec<Block>,
}

/// How a page is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// To be read.
    Roomy,
    /// To be carried along: small, steps in two columns.
    Dense,
}

/// One block of a document.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// Starts a section.
    Heading(String),
    /// Plain text.
    Paragraph(String),
    /// Points without an order.
    List(Vec<String>),
    /// Points in order, each with what belongs to it.
    Steps(Vec<(String, Vec<String>)>),
    /// Rows and columns.
    Table(Table),
    /// Something that can hurt somebody.
    Caution(String),
    /// A picture.
    Figure(Figure),
}

/// A table; every row has as many cells as there are columns.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// What it shows.
    pub caption: String,
    /// Heads of the columns.
    pub columns: Vec<String>,
    /// Rows; the first cell of each is its head.
    pub rows: Vec<Vec<Cell>>,
}

/// A cell of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// What it says.
    pub text: String,
    /// How it is to be taken; never told by tint alone.
    pub tone: Tone,
}

/// How something is to be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// As it stands.
    Plain,
    /// As it should be.
    Good,
    /// Not as it should be.
    Bad,
    /// Left open, to be filled in by hand.
    ToFillIn,
}

impl<T: Into<String>> From<T> for Cell {
    fn from(text: T) -> Self {
        Self { text: text.into(), tone: Tone::Plain }
    }
}

/// A picture in panels that read one after the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// What it shows.
    pub caption: String,
    /// How to read it.
    pub legend: String,
    /// Its panels.
    pub panels: Vec<Panel>,
}

/// One drawing of a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// What it shows, in a few words.
    pub title: String,
    /// The same as the drawing, in words.
    pub description: String,
    pub drawing: Drawing,
}
