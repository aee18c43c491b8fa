//! What there is to say of the text under a cursor: one file for each kind of text.

mod bar;
mod brace;
mod comment;
mod drawing;
mod field;
mod heading;
mod keep;
mod label;
mod melody;
mod passing;
mod slot;
#[cfg(test)]
mod testing;

use lope_rules::Music;
use lope_syntax::{NodeId, NodeKind, Span, Token, TokenKind};

use crate::{Entry, Page, Reading};

pub use drawing::strokes;
pub use field::strings;
pub use heading::tab_of;
pub use keep::rule_page;

/// What there is to say of the text under a cursor.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hover {
    /// The text it is about, in bytes from the start of its tune's text.
    pub span: Span,
    /// Where it is, as a player says it, or what it is called.
    pub title: String,
    /// What there is to say, a line each.
    pub lines: Vec<String>,
    /// A drawing in letters of one width, a line each; empty for most texts that are no music.
    pub drawing: Vec<String>,
}

impl Page {
    /// What there is to say of the text at `offset`, in bytes from the start of the file.
    pub fn hover(&self, offset: usize) -> Option<(Entry<'_>, Hover)> {
        let entry = self.entry_at(offset)?;
        let hover = entry.reading.hover(u32::try_from(offset - entry.offset).ok()?)?;
        Some((entry, hover))
    }
}

impl Reading {
    /// What there is to say of the text at `at`.
    fn hover(&self, at: u32) -> Option<Hover> {
        let number = self.token_at(at)?;
        let look =
            Look { reading: self, music: self.music(), at, number, token: self.tree().tokens()[number] };
        let melody = self.written().melody_at(look.token.span.start);
        if let Some(melody) =
            melody.filter(|_| !matches!(look.token.kind, TokenKind::Comment | TokenKind::Unknown))
        {
            return melody::hover(look, melody);
        }
        match look.token.kind {
            TokenKind::Comment => keep::hover(look).or_else(|| Some(comment::hover(look))),
            TokenKind::FieldName | TokenKind::Colon => field::name(look),
            TokenKind::FieldText => field::value(look),
            TokenKind::PartWord
            | TokenKind::PhraseWord
            | TokenKind::MelodyWord
            | TokenKind::EndingWord
            | TokenKind::Name
            | TokenKind::Times
            | TokenKind::Passes => heading::hover(look),
            TokenKind::BarLine => bar::line(look),
            TokenKind::BarAgain => bar::again(look),
            TokenKind::PhraseCall => bar::call(look),
            TokenKind::BraceOpen | TokenKind::BraceClose | TokenKind::Over => brace::hover(look),
            TokenKind::Words => label::words(look),
            TokenKind::Chord => label::chord(look),
            TokenKind::Blank | TokenKind::LineBreak => bar::gap(look),
            TokenKind::Unknown => look.unreadable(),
            kind if kind.is_mark() => label::mark(look),
            _ => slot::hover(look),
        }
    }

    /// The number of the token at `at`: of two that touch there the one that starts, unless it is a blank.
    fn token_at(&self, at: u32) -> Option<usize> {
        let tokens = self.tree().tokens();
        let number = tokens.partition_point(|token| token.span.start <= at).checked_sub(1)?;
        let blank = |number: usize| matches!(tokens[number].kind, TokenKind::Blank | TokenKind::LineBreak);
        match number.checked_sub(1) {
            Some(before) if tokens[number].span.start == at && blank(number) && !blank(before) => {
                Some(before)
            }
            _ => Some(number),
        }
    }
}

/// The token under the cursor, with all there is to know of its tune.
#[derive(Clone, Copy)]
struct Look<'a> {
    reading: &'a Reading,
    music: Music<'a>,
    /// Where the cursor is.
    at: u32,
    /// The token's place among the tree's.
    number: usize,
    token: Token,
}

impl<'a> Look<'a> {
    /// The token's text.
    fn text(&self) -> &'a str {
        self.token.span.of(self.music.text)
    }

    /// A hover about the token.
    fn said(&self, title: impl Into<String>, lines: Vec<String>) -> Hover {
        Hover { span: self.token.span, title: title.into(), lines, drawing: Vec::new() }
    }

    /// The innermost node of the given kind that has the token.
    fn inside(&self, kind: NodeKind) -> Option<NodeId> {
        let number = self.number as u32;
        let nodes = self.music.tree.nodes();
        let holds = |id: &NodeId| {
            let node = self.music.tree.node(*id);
            node.kind == kind && node.first <= number && number < node.last
        };
        (0..nodes.len() as u32).rev().map(NodeId).find(holds)
    }

    /// What was found wrong with text that is no notation.
    fn unreadable(&self) -> Option<Hover> {
        let mut findings = self.reading.findings().iter();
        let finding = findings.find(|finding| finding.span.overlaps(self.token.span))?;
        let hover = self.said(finding.place.to_string(), vec![finding.message.clone()]);
        Some(Hover { span: finding.span, ..hover })
    }
}

/// `1 bar`, `8 bars`.
fn count(number: usize, what: &str) -> String {
    if number == 1 { format!("1 {what}") } else { format!("{number} {what}s") }
}

/// `never played`, `played once`, `played twice`, `played 3 times`.
fn often(verb: &str, number: usize) -> String {
    match number {
        0 => format!("never {verb}"),
        1 => format!("{verb} once"),
        2 => format!("{verb} twice"),
        _ => format!("{verb} {number} times"),
    }
}
