//! The kit the suites share.
