use std::ops::Range;

use lope_rules::keeps;
use lope_syntax::{Span, Token, TokenKind};

use crate::Reading;
use crate::names::words;

/// A word of the text and what it is, for an editor to give it a colour. None goes over a line's end or
/// overlaps another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Paint {
    /// Where it is, in bytes from the start of its tune's text.
    pub span: Span,
    /// What it is.
    pub kind: PaintKind,
    /// Whether it is a name where it is given, not where it is used.
    pub gives: bool,
}

/// What a word of the text is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PaintKind {
    /// The name of a field.
    Field,
    /// What a field says.
    Value,
    /// `part`, `phrase`, `ending` or `melody`.
    Heading,
    /// The name of a part or melody.
    Part,
    /// The name of a phrase, with the `@` of a call.
    Phrase,
    /// How often or on which pass a part or ending is played.
    Count,
    /// A note that the falling hand strikes.
    Strike,
    /// A note of the thumb.
    Thumb,
    /// A hammer-on, pull-off or slide.
    Slur,
    /// A pitch of a melody.
    Pitch,
    /// A bar line.
    BarLine,
    /// A hold.
    Hold,
    /// A silence.
    Rest,
    /// The whole bar again.
    Again,
    /// What goes about a brush or a brace, with the slots the latter takes.
    Bracket,
    /// An accent, vibrato, choke or finger.
    Mark,
    /// A chord symbol.
    Chord,
    /// Words above the music.
    Words,
    /// A comment.
    Comment,
    /// The word `keep` in a comment that keeps findings.
    Keep,
    /// The name of a rule in such a comment.
    Rule,
}

impl PaintKind {
    /// Every kind.
    pub const ALL: [Self; 21] = [
        Self::Field,
        Self::Value,
        Self::Heading,
        Self::Part,
        Self::Phrase,
        Self::Count,
        Self::Strike,
        Self::Thumb,
        Self::Slur,
        Self::Pitch,
        Self::BarLine,
        Self::Hold,
        Self::Rest,
        Self::Again,
        Self::Bracket,
        Self::Mark,
        Self::Chord,
        Self::Words,
        Self::Comment,
        Self::Keep,
        Self::Rule,
    ];

    /// What a word of the token kind `token` is, where that says it all.
    const fn of(token: TokenKind) -> Option<Self> {
        Some(match token {
            TokenKind::FieldName => Self::Field,
            TokenKind::FieldText => Self::Value,
            TokenKind::PartWord | TokenKind::PhraseWord | TokenKind::EndingWord | TokenKind::MelodyWord => {
                Self::Heading
            }
            TokenKind::Name | TokenKind::PhraseCall => Self::Phrase,
            TokenKind::Times | TokenKind::Passes => Self::Count,
            TokenKind::Note => Self::Strike,
            TokenKind::Thumb => Self::Thumb,
            TokenKind::Hammer | TokenKind::Pull | TokenKind::Slide => Self::Slur,
            TokenKind::Pitch => Self::Pitch,
            TokenKind::BarLine => Self::BarLine,
            TokenKind::Hold => Self::Hold,
            TokenKind::Silence => Self::Rest,
            TokenKind::BarAgain => Self::Again,
            TokenKind::BraceOpen
            | TokenKind::BraceClose
            | TokenKind::Over
            | TokenKind::BrushOpen
            | TokenKind::BrushClose => Self::Bracket,
            TokenKind::Accent | TokenKind::Vibrato | TokenKind::Choke | TokenKind::Finger => Self::Mark,
            TokenKind::Chord => Self::Chord,
            TokenKind::Words => Self::Words,
            TokenKind::Comment => Self::Comment,
            TokenKind::Blank | TokenKind::LineBreak | TokenKind::Colon | TokenKind::Unknown => return None,
        })
    }
}

impl Reading {
    /// The words of the tune's tokens that touch `bytes`, in the order of the text. What is no notation is
    /// none: findings mark it.
    pub fn paints(&self, bytes: Range<u32>) -> Vec<Paint> {
        let tokens = self.tree().tokens();
        let first = tokens.partition_point(|token| token.span.end < bytes.start);
        let after = tokens.partition_point(|token| token.span.start <= bytes.end).max(first);
        let mut painter = Painter {
            text: self.text(),
            paints: Vec::with_capacity((after - first) / 2),
            before: tokens[..first].iter().rfind(|token| is_context(token.kind)).copied(),
        };
        let keeps = keeps(self.text(), self.tree());
        for token in &tokens[first..after] {
            match keeps.binary_search_by_key(&token.span, |keep| keep.comment) {
                Ok(at) => painter.keep(token.span, keeps[at].rules.iter().map(|rule| rule.written)),
                Err(_) => painter.token(*token),
            }
        }
        painter.paints
    }
}

/// Whether the token says what the names and words after it are.
const fn is_context(kind: TokenKind) -> bool {
    matches!(kind, TokenKind::FieldName | TokenKind::PartWord | TokenKind::PhraseWord | TokenKind::MelodyWord)
}

struct Painter<'t> {
    text: &'t str,
    paints: Vec<Paint>,
    /// The last token that says what the words after it are.
    before: Option<Token>,
}

impl Painter<'_> {
    fn push(&mut self, span: Span, kind: PaintKind) {
        if !span.is_empty() {
            self.paints.push(Paint { span, kind, gives: false });
        }
    }

    fn token(&mut self, token: Token) {
        if is_context(token.kind) {
            self.before = Some(token);
        }
        let after = |kind: TokenKind| self.before.filter(|before| before.kind == kind);
        match token.kind {
            TokenKind::Name => {
                let is_part = after(TokenKind::PartWord).or(after(TokenKind::MelodyWord)).is_some();
                let kind = if is_part { PaintKind::Part } else { PaintKind::Phrase };
                self.paints.push(Paint { span: token.span, kind, gives: true });
            }
            TokenKind::FieldText
                if after(TokenKind::FieldName).is_some_and(|it| it.span.of(self.text) == "order") =>
            {
                for word in words(token.span.of(self.text), token.span.start) {
                    self.push(word, PaintKind::Part);
                }
            }
            kind => {
                if let Some(kind) = PaintKind::of(kind) {
                    self.push(token.span, kind);
                }
            }
        }
    }

    /// A comment that keeps `rules`, in pieces.
    fn keep(&mut self, comment: Span, rules: impl Iterator<Item = Span>) {
        const KEEP: &str = "keep";
        let at = comment.start + comment.of(self.text).find(KEEP).unwrap_or_default() as u32;
        let word = Span::new(at, at + KEEP.len() as u32);
        let words = std::iter::once((word, PaintKind::Keep)).chain(rules.map(|rule| (rule, PaintKind::Rule)));
        let mut done = comment.start;
        for (span, kind) in words {
            self.comment(Span::new(done, span.start));
            self.push(span, kind);
            done = span.end;
        }
        self.comment(Span::new(done, comment.end));
    }

    /// A piece of a comment, where it is more than blanks.
    fn comment(&mut self, span: Span) {
        if !span.of(self.text).trim().is_empty() {
            self.push(span, PaintKind::Comment);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::Fixture;

    fn shown(text: &str, bytes: Range<u32>) -> Vec<String> {
        let fixture = Fixture::new(text);
        let mut end = 0;
        let paints = fixture.page.entries().next().unwrap().reading.paints(bytes);
        let show = |paint: Paint| {
            assert!(end <= paint.span.start, "{paint:?} overlaps the one before");
            end = paint.span.end;
            let gives = if paint.gives { "=" } else { "" };
            format!("{:?}{gives} {}", paint.kind, paint.span.of(text))
        };
        paints.into_iter().map(show).collect()
    }

    #[track_caller]
    fn check(text: &str, expected: &str) {
        assert_eq!(shown(text, 0..text.len() as u32).join(", "), expected);
    }

    #[test]
    fn a_header_is_names_and_what_they_say() {
        check(
            "tune: T é  # c\norder: A  B\nwhat : x\n",
            "Field tune, Value T é, Comment # c, Field order, Part A, Part B, Field what, Value x",
        );
    }

    #[test]
    fn headings_give_names() {
        check(
            "part A x2\nending 1,2\nphrase lick\nphrase\n",
            "Heading part, Part= A, Count x2, Heading ending, Count 1,2, Heading phrase, Phrase= lick, \
             Heading phrase",
        );
    }

    #[test]
    fn notes_are_told_apart_by_the_hand_that_sounds_them() {
        check(
            "part A\n| 2:1! t h3/i t2:0 - [1:0 p2:0] | {_ s5}/2 % @lick 9 |",
            "Heading part, Part= A, BarLine |, Strike 2:1, Mark !, Thumb t, Slur h3, Mark /i, Thumb t2:0, \
             Hold -, Bracket [, Strike 1:0, Slur p2:0, Bracket ], BarLine |, Bracket {, Rest _, Slur s5, \
             Bracket }, Bracket /2, Again %, Phrase @lick, BarLine |",
        );
        check("part A\n\"go on\" <G7> 1:0", "Heading part, Part= A, Words \"go on\", Chord <G7>, Strike 1:0");
    }

    #[test]
    fn a_keep_shows_its_rules() {
        check(
            "tune: T # keep off-strike, short-bar: so it is\n# keep time\n",
            "Field tune, Value T, Comment # , Keep keep, Rule off-strike, Comment , , Rule short-bar, \
             Comment : so it is, Comment # keep time",
        );
    }

    #[test]
    fn a_stretch_knows_what_stands_before_it() {
        let text = "order: A B # c\npart A\n";
        let at = |what: &str| text.find(what).unwrap() as u32;
        assert_eq!(shown(text, at("B")..at("B")), ["Part A", "Part B"]);
        assert_eq!(shown(text, at("A\n")..at("A\n")), ["Part= A"]);
        assert_eq!(shown(text, 0..0), ["Field order"]);
        assert_eq!(shown(text, 90..99), [""; 0]);
    }
}
