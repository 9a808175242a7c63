//! Document model: blocks in reading order, as values that know nothing of how
//! they are written. A screen is its blocks alone.

use super::drawing::Drawing;
use crate::plan::Range;

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
    /// What to do, before all else.
    Lead(String),
    /// Plain text.
    Paragraph(String),
    /// What belongs to the paragraph above it.
    Detail(String),
    /// Text as it stands, line by line: a place in a file.
    Verbatim(String),
    /// Points without an order.
    List(Vec<String>),
    /// Points in order, each with what belongs to it.
    Steps(Vec<(String, Vec<String>)>),
    /// Words, each with what it means.
    Terms(Vec<(String, String)>),
    /// Rows and columns.
    Table(Table),
    /// Something that can hurt somebody.
    Caution(String),
    /// A picture.
    Figure(Figure),
    /// Values on one scale, a row each.
    Bars(Bars),
    /// Points of a way in order, and what lies between them: `--`, or with a mark in it.
    Strip(Vec<Cell>),
}

impl Block {
    /// Plain text.
    pub fn paragraph(text: impl Into<String>) -> Self {
        Self::Paragraph(text.into())
    }

    /// What belongs to the paragraph above it.
    pub fn detail(text: impl Into<String>) -> Self {
        Self::Detail(text.into())
    }

    /// Rows and columns that need no caption.
    pub fn table<C: Into<Cell>>(columns: &[&str], rows: impl IntoIterator<Item = Vec<C>>) -> Self {
        Self::Table(Table::of("", columns, rows))
    }
}

/// A table; every row has as many cells as there are columns.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// What it shows; empty where what stands above says so.
    pub caption: String,
    /// Heads of the columns.
    pub columns: Vec<String>,
    /// Rows; the first cell of each is its head.
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// A table of rows of whatever makes a cell.
    pub fn of<C: Into<Cell>>(caption: &str, columns: &[&str], rows: impl IntoIterator<Item = Vec<C>>) -> Self {
        Self {
            caption: caption.to_string(),
            columns: columns.iter().map(|head| head.to_string()).collect(),
            rows: rows.into_iter().map(|row| row.into_iter().map(Into::into).collect()).collect(),
        }
    }
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
    /// In question.
    Open,
    /// Left open, to be filled in by hand.
    ToFillIn,
}

impl Cell {
    /// A row of what makes cells.
    pub fn row(cells: impl IntoIterator<Item = impl Into<Self>>) -> Vec<Self> {
        cells.into_iter().map(Into::into).collect()
    }
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

/// Values on one scale, from nothing to the most that it holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Bars {
    /// What it shows.
    pub caption: String,
    /// The end of the scale.
    pub most: f64,
    /// Its rows.
    pub rows: Vec<Bar>,
}

/// A row of a scale.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// What it is of.
    pub name: String,
    /// Where a value should lie; none for a row that parts others.
    pub band: Option<Range>,
    /// Where one lies.
    pub value: Option<f64>,
    /// What there is to say of it.
    pub remark: String,
    /// Whether it has a place on the scale at all.
    pub is_scaled: bool,
}
