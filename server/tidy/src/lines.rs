use lope_syntax::{Token, TokenKind, Tree};

/// A line with something on it.
#[derive(Clone, Debug)]
pub struct Line {
    /// What stands on it.
    pub kind: LineKind,
    /// Its tokens, without blanks and the line break.
    pub tokens: Vec<Token>,
    /// How many blank lines the writer left above it.
    pub blank_lines: u32,
    /// Whether it belongs to an ending, which is indented.
    pub in_ending: bool,
    /// Whether it belongs to a heading of a part or phrase: the heading itself, or comments straight above.
    pub starts_section: bool,
}

/// What a line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineKind {
    /// A comment alone.
    Comment,
    /// A field.
    Field,
    /// The heading of a part, phrase or melody.
    Section,
    /// The heading of an ending.
    Ending,
    /// Music, or what was meant as such.
    Music,
}

/// The lines of a text that have something on them.
pub fn lines(tree: &Tree) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut blank_lines = 0;
    for tokens in tree.tokens().split_inclusive(|token| token.kind == TokenKind::LineBreak) {
        let solid =
            tokens.iter().filter(|token| !matches!(token.kind, TokenKind::Blank | TokenKind::LineBreak));
        let solid: Vec<Token> = solid.copied().collect();
        let Some(first) = solid.first() else {
            blank_lines += 1;
            continue;
        };
        let kind = match first.kind {
            TokenKind::Comment => LineKind::Comment,
            TokenKind::FieldName => LineKind::Field,
            TokenKind::PartWord | TokenKind::PhraseWord | TokenKind::MelodyWord => LineKind::Section,
            TokenKind::EndingWord => LineKind::Ending,
            _ => LineKind::Music,
        };
        lines.push(Line { kind, tokens: solid, blank_lines, in_ending: false, starts_section: false });
        blank_lines = 0;
    }
    settle(&mut lines);
    lines
}

/// Finds out which lines belong to an ending, and which to the heading of a part or phrase. A comment
/// belongs to what stands below it.
fn settle(lines: &mut [Line]) {
    let mut in_ending = false;
    for line in lines.iter_mut() {
        in_ending = match line.kind {
            LineKind::Section => false,
            LineKind::Ending => true,
            _ => in_ending,
        };
        line.in_ending = in_ending;
        line.starts_section = line.kind == LineKind::Section;
    }
    for at in (1..lines.len()).rev() {
        let (above, below) = lines.split_at_mut(at);
        let (above, below) = (&mut above[at - 1], &below[0]);
        if above.kind == LineKind::Comment {
            above.in_ending = below.in_ending;
            above.starts_section = below.starts_section && below.blank_lines == 0;
        }
    }
}

/// `lines` in blocks whose bars are lined up with each other: music lines in a row, comments between them
/// included. Any other line is a block of its own.
pub fn blocks(lines: &[Line]) -> impl Iterator<Item = &[Line]> {
    lines.chunk_by(|line, next| {
        let flows = |line: &Line| matches!(line.kind, LineKind::Music | LineKind::Comment);
        flows(line)
            && flows(next)
            && next.blank_lines == 0
            && !next.starts_section
            && line.in_ending == next.in_ending
    })
}
