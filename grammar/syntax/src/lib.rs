//! Text to tokens to tree.
//!
//! A file is cut into the texts of its tunes ([`tunes`]); each is read on its own ([`parse`]), so an
//! edit costs one tune and not the file. Reading never fails: every byte belongs to a token, every
//! token to a node, and what is not notation is a [`Fault`] with a place.
//!
//! Absent here: meaning. Nothing in this crate knows what a fret, a meter or a tuning is.

mod lexer;
mod nearest;
mod parser;
mod span;
mod split;
mod token;
mod tree;

pub use nearest::nearest;
pub use parser::parse;
pub use span::Span;
pub use split::tunes;
pub use token::{Token, TokenKind};
pub use tree::{Fault, FaultKind, Node, NodeId, NodeKind, Tree};
