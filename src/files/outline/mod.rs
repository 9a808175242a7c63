//! Text to a tree of entries, lists and values, whatever is wrong with its quotes,
//! brackets and commas. A lost or stray bracket is one error where it can be
//! seen, and what stands beside it is still read. What the values mean is not
//! looked at here.

mod brackets;
mod frame;
mod node;
mod outliner;
mod tokens;

pub use node::{NOTHING, Node, Root, Token, TokenKind, VEHICLE};
pub use outliner::outline;
pub use tokens::{QUOTES, tokens};
