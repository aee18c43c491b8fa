//! Tablature from any form: notes with strings and frets, to events that the hands play.

mod events;
mod hands;
mod sound;
mod strings;

pub use events::Events;
pub use hands::Hands;
pub use sound::Sound;
pub use strings::Strings;

/// The sizes of tuplets that the hand takes in threes.
pub const RUN_SIZES: [u32; 4] = [3, 6, 9, 12];
