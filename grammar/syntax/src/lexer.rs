use logos::{Lexer, Logos};

use crate::{Span, Token, TokenKind};

/// Cuts `text` into tokens that together are `text`.
pub fn lex(text: &str) -> Vec<Token> {
    let mut cutter = Cutter { music: TokenKind::lexer(text), tokens: Vec::with_capacity(text.len() / 2 + 8) };
    if text.starts_with(BYTE_ORDER_MARK) {
        cutter.take(TokenKind::Blank, BYTE_ORDER_MARK.len_utf8());
    }
    while !cutter.rest().is_empty() {
        cutter.line();
    }
    cutter.tokens
}

const BYTE_ORDER_MARK: char = '\u{feff}';

/// What ends a piece of text that is no token. A mark or a hold after it is taken for part of the slip.
const DELIMITERS: [char; 12] = [' ', '\t', '\r', '\n', '|', '{', '}', '[', ']', '"', '<', '#'];

struct Cutter<'t> {
    music: Lexer<'t, TokenKind>,
    tokens: Vec<Token>,
}

impl<'t> Cutter<'t> {
    fn rest(&self) -> &'t str {
        self.music.remainder()
    }

    /// Takes the next `len` bytes as one token.
    fn take(&mut self, kind: TokenKind, len: usize) {
        if len > 0 {
            let start = self.music.span().end;
            self.music.bump(len);
            // A bump before any token is read widens an empty span, so the start is kept by hand.
            self.tokens.push(Token { kind, span: Span::new(start as u32, (start + len) as u32) });
        }
    }

    fn blanks(&mut self) {
        self.take(TokenKind::Blank, blanks(self.rest()));
    }

    /// Cuts one line, its line break included.
    fn line(&mut self) {
        self.blanks();
        let rest = self.rest();
        if rest.starts_with(|first: char| first.is_ascii_alphabetic()) {
            if let Some(name) = field_name(rest) {
                self.field(name);
            } else if let Some((kind, len)) = heading_word(rest) {
                self.heading(kind, len);
            }
        }
        self.music();
    }

    /// Cuts `name: text`, up to a comment or the end of the line.
    fn field(&mut self, name: usize) {
        self.take(TokenKind::FieldName, name);
        self.blanks();
        self.take(TokenKind::Colon, 1);
        self.blanks();
        let text = before_comment(self.rest());
        self.take(TokenKind::FieldText, text.trim_end_matches([' ', '\t']).len());
        self.blanks();
    }

    /// Cuts `part A x2`, `phrase lick`, `ending 1,2` or `melody A`, up to a comment or the end of the line.
    fn heading(&mut self, word: TokenKind, len: usize) {
        self.take(word, len);
        self.blanks();
        let end = self.music.span().end + before_comment(self.rest()).len();
        let mut named = word == TokenKind::EndingWord;
        while self.music.span().end < end {
            let rest = self.rest();
            let len = rest.find([' ', '\t', '\r', '\n']).unwrap_or(rest.len());
            let kind = match &rest[..len] {
                word if !named && is_name(word) => {
                    named = true;
                    TokenKind::Name
                }
                word if is_times(word) => TokenKind::Times,
                word if is_passes(word) => TokenKind::Passes,
                _ => TokenKind::Unknown,
            };
            self.take(kind, len);
            self.blanks();
        }
    }

    /// Cuts slots up to and with the line break.
    fn music(&mut self) {
        loop {
            if let Some((kind, len)) = glance(self.rest().as_bytes()) {
                self.take(kind, len);
                continue;
            }
            let Some(found) = self.music.next() else { return };
            let kind = found.unwrap_or(TokenKind::Unknown);
            let start = self.music.span().start;
            if found.is_err() {
                let rest = self.rest();
                self.music.bump(rest.find(DELIMITERS).unwrap_or(rest.len()));
            }
            self.tokens.push(Token { kind, span: Span::new(start as u32, self.music.span().end as u32) });
            if kind == TokenKind::LineBreak {
                return;
            }
        }
    }
}

/// The word `text` starts with, where its first bytes tell: most words of music are of these few kinds, and
/// so take a fraction of the time that the whole of the patterns takes.
fn glance(text: &[u8]) -> Option<(TokenKind, usize)> {
    // What follows a word must not be part of it.
    Some(match text {
        [b' ', next, ..] if !matches!(next, b' ' | b'\t') => (TokenKind::Blank, 1),
        [b'0'..=b'9', b':', b'0'..=b'9', next, ..] if !next.is_ascii_digit() => (TokenKind::Note, 3),
        [b't', next, ..] if !next.is_ascii_alphanumeric() => (TokenKind::Thumb, 1),
        [b'|', ..] => (TokenKind::BarLine, 1),
        [b'-', ..] => (TokenKind::Hold, 1),
        _ => return None,
    })
}

fn blanks(text: &str) -> usize {
    text.bytes().take_while(|byte| matches!(byte, b' ' | b'\t')).count()
}

/// The length of the field name `text` starts with, when a colon follows it.
fn field_name(text: &str) -> Option<usize> {
    let len =
        text.bytes().take_while(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_')).count();
    let rest = &text[len..];
    // `t2:1` is a note: only letters make a name that a colon follows closely.
    let is_note = text[..len].bytes().any(|byte| byte.is_ascii_digit());
    (!is_note && rest[blanks(rest)..].starts_with(':')).then_some(len)
}

/// The heading word `text` starts with, and its length.
fn heading_word(text: &str) -> Option<(TokenKind, usize)> {
    [
        (TokenKind::PartWord, "part"),
        (TokenKind::PhraseWord, "phrase"),
        (TokenKind::EndingWord, "ending"),
        (TokenKind::MelodyWord, "melody"),
    ]
    .into_iter()
    .find(|(_, word)| {
        text.strip_prefix(word)
            .is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', '\t', '\r', '\n', '#']))
    })
    .map(|(kind, word)| (kind, word.len()))
}

/// `text` up to the end of its line, or to a `#` at its start or after a blank.
fn before_comment(text: &str) -> &str {
    let mut blank = true;
    for (at, byte) in text.bytes().enumerate() {
        match byte {
            b'\r' | b'\n' => return &text[..at],
            b'#' if blank => return &text[..at],
            _ => blank = matches!(byte, b' ' | b'\t'),
        }
    }
    text
}

/// A name does not start with a colon: `part :A` is a field.
fn is_name(word: &str) -> bool {
    !word.starts_with(':') && !word.contains(['|', '{', '}', '[', ']', '"', '<', '>', '@', '#', '%'])
}

fn is_times(word: &str) -> bool {
    word.strip_prefix('x')
        .is_some_and(|digits| !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit()))
}

fn is_passes(word: &str) -> bool {
    word.starts_with(|first: char| first.is_ascii_digit())
        && word.bytes().all(|byte| byte.is_ascii_digit() || byte == b',')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, expected: &str) {
        let tokens = lex(text);
        let shown: Vec<String> = tokens
            .iter()
            .filter(|token| token.kind != TokenKind::Blank)
            .map(|token| format!("{:?} {:?}", token.kind, token.span.of(text)))
            .collect();
        assert_eq!(shown.join(", "), expected);
        let whole: String = tokens.iter().map(|token| token.span.of(text)).collect();
        assert_eq!(whole, text);
    }

    #[test]
    fn music_is_cut_into_slots() {
        check(
            "1:0 |  2:1- h4!/i",
            r#"Note "1:0", BarLine "|", Note "2:1", Hold "-", Hammer "h4", Accent "!", Finger "/i""#,
        );
        check(
            "t t2:1 p2:0 {1:0 _}/2",
            r#"Thumb "t", Thumb "t2:1", Pull "p2:0", BraceOpen "{", Note "1:0", Silence "_", BraceClose "}", Over "/2""#,
        );
        check(
            r##""a # b" <F#7> @lick % #c"##,
            r##"Words "\"a # b\"", Chord "<F#7>", PhraseCall "@lick", BarAgain "%", Comment "#c""##,
        );
    }

    /// Every text of four characters that matter to what is told at a glance.
    #[test]
    fn a_glance_sees_what_the_patterns_see() {
        let letters = [b' ', b'\t', b'\n', b'|', b'-', b'1', b':', b't', b'h', b'!', b'"'];
        let texts = (0..letters.len().pow(4)).map(|number| {
            let digit = |place: u32| letters[number / letters.len().pow(place) % letters.len()];
            [digit(0), digit(1), digit(2), digit(3)]
        });
        for text in texts {
            let Some((kind, len)) = glance(&text) else { continue };
            let text = std::str::from_utf8(&text).unwrap();
            let mut patterns = TokenKind::lexer(text);
            assert_eq!((patterns.next(), patterns.span()), (Some(Ok(kind)), 0..len), "{text:?}");
        }
    }

    #[test]
    fn a_field_ends_at_a_comment_but_a_sharp_is_none() {
        check(
            "tuning: f#DF#AD  # low\n",
            r##"FieldName "tuning", Colon ":", FieldText "f#DF#AD", Comment "# low", LineBreak "\n""##,
        );
        check("by :#none", r##"FieldName "by", Colon ":", Comment "#none""##);
    }

    #[test]
    fn headings_know_their_words() {
        check("part A x2", r#"PartWord "part", Name "A", Times "x2""#);
        check("  ending 1,2 # c", r##"EndingWord "ending", Passes "1,2", Comment "# c""##);
        check("part x2 x2 y", r#"PartWord "part", Name "x2", Times "x2", Unknown "y""#);
        check("part | :3", r#"PartWord "part", Unknown "|", Unknown ":3""#);
        check("parting 1:0", r#"Unknown "parting", Note "1:0""#);
    }

    #[test]
    fn a_slip_stays_in_one_piece() {
        check(
            "prat- B | 1: h 3 t2",
            r#"Unknown "prat", Hold "-", Unknown "B", BarLine "|", Unknown "1:", Unknown "h", Unknown "3", Unknown "t2""#,
        );
        check("1:0é- 2:0", r#"Note "1:0", Unknown "é-", Note "2:0""#);
        check("\"open <C", r#"Unknown "\"open <C""#);
    }

    #[test]
    fn pitches_have_an_octave_and_may_have_a_sharp() {
        check("melody A x2", r#"MelodyWord "melody", Name "A", Times "x2""#);
        check("f#4- bb4 B3#c", r##"Pitch "f#4", Hold "-", Pitch "bb4", Pitch "B3", Comment "#c""##);
        check("d f#x d- ab e4x", r##"Unknown "d", Unknown "f", Comment "#x d- ab e4x""##);
        check("d- ab e4x h4", r#"Unknown "d-", Unknown "ab", Pitch "e4", Unknown "x", Hammer "h4""#);
    }

    #[test]
    fn line_breaks_of_every_kind_and_a_byte_order_mark() {
        check(
            "\u{feff}tune: A\r\r\n1:0",
            r#"FieldName "tune", Colon ":", FieldText "A", LineBreak "\r", LineBreak "\r\n", Note "1:0""#,
        );
    }
}
