//! The right hand.
