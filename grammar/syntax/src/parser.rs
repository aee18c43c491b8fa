mod slots;

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

    /// tune = field* (part | phrase | melody)*
    fn tune(&mut self) {
        let open = self.open(NodeKind::Tune);
        while let Some(kind) = self.peek() {
            match kind {
                TokenKind::FieldName => self.field(),
                TokenKind::PartWord => self.part(NodeKind::Part),
                TokenKind::MelodyWord => self.part(NodeKind::Melody),
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

    /// part = heading bars ending*; melody = heading bars ending*
    fn part(&mut self, kind: NodeKind) {
        let open = self.open(kind);
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

    /// heading = ("part" | "melody") NAME TIMES? | "phrase" NAME | "ending" PASSES
    fn heading(&mut self) {
        let open = self.open(NodeKind::Heading);
        let start = self.span();
        let wanted: &[TokenKind] = match self.glued() {
            Some(TokenKind::PartWord | TokenKind::MelodyWord) => &[TokenKind::Name, TokenKind::Times],
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
                kind if kind.is_heading() => return,
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
                kind if kind.is_heading() || kind == TokenKind::BarLine => break,
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
}

/// What cuts short a brush or brace that is still open.
const fn ends_group(kind: TokenKind) -> bool {
    kind.is_heading() || matches!(kind, TokenKind::BarLine | TokenKind::FieldName)
}

#[cfg(test)]
mod tests;
