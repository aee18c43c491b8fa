//! The tune's text and the book.

pub mod bad_value;
pub mod circling_phrase;
pub mod keep_without_reason;
pub mod missing_field;
pub mod same_title;
pub mod unknown_field;
pub mod unknown_phrase;
pub mod unreadable;
pub mod untidy;
pub mod unused_keep;
pub mod unused_phrase;

use lope_syntax::Span;
use lope_tune::IssueKind;

use crate::Music;

/// What is the matter at `span`, of the issues that reading a tune found.
fn issues_at<'m>(music: &Music<'m>, span: Span) -> impl Iterator<Item = &'m IssueKind> {
    let first = music.issues.partition_point(|issue| issue.span < span);
    music.issues[first..].iter().take_while(move |issue| issue.span == span).map(|issue| &issue.kind)
}

/// `text` as it is quoted in a message: short, and without anything that would upset a terminal.
fn quote(text: &str) -> String {
    const LONGEST: usize = 40;
    let shown: String =
        text.chars().take(LONGEST).map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect();
    let more = if text.chars().nth(LONGEST).is_some() { "…" } else { "" };
    format!("`{}{more}`", shown.trim())
}

/// The line break that `text` is written with.
fn line_break(text: &str) -> &'static str {
    match text.find(['\r', '\n']).map(|at| &text.as_bytes()[at..]) {
        Some([b'\r', b'\n', ..]) => "\r\n",
        Some([b'\r', ..]) => "\r",
        _ => "\n",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotes_are_short_and_harmless() {
        assert_eq!(quote("1;2"), "`1;2`");
        assert_eq!(quote("\u{1b}[31m"), "`\u{fffd}[31m`");
        assert_eq!(quote(&"é".repeat(41)), format!("`{}…`", "é".repeat(40)));
    }

    #[test]
    fn line_breaks_are_the_texts_own() {
        assert_eq!(["a", "a\nb\r\n", "a\r\nb", "a\rb"].map(line_break), ["\n", "\n", "\r\n", "\r"]);
    }
}
