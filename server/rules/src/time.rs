//! The time in bars and parts.
