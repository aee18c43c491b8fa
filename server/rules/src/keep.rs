//! Comments that keep findings: `# keep RULE, RULE: reason`.

use lope_syntax::{Span, Tree};

use crate::{Finding, Music, RuleId, rule};

/// The rules about these comments, which they cannot keep: a comment would vouch for itself.
pub const ABOUT_KEEPS: [&str; 2] = ["keep-without-reason", "unused-keep"];

/// A comment that keeps findings of some rules in one line.
pub struct Keep {
    /// The comment.
    pub comment: Span,
    /// The names of rules as written.
    pub names: Vec<Span>,
    /// Whether it says why. Without a reason it keeps nothing.
    pub has_reason: bool,
    /// The line it holds for: its own, or the next with something on it where it stands alone. None at
    /// the end of the text.
    line: Option<Span>,
}

impl Keep {
    /// Whether it keeps what the rule called `name` finds at `span`.
    pub fn holds(&self, name: &str, text: &str, span: Span) -> bool {
        let touches = |line: Span| span.start <= line.end && line.start <= span.end;
        self.has_reason
            && self.line.is_some_and(touches)
            && !ABOUT_KEEPS.contains(&name)
            && self.names.iter().any(|written| written.of(text) == name)
    }
}

/// Whether a comment in `text`, read as `tree`, keeps what `rule` finds at `span`. [`crate::check`] has
/// asked already; this is for findings that only a whole file or book can show.
pub fn is_kept(text: &str, tree: &Tree, rule: RuleId, span: Span) -> bool {
    keeps(text, tree).iter().any(|keep| keep.holds(rule.rule().name, text, span))
}

/// Takes out the findings that comments keep.
pub fn silence(music: &Music, findings: &mut Vec<Finding>) {
    if findings.is_empty() {
        return;
    }
    let keeps = keeps(music.text, music.tree);
    findings.retain(|finding| {
        let name = finding.rule.rule().name;
        !keeps.iter().any(|keep| keep.holds(name, music.text, finding.span))
    });
}

/// Every comment of `text` that keeps something or was meant to.
pub fn keeps(text: &str, tree: &Tree) -> Vec<Keep> {
    // Most tunes keep nothing: one look at the text is quicker than one at every token.
    let may_keep = |at| text[at + 1..].trim_start_matches(['#', ' ', '\t']).starts_with("keep");
    if !memchr::memchr_iter(b'#', text.as_bytes()).any(may_keep) {
        return Vec::new();
    }
    let tokens = tree.tokens().iter().enumerate();
    let comments = tokens.filter(|(_, token)| token.kind == lope_syntax::TokenKind::Comment);
    let read = |(at, token): (usize, &lope_syntax::Token)| {
        let (names, has_reason) = names_and_reason(text, token.span)?;
        let own = line_of(text, token.span.start);
        let stands_alone = text.get(own.start as usize..token.span.start as usize)?.trim().is_empty();
        let below = || tree.tokens()[at..].iter().find(|token| !token.kind.is_trivia());
        let line =
            if stands_alone { below().map(|token| line_of(text, token.span.start)) } else { Some(own) };
        Some(Keep { comment: token.span, names, has_reason, line })
    };
    comments.filter_map(read).collect()
}

/// The names of rules in `comment`, and whether a reason follows; none where it is an ordinary comment,
/// such as `# keep the thumb down`.
fn names_and_reason(text: &str, comment: Span) -> Option<(Vec<Span>, bool)> {
    let said = comment.of(text).trim_start_matches('#').trim_start().strip_prefix("keep")?;
    if !said.starts_with([' ', '\t']) {
        return None;
    }
    let (names, reason) = said.split_once(':').map_or((said, None), |(names, reason)| (names, Some(reason)));
    let mut spans = Vec::new();
    let mut start = comment.end - said.len() as u32;
    for name in names.split(',') {
        let word = name.trim();
        if word.is_empty() || !word.bytes().all(|letter| letter.is_ascii_lowercase() || letter == b'-') {
            return None;
        }
        let from = start + (name.len() - name.trim_start().len()) as u32;
        spans.push(Span::new(from, from + word.len() as u32));
        start += name.len() as u32 + 1;
    }
    // `# keep time` is said to a player; a colon or a rule's own name is said to the checker.
    let meant = reason.is_some() || spans.iter().any(|name| rule(name.of(text)).is_some());
    meant.then(|| (spans, reason.is_some_and(|reason| !reason.trim().is_empty())))
}

/// The line that the byte at `at` is on, without its line break.
fn line_of(text: &str, at: u32) -> Span {
    let (before, after) = text.split_at_checked(at as usize).unwrap_or((text, ""));
    let start = before.rfind(['\n', '\r']).map_or(0, |found| found + 1);
    let end = after.find(['\n', '\r']).map_or(text.len(), |found| before.len() + found);
    Span::new(start as u32, end as u32)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::Piece;

    /// The names that `comment` keeps, with `!` where it gives no reason.
    fn read(comment: &str) -> Option<String> {
        let (names, has_reason) = names_and_reason(comment, Span::new(0, comment.len() as u32))?;
        let names: Vec<&str> = names.into_iter().map(|name| name.of(comment)).collect();
        Some(names.join(" ") + if has_reason { "" } else { " !" })
    }

    #[test]
    fn a_keep_names_rules_and_gives_a_reason() {
        assert_eq!(read("# keep off-strike: the drone rings").as_deref(), Some("off-strike"));
        assert_eq!(read("#keep  short-bar ,long-bar:why").as_deref(), Some("short-bar long-bar"));
        assert_eq!(read("# keep short-bar:  ").as_deref(), Some("short-bar !"));
        assert_eq!(read("# keep short-bar").as_deref(), Some("short-bar !"));
    }

    #[test]
    fn a_word_to_the_player_is_none() {
        for comment in
            ["# keep time", "# keep the thumb down: it rests", "# keeps: no", "# to keep: no", "# keep"]
        {
            assert_eq!(read(comment), None, "{comment}");
        }
    }

    const SHORT: &str = "| 1:0 t 2:0  1:0 t |";

    #[test]
    fn it_holds_for_its_line_or_the_line_below() {
        let found = |music: &str| Piece::jig(music).findings_of("short-bar").len();
        assert_eq!(found(SHORT), 1);
        assert_eq!(found(&format!("{SHORT}  # keep short-bar: it stops here")), 0);
        assert_eq!(found(&format!("# keep short-bar: it stops here\n{SHORT}")), 0);
        assert_eq!(found(&format!("# keep short-bar: it stops\r\n# more\r\n{SHORT}\r\n")), 0);
        assert_eq!(found(&format!("# keep short-bar: it stops here\n| 1:0-- 1:0-- |\n{SHORT}")), 1);
        assert_eq!(found(&format!("{SHORT}\n# keep short-bar: it stops here")), 1);
    }

    #[test]
    fn it_holds_for_its_rules_only_and_not_without_a_reason() {
        let found = |music: &str| Piece::jig(music).findings_of("short-bar").len();
        assert_eq!(found(&format!("{SHORT} # keep long-bar: no")), 1);
        assert_eq!(found(&format!("{SHORT} # keep long-bar, short-bar: both")), 0);
        assert_eq!(found(&format!("{SHORT} # keep short-bar:")), 1);
    }
}
