//! The outline as the program reads it.

use lope_syntax::{NodeId, NodeKind, Token, TokenKind, Tree, parse};

use super::{Row, is_closed};

/// All that stands in the tune whose text starts at byte `offset` of its file.
pub fn rows(text: &str, offset: usize) -> Vec<Row> {
    let tree = parse(text);
    let mut outline = Outline { tree: &tree, offset, rows: Vec::new() };
    outline.inside(tree.root(), 0);
    outline.rows
}

struct Outline<'t> {
    tree: &'t Tree,
    offset: usize,
    rows: Vec<Row>,
}

impl Outline<'_> {
    fn push(&mut self, depth: usize, name: &'static str, span: lope_syntax::Span) {
        let bytes = self.offset + span.start as usize..self.offset + span.end as usize;
        self.rows.push(Row { depth, name, bytes });
    }

    /// The nodes of `id` and the tokens between them, in the order of the text.
    fn inside(&mut self, id: NodeId, depth: usize) {
        let node = self.tree.node(id);
        let mut at = node.first;
        for child in self.tree.children(id) {
            let Self { tree, .. } = *self;
            self.tokens(&tree.tokens()[at as usize..tree.node(child).first as usize], depth);
            self.node(child, depth);
            at = tree.node(child).last;
        }
        let tree = self.tree;
        self.tokens(&tree.tokens()[at as usize..node.last as usize], depth);
    }

    fn node(&mut self, id: NodeId, depth: usize) {
        let (tree, name) = (self.tree, node_name(self.tree.node(id).kind));
        if name == "error" {
            let tokens = tree.tokens_of(id).iter().filter(|token| !token.kind.is_trivia());
            return tokens.for_each(|token| self.push(depth, name, token.span));
        }
        self.push(depth, name, tree.span(id));
        if !is_closed(name) && !is_one_token(tree.node(id).kind) {
            self.inside(id, depth + 1);
        }
    }

    fn tokens(&mut self, tokens: &[Token], depth: usize) {
        for token in tokens.iter().filter(|token| !token.kind.is_trivia()) {
            self.push(depth, token_name(token.kind), token.span);
        }
    }
}

/// Whether nothing else is in it.
const fn is_one_token(kind: NodeKind) -> bool {
    use NodeKind::{BarAgain, BarLine, Chord, Hold, Pitch, Silence, Words};
    matches!(kind, BarAgain | BarLine | Chord | Hold | Pitch | Silence | Words)
}

const fn node_name(kind: NodeKind) -> &'static str {
    match kind {
        NodeKind::Tune => "tune",
        NodeKind::Field => "field",
        NodeKind::Part => "part",
        NodeKind::Phrase => "phrase",
        NodeKind::Ending => "ending",
        NodeKind::Melody => "melody",
        NodeKind::Stray => "stray",
        NodeKind::Heading => "heading",
        NodeKind::BarLine => "bar_line",
        NodeKind::Bar => "bar",
        NodeKind::Note => "note",
        NodeKind::Brush => "brush",
        NodeKind::Brace => "brace",
        NodeKind::Pitch => "pitch",
        NodeKind::Hold => "hold",
        NodeKind::Silence => "silence",
        NodeKind::BarAgain => "bar_again",
        NodeKind::PhraseCall => "phrase_call",
        NodeKind::Words => "words",
        NodeKind::Chord => "chord",
        NodeKind::Error => "error",
    }
}

/// The name of a token that stands in a node of more than one.
const fn token_name(kind: TokenKind) -> &'static str {
    match kind {
        TokenKind::FieldName => "field_name",
        TokenKind::Colon => ":",
        TokenKind::FieldText => "field_text",
        TokenKind::PartWord => "part_word",
        TokenKind::PhraseWord => "phrase_word",
        TokenKind::EndingWord => "ending_word",
        TokenKind::MelodyWord => "melody_word",
        TokenKind::Name => "name",
        TokenKind::Times => "times",
        TokenKind::Passes => "passes",
        TokenKind::Note => "strike",
        TokenKind::Thumb => "thumb",
        TokenKind::Hammer => "hammer",
        TokenKind::Pull => "pull",
        TokenKind::Slide => "slide",
        TokenKind::Accent => "accent",
        TokenKind::Vibrato => "vibrato",
        TokenKind::Choke => "choke",
        TokenKind::Finger => "finger",
        TokenKind::BrushOpen => "[",
        TokenKind::BrushClose => "]",
        TokenKind::BraceOpen => "{",
        TokenKind::BraceClose => "}",
        TokenKind::Over => "over",
        TokenKind::Unknown => "error",
        // These are nodes of their own, or stand between nodes.
        TokenKind::Blank
        | TokenKind::LineBreak
        | TokenKind::Comment
        | TokenKind::BarLine
        | TokenKind::Pitch
        | TokenKind::Hold
        | TokenKind::Silence
        | TokenKind::BarAgain
        | TokenKind::PhraseCall
        | TokenKind::Words
        | TokenKind::Chord => "a token that should be a node",
    }
}
