//! The tune's text and the book.
