//! Formatting: changes blanks only.
