use std::ops::Range;

/// A stretch of a tune's text, in bytes from the tune's first byte: half open.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// The first byte.
    pub start: u32,
    /// The byte after the last.
    pub end: u32,
}

impl Span {
    /// The bytes from `start` up to `end`.
    pub const fn new(start: u32, end: u32) -> Self {
        Self { start, end }
    }

    /// The empty place before the byte at `at`.
    pub const fn empty(at: u32) -> Self {
        Self { start: at, end: at }
    }

    /// How many bytes it covers.
    pub const fn len(self) -> u32 {
        self.end - self.start
    }

    /// Whether it covers no byte.
    pub const fn is_empty(self) -> bool {
        self.start == self.end
    }

    /// The smallest span that covers both.
    #[inline]
    pub fn cover(self, other: Self) -> Self {
        Self { start: self.start.min(other.start), end: self.end.max(other.end) }
    }

    /// Whether `at` lies inside, or at the end of the span: where a cursor would touch it.
    pub const fn touches(self, at: u32) -> bool {
        self.start <= at && at <= self.end
    }

    /// Whether the two share a byte, or one is an empty place inside the other.
    pub const fn overlaps(self, other: Self) -> bool {
        self.start < other.end && other.start < self.end
            || self.start == other.start && (self.is_empty() || other.is_empty())
    }

    /// The text it covers, or nothing where it does not fit `text`.
    #[inline]
    pub fn of(self, text: &str) -> &str {
        text.get(Range::from(self)).unwrap_or_default()
    }
}

impl From<Span> for Range<usize> {
    fn from(span: Span) -> Self {
        span.start as usize..span.end as usize
    }
}
