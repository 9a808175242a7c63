//! A small marked-up document: a value first, text or page last. Two writers
//! turn it into Markdown and into one self-contained HTML page.

mod drawing;
mod markdown;
mod markup;
mod page;
mod palette;

pub use drawing::{Anchor, Drawing, Ink, Shape, Size};

/// First line of every document in Markdown; tells ours from another's.
pub const MARKDOWN_MARK: &str = "<!-- halfsplit report -->";
/// What every page carries near its start; tells ours from another's.
pub const PAGE_MARK: &str = "<meta name=\"generator\" content=\"halfsplit report\"/>";

/// What a document is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// Markdown with pipe tables.
    Markdown,
    /// One HTML page that needs nothing else.
    Page,
}

impl Paper {
    /// What tells a document of ours from another's.
    pub fn mark(self) -> &'static str {
        match self {
            Self::Markdown => MARKDOWN_MARK,
            Self::Page => PAGE_MARK,
        }
    }
}

/// A document: a title and what stands under it.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// The title.
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
    /// The drawing.
    pub drawing: Drawing,
}

impl Document {
    /// Writes it out.
    pub fn written(&self, paper: Paper) -> String {
        match paper {
            Paper::Markdown => markdown::written(self),
            Paper::Page => page::written(self),
        }
    }
}

/// Text on one line, without control characters: what a user typed may hold any.
fn tidy(text: &str) -> String {
    text.split(|letter: char| letter.is_whitespace() || letter.is_control())
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}
