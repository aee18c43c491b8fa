//! A bar's slots in the groups that the writer set apart.

use lope_syntax::{Span, TokenKind};
use lope_tune::{BarId, Duration, Frame, Moment, Slot};

use crate::Music;

/// Slots of a bar that stand together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Group {
    /// From its first slot to its last.
    pub span: Span,
    /// Its last slot, in the tune's list of slots.
    pub last: u32,
    /// When it begins, from the start of the bar's slots.
    pub start: Moment,
    /// The time its slots fill.
    pub length: Duration,
}

impl Group {
    /// When the next begins.
    pub fn end(&self) -> Moment {
        self.start + self.length
    }
}

/// The groups of `bar`, in order.
pub fn groups(music: &Music, bar: BarId) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for at in music.source.bars[bar.index()].slots.clone() {
        let Slot { span, onset, length, apart, .. } = music.source.slots[at as usize];
        match groups.last_mut().filter(|_| !apart) {
            Some(group) => {
                group.span = group.span.cover(span);
                group.last = at;
                group.length += length;
            }
            None => groups.push(Group { span, last: at, start: onset, length }),
        }
    }
    groups
}

/// Which of `groups` lacks `missing`, and how long it should be, where the others leave no doubt: together
/// they would be the groups of the meter, or all alike, or all whole beats.
pub fn short_group<'g>(
    groups: &'g [Group],
    missing: Duration,
    frame: &Frame,
) -> Option<(&'g Group, Duration)> {
    let beat = frame.meter.beat();
    let find = |fits: &dyn Fn(&[Duration], Duration) -> bool| {
        groups.iter().enumerate().find_map(|(at, group)| {
            let mut lengths: Vec<Duration> = groups.iter().map(|group| group.length).collect();
            lengths[at] += missing;
            fits(&lengths, group.length).then_some((group, lengths[at]))
        })
    };
    find(&|lengths, _| are_the_meters(lengths, frame))
        .or_else(|| find(&|lengths, _| lengths.windows(2).all(|pair| pair[0] == pair[1])))
        .or_else(|| {
            find(&|lengths, short| {
                !short.is_multiple_of(beat) && lengths.iter().all(|length| length.is_multiple_of(beat))
            })
        })
}

/// Whether `lengths` are the groups that a bar of `frame` has, the last of them cut short or not.
fn are_the_meters(lengths: &[Duration], frame: &Frame) -> bool {
    let mut at = Moment::START;
    lengths.iter().enumerate().all(|(number, length)| {
        let group = frame.group(at);
        at += *length;
        let is_last = number + 1 == lengths.len();
        group.length == *length || is_last && *length < group.length
    })
}

/// The end of the slot numbered `slot`, its glued brace included: where the next slot may be put.
pub fn end_of_slot(music: &Music, slot: u32) -> u32 {
    let span = music.source.slots[slot as usize].span;
    let tokens = music.tree.tokens();
    let next = tokens.partition_point(|token| token.span.start < span.end);
    let closes = |kind| matches!(kind, TokenKind::BraceClose | TokenKind::Over);
    let mut end = span.end;
    for token in
        tokens[next..].iter().take_while(|token| token.kind == TokenKind::Blank || closes(token.kind))
    {
        if closes(token.kind) {
            end = token.span.end;
        }
    }
    end
}

/// Whether the place `at` in `bar` is between a brace and the one that closes it.
pub fn is_in_brace(music: &Music, bar: BarId, at: u32) -> bool {
    let (tokens, start) = (music.tree.tokens(), music.source.bars[bar.index()].span.start);
    let first = tokens.partition_point(|token| token.span.start < start);
    let before = tokens[first..].iter().take_while(|token| token.span.start < at);
    let depth = before.fold(0_u32, |depth, token| match token.kind {
        TokenKind::BraceOpen => depth + 1,
        TokenKind::BraceClose => depth.saturating_sub(1),
        _ => depth,
    });
    depth > 0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::Piece;

    /// The lengths of the groups of `music`, one bar, in eighths, and the number of the short one.
    fn lacking(meter: &str, music: &str) -> (String, Option<usize>) {
        let piece = Piece::new(&format!("tune: T\nmeter: {meter}\n\npart A\n{music}"));
        let groups = groups(&piece.music(), BarId(0));
        let (frame, filled) = (&piece.reading.tune.frames[0], piece.reading.tune.bars[0].length);
        let eighths = |length: Duration| length.divide(Duration::new(1, 8)).0.to_string();
        let lengths: Vec<String> = groups.iter().map(|group| eighths(group.length)).collect();
        let found = short_group(&groups, frame.meter.bar() - filled, frame);
        let found = found.and_then(|(short, _)| groups.iter().position(|group| group == short));
        (lengths.join(" "), found)
    }

    #[test]
    fn the_group_that_lacks_something_is_told_by_the_others() {
        let check = |meter, music, lengths: &str, short| {
            assert_eq!(lacking(meter, music), (lengths.to_owned(), short), "{music}");
        };
        check("6/8", "| 1:0 t  1:0 t 2:0 |", "2 3", Some(0));
        check("6/8", "| 1:0 t 2:0  1:0- |", "3 2", Some(1));
        check("9/8", "| 1:0 t 2:0  1:0-  1:0 t 2:0 |", "3 2 3", Some(1));
        check("4/4", "| 1:0 t 2:0 t  1:0 t 2:0 |", "4 3", Some(1));
        check("4/4", "| 1:0 t  2:0  1:0 t\n1:0 t |", "2 1 2 2", Some(1));
        check("4/4", "| 1:0 t 1:0 t  2:0  1:0 t |", "4 1 2", Some(1));
        check("7/8", "| 1:0 t  1:0 t  1:0 t |", "2 2 2", Some(2));
    }

    #[test]
    fn where_nothing_shows_which_none_is_named() {
        assert_eq!(lacking("6/8", "| 1:0 t 2:0 1:0 t |"), ("5".to_owned(), Some(0)));
        assert_eq!(lacking("9/8", "| 1:0 t 2:0  1:0 t 2:0 |"), ("3 3".to_owned(), None));
        assert_eq!(lacking("6/8", "| 1:0  t 2:0 1:0  t |"), ("1 3 1".to_owned(), None));
    }
}
