use std::borrow::Cow;
use std::ops::Range;

/// A file's text, however it is kept. Places are bytes from its start.
pub trait Text {
    /// How many bytes it has.
    fn size(&self) -> usize;

    /// The bytes of `range`, which must lie inside and on the bounds of characters.
    fn slice(&self, range: Range<usize>) -> Cow<'_, str>;
}

impl Text for str {
    fn size(&self) -> usize {
        self.len()
    }

    fn slice(&self, range: Range<usize>) -> Cow<'_, str> {
        Cow::Borrowed(self.get(range).unwrap_or_default())
    }
}

/// A stretch of a text that has become another. Places are bytes from the start of the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// Where it starts, in the text before as in the text after.
    pub start: usize,
    /// Where it ended before.
    pub old_end: usize,
    /// Where it ends now.
    pub new_end: usize,
}
