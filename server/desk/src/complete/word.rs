//! What kind of text a cursor is in, and the word under it.

use lope_rules::Music;
use lope_syntax::{Span, Token, TokenKind};

/// What kind of text a cursor is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Where<'t> {
    /// The first word of a line.
    LineStart {
        /// Whether a part or phrase has begun above, so that it could be music.
        in_section: bool,
        /// Whether it is a field's name with its colon, which is part of the word then.
        has_colon: bool,
    },
    /// In music, but not at the start of its line.
    Music,
    /// What a field says.
    Value {
        /// The field's name.
        field: &'t str,
        /// Whether it would touch the colon.
        glued: bool,
    },
    /// After the word of a heading.
    Heading(TokenKind),
    /// In a comment that keeps a finding, or could.
    Keep {
        /// The comment.
        comment: Span,
        /// Whether the word `keep` is still to come.
        asks: bool,
    },
    /// Where words are the player's own.
    Nothing,
}

/// The kind of text at `at`, and the word there that would be replaced.
pub fn at<'t>(music: &Music<'t>, at: u32) -> (Where<'t>, Span) {
    let tokens = music.tree.tokens();
    let last = tokens.partition_point(|token| token.span.start < at);
    let line = line_of(tokens, last);
    if let Some(comment) = tokens[..last].last().filter(|token| token.kind == TokenKind::Comment) {
        return comment_at(music.text, comment.span, at);
    }
    let mut words = line.iter().filter(|token| token.kind != TokenKind::Blank);
    let first = words.next().filter(|first| first.span.start < at);
    match first {
        Some(name) if name.kind == TokenKind::FieldName => field_at(music, line, name.span, at),
        Some(word) if word.kind.is_heading() && word.span.end < at => (
            Where::Heading(word.kind),
            word_at(tokens, last, at, |kind| {
                matches!(kind, TokenKind::Name | TokenKind::Times | TokenKind::Passes | TokenKind::Unknown)
            }),
        ),
        _ => {
            let in_section = is_in_section(music, at);
            let span = music_word(music, last, at);
            let starts = first.is_none_or(|first| at <= first.span.end);
            match (starts, in_section) {
                (true, _) => (Where::LineStart { in_section, has_colon: false }, span),
                (false, true) => (Where::Music, span),
                (false, false) => (Where::Nothing, span),
            }
        }
    }
}

/// Whether the byte at `at` stands below a heading.
fn is_in_section(music: &Music, at: u32) -> bool {
    let tokens = music.tree.tokens().iter().take_while(|token| token.span.end < at);
    tokens.into_iter().any(|token| token.kind.is_heading())
}

/// The tokens of the line that the token before number `last` is in, or that starts after it.
fn line_of(tokens: &[Token], last: usize) -> &[Token] {
    let is_break = |token: &Token| token.kind == TokenKind::LineBreak;
    let start = tokens[..last].iter().rposition(is_break).map_or(0, |found| found + 1);
    let end = tokens[start..].iter().position(is_break).map_or(tokens.len(), |found| start + found);
    &tokens[start..end]
}

/// In a field: its name, or what it says.
fn field_at<'t>(music: &Music<'t>, line: &[Token], name: Span, at: u32) -> (Where<'t>, Span) {
    let find = |kind: TokenKind| line.iter().find(|token| token.kind == kind).map(|token| token.span);
    let colon = find(TokenKind::Colon).unwrap_or(name);
    if at < colon.end {
        let in_section = is_in_section(music, at);
        return (Where::LineStart { in_section, has_colon: true }, name.cover(colon));
    }
    let field = name.of(music.text);
    let glued = at == colon.end;
    let value = find(TokenKind::FieldText).filter(|text| text.start <= at);
    let span = value.map_or(Span::empty(at), |text| Span::new(text.start, text.end.max(at)));
    let place = Where::Value { field, glued: glued && span.is_empty() };
    if field != "order" {
        return (place, span);
    }
    // Each name is a word of its own.
    let (before, after) = (Span::new(span.start, at).of(music.text), Span::new(at, span.end).of(music.text));
    let blank = char::is_whitespace;
    let start = before.rfind(blank).map_or(0, |found| found + 1);
    let end = after.find(blank).unwrap_or(after.len());
    (place, Span::new(span.start + start as u32, at + end as u32))
}

/// In a comment: only those that keep findings are for the program.
fn comment_at<'t>(text: &'t str, comment: Span, at: u32) -> (Where<'t>, Span) {
    let before = Span::new(comment.start, at).of(text);
    let said = before.trim_start_matches('#').trim_start_matches([' ', '\t']);
    let is_rule_letter = |letter: char| letter.is_ascii_lowercase() || letter == '-';
    let after = Span::new(at, comment.end).of(text);
    let rest = after.find(|letter| !is_rule_letter(letter)).unwrap_or(after.len());
    let word = |typed: usize| Span::new(at - typed as u32, at + rest as u32);
    if "keep".starts_with(said) && !said.is_empty() {
        return (Where::Keep { comment, asks: true }, word(said.len()));
    }
    match said.strip_prefix("keep") {
        Some(names) if names.starts_with([' ', '\t']) && !names.contains(':') => {
            let typed =
                names.rfind(|letter| !is_rule_letter(letter)).map_or(0, |found| names.len() - found - 1);
            (Where::Keep { comment, asks: false }, word(typed))
        }
        _ => (Where::Nothing, Span::empty(at)),
    }
}

/// The token that the cursor is in or at the end of, where it is `wanted`.
fn word_at(tokens: &[Token], last: usize, at: u32, wanted: impl Fn(TokenKind) -> bool) -> Span {
    let token = tokens[..last].last().filter(|token| at <= token.span.end && wanted(token.kind));
    token.map_or(Span::empty(at), |token| token.span)
}

/// The word of music at `at`: a note less its marks, a call, a chord symbol, or what is to become one.
fn music_word(music: &Music, last: usize, at: u32) -> Span {
    let word = word_at(music.tree.tokens(), last, at, |kind| {
        let is_word = matches!(
            kind,
            TokenKind::Unknown
                | TokenKind::PhraseCall
                | TokenKind::Chord
                | TokenKind::Words
                | TokenKind::Pitch
        );
        kind.is_note() || kind.is_heading() || is_word
    });
    // A chord symbol or words that do not close swallow what stands after them.
    let open = music.text.as_bytes().get(word.start as usize).filter(|byte| matches!(byte, b'<' | b'"'));
    let closed = open.is_none() || word.of(music.text).len() > 1 && word.of(music.text).ends_with(['>', '"']);
    if closed { word } else { Span::new(word.start, at) }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::{Reading, Settings};

    /// The word at the `$0` in `marked`, and what kind of text it is in.
    #[track_caller]
    fn check(marked: &str, expected: Where<'_>, word: &str) {
        let at = marked.find("$0").unwrap() as u32;
        let text = marked.replacen("$0", "", 1);
        let reading = Reading::new(text.as_str(), &Arc::new(Settings::default()));
        let (place, span) = super::at(&reading.music(), at);
        assert_eq!((place, span.of(&text)), (expected, word), "{marked}");
    }

    const HEADER: Where<'_> = Where::LineStart { in_section: false, has_colon: false };
    const START: Where<'_> = Where::LineStart { in_section: true, has_colon: false };

    #[test]
    fn lines_begin_with_fields_headings_or_music() {
        check("$0", HEADER, "");
        check("tune: T\nme$0\n", HEADER, "me");
        check("tune: T\n  m$0e\r\nx", HEADER, "me");
        check("tune: T\nmet$0er: 6/8\n", Where::LineStart { in_section: false, has_colon: true }, "meter:");
        check("tune: T\npa$0rt\n", HEADER, "part");
        check("tune: T\npart A\n$0", START, "");
        check("tune: T\npart A\n2:$0", START, "2:");
    }

    #[test]
    fn values_are_whole_but_names_in_an_order_are_words() {
        let value = |field, glued| Where::Value { field, glued };
        check("tuning:$0", value("tuning", true), "");
        check("tuning: $0", value("tuning", false), "");
        check("tuning: open $0 # c", value("tuning", false), "open ");
        check("tuning: op$0en G", value("tuning", false), "open G");
        check("order: A B$0", value("order", false), "B");
        check("order: A $0 B", value("order", false), "");
        check("order:$0", value("order", true), "");
    }

    #[test]
    fn headings_and_comments_have_words_of_their_own() {
        check("part $0", Where::Heading(TokenKind::PartWord), "");
        check("part A x$0", Where::Heading(TokenKind::PartWord), "x");
        let keep = |comment: &str, asks| Where::Keep { comment: Span::new(0, comment.len() as u32), asks };
        check("# ke$0", keep("# ke", true), "ke");
        check("# keep $0", keep("# keep ", false), "");
        check("# keep off-strike, sh$0ort: x", keep("# keep off-strike, short: x", false), "short");
        check("# keep off-strike: x$0", Where::Nothing, "");
        check("# $0", Where::Nothing, "");
        check("tune: T\nwhat is$0", Where::Nothing, "is");
    }

    #[test]
    fn a_word_of_music_is_a_note_less_its_marks() {
        let check =
            |music: &str, word: &str| check(&format!("tune: T\npart A\n| {music}"), Where::Music, word);
        check("2:$0", "2:");
        check("2:$01!", "2:1");
        check("2:1$0-", "2:1");
        check("2:1-$0", "");
        check("2:1 $02:0", "");
        check("@li$0ck |", "@lick");
        check("@$0", "@");
        check("<$0 2:0 |", "<");
        check("<G$07> 2:0", "<G7>");
        check("[3:0 2$0]", "2");
        check("|$0", "");
    }
}
