//! What somebody wants to hear of a tune, and how.

use std::ops::{Range, RangeInclusive};

use lope_tune::How;

/// The speeds that make sense, in percent of the written tempo.
pub const SPEEDS: RangeInclusive<u32> = 10..=200;

/// How often at most a passage is played over.
pub const MOST_TIMES: u32 = 99;

/// What to play, and how. The default is the whole tune once, as written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Performance {
    /// The speed in percent of the written tempo; pitch stays. What lies outside [`SPEEDS`] stands for the
    /// nearest in it.
    pub speed: u32,
    /// Whether a bar is counted before the start; before a pickup, the bar that it ends as well.
    pub count_in: bool,
    /// Whether every beat clicks.
    pub click: bool,
    /// Which hands are heard. One that is not still stops its strings.
    pub hands: Hands,
    /// The bars to play, as places in [`lope_tune::Played::bars`]; all where there is none.
    /// [`crate::passage`] finds those of a part.
    pub passage: Option<Range<usize>>,
    /// How often they are played over, 1 to [`MOST_TIMES`].
    pub times: u32,
}

impl Default for Performance {
    fn default() -> Self {
        Self { speed: 100, count_in: false, click: false, hands: Hands::ALL, passage: None, times: 1 }
    }
}

/// What sounds a string, as a player takes a tune apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Hand {
    /// The right hand on the long strings: strikes and dropped thumbs.
    Right,
    /// The left hand alone: hammer-ons, pull-offs and slides.
    Left,
    /// The fifth string, whatever sounds it.
    Drone,
}

impl Hand {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Right, Self::Left, Self::Drone];

    /// What sounds a note on `string` made so.
    pub const fn of(string: u8, how: How) -> Self {
        match (string, how.is_slur()) {
            (5, _) => Self::Drone,
            (_, true) => Self::Left,
            (_, false) => Self::Right,
        }
    }

    /// What it is called: `right`, `left`, `drone`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Left => "left",
            Self::Drone => "drone",
        }
    }
}

/// A choice of [`Hand`]s.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hands {
    heard: [bool; 3],
}

impl Hands {
    /// Everything is heard.
    pub const ALL: Self = Self { heard: [true; 3] };

    /// Only `hands` are heard.
    pub fn only(hands: &[Hand]) -> Self {
        Self { heard: Hand::ALL.map(|hand| hands.contains(&hand)) }
    }

    /// Whether `hand` is heard.
    pub const fn has(self, hand: Hand) -> bool {
        self.heard[hand as usize]
    }
}
