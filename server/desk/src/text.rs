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

impl Change {
    /// This change and a later one, made in the text this one left, as one that covers both.
    pub fn then(self, later: Self) -> Self {
        let end = self.new_end.max(later.old_end);
        Self {
            start: self.start.min(later.start),
            old_end: self.old_end + (end - self.new_end),
            new_end: later.new_end + (end - later.old_end),
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::collection::vec;
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// The old text with the changed stretch of the new one put in is the new text.
        #[test]
        fn changes_one_after_another_are_one_change(
            text in "[a-z]{0,40}",
            edits in vec((0..99_usize, 0..9_usize, "[A-Z]{0,6}"), 1..8),
        ) {
            let (mut now, mut whole) = (text.clone(), None);
            for (at, removed, inserted) in &edits {
                let start = at % (now.len() + 1);
                let old_end = (start + removed).min(now.len());
                now.replace_range(start..old_end, inserted);
                let change = Change { start, old_end, new_end: start + inserted.len() };
                whole = Some(whole.map_or(change, |before: Change| before.then(change)));
            }
            let change = whole.unwrap();
            let mut rebuilt = text;
            rebuilt.replace_range(change.start..change.old_end, &now[change.start..change.new_end]);
            prop_assert_eq!(rebuilt, now);
        }
    }
}
