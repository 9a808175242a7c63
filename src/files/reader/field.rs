//! What an entry or a value was read as.

use crate::source::Span;

/// An entry and where it stands.
pub struct Located<T> {
    pub value: T,
    pub span: Span,
}

/// A value that may be left out.
#[derive(Debug, Clone, Copy)]
pub enum KeyField<T> {
    Absent,
    /// It is there, but could not be read; that has been reported.
    Unread,
    Read(T),
}
