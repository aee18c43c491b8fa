use lope_rules::Edit;
use lope_syntax::{Span, Token, TokenKind};

use crate::tidy::edit;
use crate::{Page, Reading};

/// What was just typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Typed {
    /// A bar line.
    BarLine,
    /// A line break.
    LineBreak,
}

impl Page {
    /// The edits that tidy what was finished by typing `typed`, which left the cursor at `offset`; their spans
    /// count from the start of the file. A bar line finishes its bar, a line break its line, whose bar lines
    /// then stand in columns with the lines above.
    ///
    /// Nothing changes between what was typed and the cursor, nor after it: so the cursor stays where it is in
    /// the text, whatever an editor makes of edits beside it.
    pub fn typed(&self, typed: Typed, offset: usize) -> Vec<Edit> {
        let before = offset.checked_sub(1).and_then(|before| self.entry_at(before));
        let Some(entry) = before.filter(|_| offset <= self.size()) else { return Vec::new() };
        let at = (offset - entry.offset) as u32;
        let edits = match typed {
            Typed::BarLine => entry.reading.bar_finished(at),
            Typed::LineBreak => entry.reading.line_finished(at),
        };
        let shift = |edit: Edit| {
            let [start, end] = [edit.span.start, edit.span.end].map(|at| at + entry.offset as u32);
            Edit { span: Span::new(start, end), ..edit }
        };
        edits.into_iter().map(shift).collect()
    }
}

impl Reading {
    /// The edits for the bar that the bar line just before `at` ends. Its own gap is only opened, not set in a
    /// column: bar lines that jump ahead while one types are no help.
    fn bar_finished(&self, at: u32) -> Vec<Edit> {
        let tokens = self.tree().tokens();
        let line = tokens.partition_point(|token| token.span.end < at);
        let Some(bar_line) = tokens.get(line).filter(|it| it.kind == TokenKind::BarLine && it.span.end == at)
        else {
            return Vec::new();
        };
        let ends_bar = |token: &Token| matches!(token.kind, TokenKind::BarLine | TokenKind::LineBreak);
        let opens = tokens[..line].iter().rfind(|token| ends_bar(token)).map_or(0, |token| token.span.end);
        let inside = |span: Span| opens <= span.start && span.end < bar_line.span.start;
        let mut edits = self.tidying(inside);
        let before = tokens[..line].last().map(|token| token.kind);
        let touches =
            !matches!(before, None | Some(TokenKind::Blank | TokenKind::LineBreak | TokenKind::BarLine));
        edits.extend(touches.then(|| Edit::insert(bar_line.span.start, " ")));
        edits
    }

    /// The edits for the line above the one `at` is on, and for the lines of music straight above that.
    fn line_finished(&self, at: u32) -> Vec<Edit> {
        let tokens = self.tree().tokens();
        let here = tokens.partition_point(|token| token.span.end <= at);
        let above = &tokens[..here];
        let Some(line_break) = above.iter().rposition(|token| token.kind == TokenKind::LineBreak) else {
            return Vec::new();
        };
        let above = &above[..line_break];
        let mut lines = above.split(|token| token.kind == TokenKind::LineBreak).rev();
        let Some(finished) = lines.next() else { return Vec::new() };
        let Some(last) = finished.iter().rfind(|token| token.kind != TokenKind::Blank) else {
            return Vec::new();
        };
        let music = lines.take_while(|line| is_music(finished) && is_music(line));
        let first = music.last().unwrap_or(finished).first().map_or(0, |token| token.span.start);
        let mut edits = self.tidying(|span| first <= span.start && span.end <= last.span.start);
        let blanks = Span::new(last.span.end, tokens[line_break].span.start);
        edits.extend((!blanks.is_empty()).then(|| Edit::replace(blanks, "")));
        edits
    }

    /// The edits that make those gaps tidy that are `wanted`.
    fn tidying(&self, wanted: impl Fn(Span) -> bool) -> Vec<Edit> {
        self.untidy_gaps().filter(|gap| wanted(gap.span)).map(|gap| edit(gap, 0)).collect()
    }
}

/// Whether `line` holds music.
fn is_music(line: &[Token]) -> bool {
    let first = line.iter().find(|token| token.kind != TokenKind::Blank);
    first.is_some_and(|first| {
        !matches!(first.kind, TokenKind::Comment | TokenKind::FieldName) && !first.kind.is_heading()
    })
}

#[cfg(test)]
mod tests {
    use lope_rules::apply;

    use super::*;
    use crate::testing::Fixture;

    /// What becomes of music in which something was typed just before the cursor.
    #[track_caller]
    fn check(typed: Typed, music: &str, expected: &str) {
        for line_break in ["\n", "\r\n", "\r"] {
            let marked = |music: &str| {
                format!("tune: Z\n\ntune: 🎵\nmeter: 6/8\npart A\n{music}\n\ntune: U\n")
                    .replace('\n', line_break)
            };
            let fixture = Fixture::new(&marked(music));
            let edits = fixture.page.typed(typed, fixture.at);
            assert!(edits.iter().all(|edit| (edit.span.end as usize) < fixture.at));
            let moved = edits.iter().map(|edit| edit.text.len() as isize - edit.span.len() as isize);
            let at = fixture.at.checked_add_signed(moved.sum()).unwrap();
            let mut after = apply(&fixture.text, &edits);
            after.insert_str(at, "$0");
            assert_eq!(after, marked(expected));
        }
    }

    #[test]
    fn a_bar_line_tidies_its_bar() {
        check(Typed::BarLine, "| 1:0  t 2:0 1:0 t 2:0|$0", "| 1:0 t 2:0  1:0 t 2:0 |$0");
        check(Typed::BarLine, "|1:0  t|2:0   t |$0 1:0   t |", "|1:0  t| 2:0 t |$0 1:0   t |");
        check(Typed::BarLine, "|1:0|$0", "| 1:0 |$0");
    }

    #[test]
    fn a_bar_line_stays_in_its_column() {
        check(Typed::BarLine, "| 1:0 - |\n| 1:0   |$0", "| 1:0 - |\n| 1:0   |$0");
        check(Typed::BarLine, "| 1:0 - - |\n| 1:0 |$0", "| 1:0 - - |\n| 1:0 |$0");
        check(Typed::BarLine, "|$0", "|$0");
        check(Typed::BarLine, "  ||$0", "  ||$0");
    }

    #[test]
    fn a_bar_line_that_is_none_changes_nothing() {
        check(Typed::BarLine, "| 1:0   t \"a|$0\"", "| 1:0   t \"a|$0\"");
        check(Typed::BarLine, "| 1:0   t # a|$0", "| 1:0   t # a|$0");
        check(Typed::BarLine, "| 1:0   t |  $0", "| 1:0   t |  $0");
    }

    #[test]
    fn a_line_break_tidies_the_lines_above() {
        check(
            Typed::LineBreak,
            "| 1:0  t 2:0  |\n| 1:0 t 2:0 1:0 t 2:0|  \n$0",
            "| 1:0 t 2:0            |\n| 1:0 t 2:0  1:0 t 2:0 |\n$0",
        );
        check(Typed::LineBreak, "|1:0   t\n  $0  2:0   t|", "| 1:0 t\n  $0  2:0   t|");
        check(Typed::LineBreak, "|1:0\npart  B   x2 #c\n$0", "|1:0\npart B x2  #c\n$0");
        check(Typed::LineBreak, "|1:0\n\n$0", "|1:0\n\n$0");
    }

    #[test]
    fn at_the_ends_of_a_file_nothing_goes_wrong() {
        let fixture = Fixture::new("tune:  T");
        for offset in [0, 1, 8, 9, 99] {
            assert_eq!(fixture.page.typed(Typed::LineBreak, offset), []);
            assert_eq!(fixture.page.typed(Typed::BarLine, offset), []);
        }
    }
}
