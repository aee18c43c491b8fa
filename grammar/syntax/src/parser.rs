use crate::lexer::lex;
use crate::{Fault, FaultKind, Node, NodeKind, Span, Token, TokenKind, Tree};

/// Reads the text of one tune. Every loop below takes a token before it goes round, so reading ends.
pub fn parse(text: &str) -> Tree {
    let tokens = lex(text);
    let nodes = Vec::with_capacity(tokens.len() / 2 + 8);
    let mut parser = Parser { text, tokens, at: 0, nodes, faults: Vec::new() };
    parser.tune();
    // A brace that is not closed is known for one only after all that is wrong inside it.
    parser.faults.sort_by_key(|fault| fault.span);
    Tree { tokens: parser.tokens, nodes: parser.nodes, faults: parser.faults }
}

/// Braces inside braces that are read; a player reads two.
const DEEPEST: u32 = 8;

struct Parser<'t> {
    text: &'t str,
    tokens: Vec<Token>,
    at: usize,
    nodes: Vec<Node>,
    faults: Vec<Fault>,
}

/// A node that is not closed yet.
struct Open(usize);

impl Parser<'_> {
    /// The next token that means something; blanks, line breaks and comments before it are passed over.
    fn peek(&mut self) -> Option<TokenKind> {
        while let Some(token) = self.tokens.get(self.at) {
            if !token.kind.is_trivia() {
                return Some(token.kind);
            }
            self.at += 1;
        }
        None
    }

    /// The token straight after the last one taken, blanks included.
    fn glued(&self) -> Option<TokenKind> {
        self.tokens.get(self.at).map(|token| token.kind)
    }

    fn span(&self) -> Span {
        self.tokens.get(self.at).map_or(Span::empty(self.text.len() as u32), |token| token.span)
    }

    fn bump(&mut self) {
        self.at += 1;
    }

    fn open(&mut self, kind: NodeKind) -> Open {
        let first = self.at as u32;
        self.nodes.push(Node { kind, first, last: first, after: 0 });
        Open(self.nodes.len() - 1)
    }

    /// Closes `open` after the last token taken that is not a blank, line break or comment.
    fn close(&mut self, open: Open) {
        let after = self.nodes.len() as u32;
        let node = &mut self.nodes[open.0];
        let mut last = self.at;
        while last > node.first as usize && self.tokens[last - 1].kind.is_trivia() {
            last -= 1;
        }
        node.last = last as u32;
        node.after = after;
    }

    /// A node of the one token that is next.
    fn leaf(&mut self, kind: NodeKind) {
        let (first, after) = (self.at as u32, self.nodes.len() as u32 + 1);
        self.nodes.push(Node { kind, first, last: first + 1, after });
        self.bump();
    }

    fn fault(&mut self, kind: FaultKind, span: Span) {
        self.faults.push(Fault { kind, span });
    }

    /// tune = field* (part | phrase)*
    fn tune(&mut self) {
        let open = self.open(NodeKind::Tune);
        while let Some(kind) = self.peek() {
            match kind {
                TokenKind::FieldName => self.field(),
                TokenKind::PartWord => self.part(),
                TokenKind::PhraseWord => self.section(NodeKind::Phrase),
                TokenKind::EndingWord => {
                    self.fault(FaultKind::EndingOutsidePart, self.span());
                    self.section(NodeKind::Ending);
                }
                _ => self.stray(),
            }
        }
        self.at = self.tokens.len();
        self.close(open);
        self.nodes[0].last = self.tokens.len() as u32;
    }

    /// field = NAME ":" TEXT?
    fn field(&mut self) {
        let open = self.open(NodeKind::Field);
        self.bump();
        while let Some(TokenKind::Blank | TokenKind::Colon | TokenKind::FieldText) = self.glued() {
            self.bump();
        }
        self.close(open);
    }

    /// part = heading bars ending*
    fn part(&mut self) {
        let open = self.open(NodeKind::Part);
        self.heading();
        self.bars();
        while self.peek() == Some(TokenKind::EndingWord) {
            self.section(NodeKind::Ending);
        }
        self.close(open);
    }

    /// phrase = heading bars; ending = heading bars
    fn section(&mut self, kind: NodeKind) {
        let open = self.open(kind);
        self.heading();
        self.bars();
        self.close(open);
    }

    /// Music or words before the first part: kept in a node of its own and reported once.
    fn stray(&mut self) {
        let open = self.open(NodeKind::Stray);
        let unknown = self.glued() == Some(TokenKind::Unknown);
        self.fault(if unknown { FaultKind::Unknown } else { FaultKind::MusicOutsidePart }, self.span());
        while self.peek().is_some_and(|kind| kind == TokenKind::BarLine || !ends_group(kind)) {
            self.bump();
        }
        self.close(open);
    }

    /// heading = "part" NAME TIMES? | "phrase" NAME | "ending" PASSES
    fn heading(&mut self) {
        let open = self.open(NodeKind::Heading);
        let start = self.span();
        let wanted: &[TokenKind] = match self.glued() {
            Some(TokenKind::PartWord) => &[TokenKind::Name, TokenKind::Times],
            Some(TokenKind::PhraseWord) => &[TokenKind::Name],
            _ => &[TokenKind::Passes],
        };
        self.bump();
        let (mut had, mut whole, mut bad) = (0, start, false);
        while let Some(kind) =
            self.glued().filter(|kind| !matches!(kind, TokenKind::LineBreak | TokenKind::Comment))
        {
            if kind != TokenKind::Blank {
                whole = whole.cover(self.span());
                bad |= wanted.get(had) != Some(&kind);
                had += 1;
            }
            self.bump();
        }
        self.close(open);
        if bad || had == 0 {
            self.fault(FaultKind::BadHeading, whole);
        }
    }

    /// bars = (bar? "|")* bar?, with fields between
    fn bars(&mut self) {
        while let Some(kind) = self.peek() {
            match kind {
                TokenKind::PartWord | TokenKind::PhraseWord | TokenKind::EndingWord => return,
                TokenKind::FieldName => self.field(),
                TokenKind::BarLine => self.leaf(NodeKind::BarLine),
                _ => self.bar(),
            }
        }
    }

    /// bar = "%" | "@name"+ | (slot | label)+
    fn bar(&mut self) {
        let open = self.open(NodeKind::Bar);
        // How many slots, `%` and `@name` it has, and where the last of the latter two is.
        let (mut slots, mut again, mut calls, mut lone) = (0_u32, 0_u32, 0_u32, None);
        while let Some(kind) = self.peek() {
            match kind {
                TokenKind::PartWord | TokenKind::PhraseWord | TokenKind::EndingWord | TokenKind::BarLine => {
                    break;
                }
                TokenKind::FieldName => self.field(),
                TokenKind::BarAgain => {
                    again += 1;
                    lone = Some(self.span());
                    self.leaf(NodeKind::BarAgain);
                }
                TokenKind::PhraseCall => {
                    calls += 1;
                    lone = Some(self.span());
                    self.leaf(NodeKind::PhraseCall);
                }
                _ => slots += u32::from(self.slot(0)),
            }
        }
        self.close(open);
        if let Some(span) = lone
            && (again > 1 || again == 1 && slots + calls > 0 || calls > 0 && slots > 0)
        {
            self.fault(FaultKind::NotAlone, span);
        }
    }

    /// slot = note | brush | brace | "-" | "_", or a label; answers whether it takes time.
    fn slot(&mut self, depth: u32) -> bool {
        match self.glued() {
            Some(kind) if kind.is_note() => self.note(),
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

/// What cuts short a brush or brace that is still open.
const fn ends_group(kind: TokenKind) -> bool {
    matches!(
        kind,
        TokenKind::BarLine
            | TokenKind::FieldName
            | TokenKind::PartWord
            | TokenKind::PhraseWord
            | TokenKind::EndingWord
    )
}

#[cfg(test)]
mod tests;
