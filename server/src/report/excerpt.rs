use unicode_width::UnicodeWidthChar;

use super::position::{Ruler, Stretch};
use crate::files::legible;

/// How many characters of a line are shown at most. With the indent, that fits a usual wide terminal.
const LONGEST: usize = 92;

/// Of a longer line: how many are shown before the mark, and how many from its start on.
const AROUND: usize = LONGEST / 2;

/// A line of a file around a place, ready to be shown, and where to mark it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Excerpt {
    /// The text: no control characters, `…` where something is cut off.
    pub text: String,
    /// How many columns on a screen lie before the mark.
    pub mark_at: usize,
    /// How many columns the mark takes: one at least.
    pub mark_len: usize,
}

impl Excerpt {
    /// The line that `stretch` starts on, with the part of it that `stretch` covers as the mark.
    pub fn new(ruler: &Ruler<'_>, stretch: Stretch) -> Self {
        let (line, start) = ruler.line(stretch.start);
        let end = if stretch.end.line == stretch.start.line { ruler.line(stretch.end).1 } else { line.len() };
        let (before, rest) = line.split_at_checked(start).unwrap_or((line, ""));
        let marked = rest.get(..end.saturating_sub(start)).unwrap_or(rest);

        let is_long = line.char_indices().nth(LONGEST).is_some();
        let from =
            if is_long { before.char_indices().rev().nth(AROUND - 1).map_or(0, |(at, _)| at) } else { 0 };
        let to = if is_long {
            rest.char_indices().nth(AROUND).map_or(rest.len(), |(at, _)| at)
        } else {
            rest.len()
        };
        let indent = if from == 0 { before.len() - before.trim_start().len() } else { from };

        let mut text = String::from(if from > 0 { "…" } else { "" });
        text.push_str(&legible(&before[indent..]));
        let mark_at = width(&text);
        text.push_str(&legible(&rest[..to]));
        text.truncate(text.trim_end().len());
        text.push_str(if to < rest.len() { "…" } else { "" });
        let mark_len = width(&legible(&marked[..marked.len().min(to)])).max(1);
        Self { text, mark_at, mark_len }
    }
}

fn width(text: &str) -> usize {
    text.chars().map(|letter| letter.width().unwrap_or(0)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The excerpt for what stands between `«` and `»`.
    fn excerpt(marked: &str) -> Excerpt {
        let (start, end) = (marked.find('«').unwrap(), marked.find('»').unwrap() - '«'.len_utf8());
        let text = marked.replace(['«', '»'], "");
        let mut ruler = Ruler::new(&text);
        let stretch = ruler.stretch(start..end);
        Excerpt::new(&ruler, stretch)
    }

    fn shown(marked: &str) -> String {
        let Excerpt { text, mark_at, mark_len } = excerpt(marked);
        format!("{text}\n{}{}", " ".repeat(mark_at), "=".repeat(mark_len))
    }

    #[test]
    fn the_mark_stands_under_the_token() {
        assert_eq!(shown("tune: T\n  | 1:0 «h2» 3:0 |\n"), "| 1:0 h2 3:0 |\n      ==");
    }

    #[test]
    fn wide_and_joined_characters_take_their_columns() {
        assert_eq!(shown("\"二胡 e\u{301}\" «h2»"), "\"二胡 e\u{301}\" h2\n         ==");
    }

    #[test]
    fn a_tab_and_other_controls_become_a_blank() {
        assert_eq!(shown("1:0\t«h\u{1b}2»"), "1:0 h 2\n    ===");
    }

    #[test]
    fn an_empty_place_is_marked_by_one() {
        assert_eq!(shown("| 1:0 «»\n| 2:0"), "| 1:0\n      =");
    }

    #[test]
    fn a_mark_over_several_lines_ends_with_the_first() {
        assert_eq!(shown("1:0 «| 2:0\n3:0» |"), "1:0 | 2:0\n    =====");
    }

    #[test]
    fn a_line_of_a_million_notes_is_cut_around_the_mark() {
        let text = format!("{}«h2»{}", "é:0 ".repeat(1_000), " 2:0".repeat(1_000_000));
        let found = excerpt(&text);
        assert!(found.text.starts_with('…') && found.text.ends_with('…'), "{}", found.text);
        assert_eq!(found.text.chars().count(), 1 + LONGEST + 1);
        assert_eq!((found.mark_at, found.mark_len), (1 + AROUND, 2));
    }

    #[test]
    fn a_mark_longer_than_the_line_shown_is_cut_with_it() {
        let found = excerpt(&format!("«{}»", "1:0 ".repeat(1_000)));
        assert_eq!(found.mark_len, AROUND);
    }
}
