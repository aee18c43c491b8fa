use super::{Parser, ends_group};
use crate::{FaultKind, NodeKind, TokenKind};

/// Braces inside braces that are read; a player reads two.
const DEEPEST: u32 = 8;

impl Parser<'_> {
    /// slot = note | pitch | brush | brace | "-" | "_", or a label; answers whether it takes time.
    pub(super) fn slot(&mut self, depth: u32) -> bool {
        match self.glued() {
            Some(kind) if kind.is_note() => self.note(),
            Some(TokenKind::Pitch) => self.leaf(NodeKind::Pitch),
            Some(TokenKind::Hold) => self.leaf(NodeKind::Hold),
            Some(TokenKind::Silence) => self.leaf(NodeKind::Silence),
            Some(TokenKind::BrushOpen) => self.brush(),
            Some(TokenKind::BraceOpen) if depth < DEEPEST => self.brace(depth),
            Some(TokenKind::BraceOpen) => self.too_deep(),
            Some(TokenKind::Words) => {
                self.leaf(NodeKind::Words);
                return false;
            }
            Some(TokenKind::Chord) => {
                self.leaf(NodeKind::Chord);
                return false;
            }
            _ => {
                self.error();
                return false;
            }
        }
        true
    }

    /// note = NOTE mark*, with no blank between
    fn note(&mut self) {
        self.leaf(NodeKind::Note);
        while self.glued().is_some_and(TokenKind::is_mark) {
            self.bump();
        }
        if let Some(note) = self.nodes.last_mut() {
            note.last = self.at as u32;
        }
    }

    /// brush = "[" note+ "]"
    fn brush(&mut self) {
        let open = self.open(NodeKind::Brush);
        let start = self.span();
        self.bump();
        let mut notes = 0;
        while let Some(kind) = self.peek() {
            match kind {
                _ if kind.is_note() => {
                    self.note();
                    notes += 1;
                }
                TokenKind::BrushClose => {
                    self.bump();
                    self.close(open);
                    if notes == 0 {
                        self.fault(FaultKind::Empty, start.cover(self.tokens[self.at - 1].span));
                    }
                    return;
                }
                _ if ends_group(kind) => break,
                TokenKind::Unknown => self.error(),
                _ => {
                    self.fault(FaultKind::NotInBrush, self.span());
                    self.leaf(NodeKind::Error);
                }
            }
        }
        self.close(open);
        self.fault(FaultKind::OpenBrush, start);
    }

    /// brace = "{" (slot | label)+ "}" OVER?
    fn brace(&mut self, depth: u32) {
        let open = self.open(NodeKind::Brace);
        let start = self.span();
        self.bump();
        let mut slots = 0;
        while let Some(kind) = self.peek() {
            match kind {
                TokenKind::BraceClose => {
                    self.bump();
                    if self.glued() == Some(TokenKind::Over) {
                        self.bump();
                    }
                    self.close(open);
                    if slots == 0 {
                        self.fault(FaultKind::Empty, start.cover(self.tokens[self.at - 1].span));
                    }
                    return;
                }
                TokenKind::BarAgain | TokenKind::PhraseCall => {
                    self.fault(FaultKind::NotAlone, self.span());
                    self.leaf(NodeKind::Error);
                }
                _ if ends_group(kind) => break,
                _ => slots += u32::from(self.slot(depth + 1)),
            }
        }
        self.close(open);
        self.fault(FaultKind::OpenBrace, start);
    }

    /// Braces below the deepest that is read: passed over up to the one that closes them.
    fn too_deep(&mut self) {
        let open = self.open(NodeKind::Error);
        self.fault(FaultKind::TooDeep, self.span());
        let mut depth = 0_u32;
        while let Some(kind) = self.peek().filter(|kind| !ends_group(*kind)) {
            self.bump();
            match kind {
                TokenKind::BraceOpen => depth += 1,
                TokenKind::BraceClose => depth -= 1,
                _ => {}
            }
            if depth == 0 {
                break;
            }
        }
        self.close(open);
    }

    /// A token that is no slot. Words in a row that are no notation are one slip.
    fn error(&mut self) {
        let open = self.open(NodeKind::Error);
        let mut span = self.span();
        let kind = self.fault_of_token();
        self.bump();
        if kind == FaultKind::Unknown {
            while self.next_after_blank() == Some(TokenKind::Unknown)
                && self.fault_of_token() == FaultKind::Unknown
            {
                span = span.cover(self.span());
                self.bump();
            }
        }
        self.close(open);
        self.fault(kind, span);
    }

    /// Passes over blanks, but not over a line break.
    fn next_after_blank(&mut self) -> Option<TokenKind> {
        while self.glued() == Some(TokenKind::Blank) {
            self.bump();
        }
        self.glued()
    }

    /// What is wrong with the token that is next.
    fn fault_of_token(&self) -> FaultKind {
        let Some(token) = self.tokens.get(self.at) else { return FaultKind::Unknown };
        match token.kind {
            TokenKind::BraceClose | TokenKind::BrushClose => FaultKind::StrayClose,
            TokenKind::Over => FaultKind::StrayMark,
            kind if kind.is_mark() => FaultKind::StrayMark,
            _ => match token.span.of(self.text).as_bytes() {
                [b'"', ..] => FaultKind::OpenWords,
                [b'<', ..] => FaultKind::OpenChord,
                [b'h' | b'p' | b's'] | [b'h' | b'p' | b's', .., b':'] => FaultKind::SlurWithoutFret,
                [b't' | b'0'..=b'9', rest @ ..] if rest.iter().all(|b| b.is_ascii_digit() || *b == b':') => {
                    FaultKind::NoFret
                }
                _ => FaultKind::Unknown,
            },
        }
    }
}
