//! Writers: a document as Markdown or as one self-contained HTML page.

use super::blocks::Document;
use super::{markdown, page};

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
            Self::Markdown => markdown::MARK,
            Self::Page => page::MARK,
        }
    }
}

impl Document {
    /// The text of the document on a kind of paper.
    pub fn written(&self, paper: Paper) -> String {
        match paper {
            Paper::Markdown => markdown::written(self),
            Paper::Page => page::written(self),
        }
    }
}
