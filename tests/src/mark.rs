//! Fixtures: text with marks in it.
//!
//! `$0` is a cursor. A line that begins with `^` (blanks before it allowed) is no text: its carets point
//! at the line above, and what follows them is what is expected there. The notation has no `$`, and a line
//! of music cannot begin with the mark `^`, so neither clashes with a tune.

use lope_syntax::Span;

/// A fixture taken apart.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fixture {
    /// The text without marks.
    pub text: String,
    /// The cursors, in bytes of the text.
    pub cursors: Vec<u32>,
    /// What is expected where.
    pub notes: Vec<(Span, String)>,
}

impl Fixture {
    /// Takes `marked` apart; the line break after an opening quote is not part of it.
    pub fn new(marked: &str) -> Self {
        let mut fixture = Self::default();
        let mut above = 0;
        for line in marked.strip_prefix('\n').unwrap_or(marked).split_inclusive('\n') {
            if line.trim_start().starts_with('^') {
                fixture.note(above, line);
            } else {
                above = fixture.text.len();
                fixture.line(line);
            }
        }
        fixture
    }

    /// The only cursor.
    pub fn cursor(&self) -> u32 {
        match self.cursors[..] {
            [only] => only,
            _ => panic!("expected one cursor in\n{}", self.text),
        }
    }

    /// The notes again, as `line:column-column: words` from 1, to compare and to read.
    pub fn expected(&self) -> Vec<String> {
        self.notes.iter().map(|(span, words)| format!("{}: {words}", place(&self.text, *span))).collect()
    }

    fn line(&mut self, line: &str) {
        let mut pieces = line.split("$0");
        self.text.push_str(pieces.next().unwrap_or_default());
        for piece in pieces {
            self.cursors.push(size(&self.text));
            self.text.push_str(piece);
        }
    }

    fn note(&mut self, above: usize, line: &str) {
        let carets = line.len() - line.trim_start().len();
        let width = line[carets..].len() - line[carets..].trim_start_matches('^').len();
        let words = line[carets + width..].trim().to_owned();
        let byte = |column: usize| {
            let text = self.text[above..].trim_end_matches(['\r', '\n']);
            let within = text.char_indices().nth(column).map_or(text.len(), |(at, _)| at);
            size(&self.text[..above + within])
        };
        let span = Span::new(byte(carets), byte(carets + width));
        self.notes.push((span, words));
    }
}

/// `line:column-column` of `span`, from 1, in bytes of the line it begins on.
pub fn place(text: &str, span: Span) -> String {
    let start = span.start as usize;
    let line_start = text[..start].rfind('\n').map_or(0, |at| at + 1);
    let line = text[..start].matches('\n').count() + 1;
    format!("{line}:{}-{}", start - line_start + 1, span.end as usize - line_start + 1)
}

fn size(text: &str) -> u32 {
    u32::try_from(text.len()).expect("a fixture is small")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_taken_out_of_the_text() {
        let fixture = Fixture::new("\npart A\n| 1:2 t$0 h4 |\n      ^  ^^ off-strike\n");
        assert_eq!(fixture.text, "part A\n| 1:2 t h4 |\n");
        assert_eq!(fixture.cursor(), 14);
        let fixture = Fixture::new("part A\n| é3 t |\n     ^ here\n");
        assert_eq!(fixture.notes, [(Span::new(13, 14), "here".to_owned())]);
        assert_eq!(fixture.expected(), ["2:7-8: here"]);
    }
}
