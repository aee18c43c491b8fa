//! What is asked of a sheet.

use std::ops::RangeInclusive;

use lope_tune::{BarId, EventId};

/// How a tune is laid out.
#[derive(Clone, Debug, PartialEq)]
pub struct Wishes {
    /// What it is laid out on.
    pub paper: Paper,
    /// Whether it is printed large, for who reads it from a stand or with weak eyes.
    pub large: bool,
    /// Whether the strokes of the right hand stand below the strings.
    pub strokes: bool,
    /// Whether the count does.
    pub count: bool,
    /// What is shown beside the bars it is about, in the order of its numbers.
    pub remarks: Vec<Remark>,
    /// Whether what is said stands below the music as well as in the marks.
    pub spelled_out: bool,
    /// What is shown, where that is not the whole tune.
    pub passage: Option<Passage>,
}

/// Bars of a part, as a player names them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Passage {
    /// The part.
    pub part: String,
    /// The bars, counted from 1, 0 for the pickup; all where there are none.
    pub bars: Option<RangeInclusive<u32>>,
}

impl Default for Wishes {
    fn default() -> Self {
        Self {
            paper: Paper::A4,
            large: false,
            strokes: true,
            count: true,
            remarks: Vec::new(),
            spelled_out: true,
            passage: None,
        }
    }
}

/// What is left free at the edges of a printed page, in points.
const MARGIN: f32 = 42.0;

/// What a sheet is laid out on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Paper {
    /// Pages of 210 by 297 mm (ISO 216).
    A4,
    /// Pages of 8.5 by 11 inches.
    Letter,
    /// One page, so many points wide and as high as it takes.
    Endless(f32),
}

impl Paper {
    /// The width of a page in points, and its height where it has one.
    pub const fn size(self) -> (f32, Option<f32>) {
        match self {
            Self::A4 => (595.28, Some(841.89)),
            Self::Letter => (612.0, Some(792.0)),
            Self::Endless(width) => (width, None),
        }
    }

    /// What is left free at the edges of a page, in points. A narrow screen has none to give away.
    pub fn margin(self) -> f32 {
        match self {
            Self::Endless(width) => ((width - 280.0) * 0.15).clamp(7.0, MARGIN),
            Self::A4 | Self::Letter => MARGIN,
        }
    }
}

/// Something to say of a bar, such as a finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// The bar as written.
    pub bar: BarId,
    /// The event of it, where it is about one.
    pub event: Option<EventId>,
    /// What is said.
    pub text: String,
}
