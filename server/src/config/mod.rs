//! The book's configuration: `lope.toml` at its root.
//!
//! A [`Book`] is read from the text of that file and never fails: a mistake is reported at its own place
//! and what it was about stays as it is by default. [`Books`] finds the book of any folder.

mod book;
mod books;
mod keys;
mod mistake;
mod read;
mod schema;
mod value;

pub use book::Book;
pub use books::{Books, Shelf};
pub use mistake::{MISTAKE, Mistake};
pub use schema::schema;

/// What the mistake of a file that cannot be read ends in.
const DEFAULTS_STAND: &str = "the defaults stand for all of the file";

/// The name of the file.
pub const FILE_NAME: &str = "lope.toml";
