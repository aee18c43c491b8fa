use lope_syntax::{Token, TokenKind};

use crate::beat::Beat;

/// What should stand before a token on its line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Before {
    /// So many blanks.
    Blanks(u32),
    /// What the writer put there. Next to text that is no notation a blank may be part of the slip.
    AsWritten,
    /// Blanks up to the column of this bar line: the `n`th of its line, from 0.
    Column(usize),
}

/// What should stand before each of `tokens`, a line of music, but the first.
pub fn befores(tokens: &[Token], beat: &mut Beat) -> Vec<Before> {
    let mut line = MusicLine { depth: 0, bar_lines: 0, glued: false, opens: false };
    let mut befores = Vec::with_capacity(tokens.len());
    let mut last = None;
    for token in tokens {
        let before = line.before(last, token, beat);
        line.pass(last, token);
        befores.push(before);
        last = Some(token);
    }
    befores
}

/// Where on a line of music the tokens have come to.
struct MusicLine {
    /// How many braces and brushes are open.
    depth: u32,
    /// How many bar lines there were, two together counted once.
    bar_lines: usize,
    /// Whether the last token is part of something a hold can be glued to: a note, a brush or a brace.
    glued: bool,
    /// Whether the last token is a label, which has taken the wider gap for the slot below it.
    opens: bool,
}

impl MusicLine {
    fn before(&self, last: Option<&Token>, token: &Token, beat: &mut Beat) -> Before {
        let touches = last.is_some_and(|last| last.span.end == token.span.start);
        let Some(last) = last else {
            return if token.kind == TokenKind::BarLine { Before::Column(0) } else { Before::Blanks(0) };
        };
        match (last.kind, token.kind) {
            (_, TokenKind::Comment) if last.kind != TokenKind::Unknown => Before::Blanks(2),
            (TokenKind::Unknown, _) | (_, TokenKind::Unknown) => Before::AsWritten,
            (TokenKind::BarLine, TokenKind::BarLine) => Before::Blanks(u32::from(!touches)),
            (_, TokenKind::BarLine) => Before::Column(self.bar_lines),
            (TokenKind::BarLine, _) => Before::Blanks(1),
            (_, kind) if touches && (kind.is_mark() || kind == TokenKind::Over) => Before::Blanks(0),
            (TokenKind::BraceOpen | TokenKind::BrushOpen, _) => Before::Blanks(0),
            (_, TokenKind::BraceClose | TokenKind::BrushClose) => Before::Blanks(0),
            _ => self.between_slots(token, beat),
        }
    }

    fn between_slots(&self, token: &Token, beat: &mut Beat) -> Before {
        let begins_group =
            !self.opens && if self.depth == 0 { beat.begins_group(token) } else { beat.begins_three(token) };
        Before::Blanks(match token.kind {
            _ if begins_group => 2,
            TokenKind::Hold if self.glued => 0,
            _ => 1,
        })
    }

    fn pass(&mut self, last: Option<&Token>, token: &Token) {
        let touches = last.is_some_and(|last| last.span.end == token.span.start);
        match token.kind {
            TokenKind::BraceOpen | TokenKind::BrushOpen => self.depth += 1,
            TokenKind::BraceClose | TokenKind::BrushClose => self.depth = self.depth.saturating_sub(1),
            TokenKind::BarLine => {
                self.depth = 0;
                self.bar_lines += usize::from(last.is_none_or(|last| last.kind != TokenKind::BarLine));
            }
            _ => {}
        }
        self.glued = match token.kind {
            TokenKind::BraceClose | TokenKind::BrushClose => true,
            kind if kind.is_mark() || kind == TokenKind::Over => self.glued && touches,
            kind => kind.is_note() || kind == TokenKind::Pitch,
        };
        self.opens = matches!(token.kind, TokenKind::Words | TokenKind::Chord);
    }
}
