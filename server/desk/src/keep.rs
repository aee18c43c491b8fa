use lope_rules::{Edit, RuleId, can_be_kept};
use lope_syntax::{Span, TokenKind};

use crate::Reading;

/// Stands where the writer is to say why.
const REASON: &str = "say why";

impl Reading {
    /// The edit that keeps what `rule` finds at `span`, by a comment on a line of its own above it, where it
    /// lengthens no row of bars. None for a finding that no comment can keep there.
    pub fn keep(&self, rule: RuleId, span: Span) -> Option<Edit> {
        let text = self.text();
        let (before, after) = text.split_at_checked(span.start as usize)?;
        let line = before.rfind(['\n', '\r']).map_or(0, |at| at + 1);
        let end = after.find(['\n', '\r']).map_or(text.len(), |at| before.len() + at);
        // A comment holds for the next line with something on it; nothing may stand before a byte order mark.
        let holds =
            self.has_words(Span::new(line as u32, end as u32)) && !text[line..].starts_with('\u{feff}');
        if !holds || !can_be_kept(rule) {
            return None;
        }
        let indent = text[line..].len() - text[line..].trim_start_matches([' ', '\t']).len();
        let (indent, rule) = (&text[line..line + indent], rule.rule().name);
        Some(Edit::insert(line as u32, format!("{indent}# keep {rule}: {REASON}{}", self.line_break())))
    }

    /// Whether `line` has anything on it but blanks and comments.
    fn has_words(&self, line: Span) -> bool {
        let tokens = self.tree().tokens();
        let first = tokens.partition_point(|token| token.span.end <= line.start);
        let mut on_it = tokens[first..].iter().take_while(|token| token.span.start < line.end);
        on_it.any(|token| !token.kind.is_trivia())
    }

    /// How the writer ends lines.
    pub(crate) fn line_break(&self) -> &str {
        let mut tokens = self.tree().tokens().iter();
        tokens
            .find(|token| token.kind == TokenKind::LineBreak)
            .map_or("\n", |token| token.span.of(self.text()))
    }
}

/// The line that `comment` would hold for: its own, or the next where it stands alone.
pub fn held_lines(text: &str, comment: Span) -> Span {
    let is_break = |letter: char| matches!(letter, '\r' | '\n');
    let before = &text[..comment.start as usize];
    let start = before.rfind(is_break).map_or(0, |found| found + 1);
    if !before[start..].trim().is_empty() {
        return Span::new(start as u32, comment.end);
    }
    let after = &text[comment.end as usize..];
    let below = comment.end as usize + after.len() - after.trim_start().len();
    let end = text[below..].find(is_break).map_or(text.len(), |found| below + found);
    Span::new(below as u32, end as u32)
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use lope_rules::apply;

    use super::*;

    /// Keeps the first finding of `rule` in `text`, and checks that it is gone.
    #[track_caller]
    fn check(text: &str, rule: &str, expected: Option<&str>) {
        let of_rule = |reading: &Reading| {
            reading.findings().iter().filter(|finding| finding.rule.rule().name == rule).count()
        };
        let reading = Reading::new(text, &Arc::default());
        let finding = reading.findings().iter().find(|finding| finding.rule.rule().name == rule).unwrap();
        let kept = reading.keep(finding.rule, finding.span).map(|edit| apply(text, &[edit]));
        assert_eq!(kept.as_deref(), expected);
        if let Some(kept) = kept {
            assert_eq!(of_rule(&Reading::new(kept, &Arc::default())), of_rule(&reading) - 1);
        }
    }

    #[test]
    fn a_comment_above_its_line_keeps_a_finding() {
        check(
            "tune: T\nmeter: 6/8\npart A\n| 3:0 t 3:0 t 2:0 2:0 |\n  | 3:0 t h2  2:0- - | # so\n",
            "off-strike",
            Some(
                "tune: T\nmeter: 6/8\npart A\n# keep off-strike: say why\n| 3:0 t 3:0 t 2:0 2:0 |\n  | 3:0 t h2  2:0- - | # so\n",
            ),
        );
        check(
            "tune: T\r\nmeter: 6/8\r\npart A\r\n  | 3:0 t h2  2:0- - |\r\n",
            "off-strike",
            Some(
                "tune: T\r\nmeter: 6/8\r\npart A\r\n  # keep off-strike: say why\r\n  | 3:0 t h2  2:0- - |\r\n",
            ),
        );
        check(
            "colour: blue\ntune: T\nmeter: 6/8\n",
            "unknown-field",
            Some("# keep unknown-field: say why\ncolour: blue\ntune: T\nmeter: 6/8\n"),
        );
    }

    #[test]
    fn findings_about_these_comments_cannot_be_kept() {
        check("tune: T\nmeter: 6/8 # keep off-strike: nothing to keep\n", "unused-keep", None);
    }
}
