//! Comments that keep findings: `# keep RULE, RULE: reason`.

use lope_syntax::{Span, TokenKind, Tree};

use crate::{Finding, Music, RuleId, rule};

/// The rules about these comments, which they cannot keep: a comment would vouch for itself.
pub const ABOUT_KEEPS: [&str; 2] = ["keep-without-reason", "unused-keep"];

/// A comment that keeps findings of some rules in one line.
pub struct Keep {
    /// The comment.
    pub comment: Span,
    /// The rules it names.
    pub rules: Vec<KeptRule>,
    /// Whether it says why. Without a reason it keeps nothing.
    pub has_reason: bool,
    /// The line it holds for: its own, or the next with something on it where it stands alone. A place
    /// beyond every text where nothing follows.
    line: Span,
}

/// A rule that a comment names.
#[derive(Clone, Copy)]
pub struct KeptRule {
    /// Its name as written.
    pub written: Span,
    /// The rule, where there is one of that name.
    pub rule: Option<RuleId>,
}

/// Every comment of `text` that keeps something or was meant to, in the order of the text.
pub fn keeps(text: &str, tree: &Tree) -> Vec<Keep> {
    // Most tunes keep nothing: one look at the text is quicker than one at every token.
    let may_keep = |at| text[at + 1..].trim_start_matches(['#', ' ', '\t']).starts_with("keep");
    if !memchr::memchr_iter(b'#', text.as_bytes()).any(may_keep) {
        return Vec::new();
    }
    let mut keeps = Vec::new();
    let mut line_below = Span::empty(u32::MAX);
    for token in tree.tokens().iter().rev() {
        match token.kind {
            TokenKind::Comment => {
                let own = line_of(text, token.span.start);
                let stands_alone = Span::new(own.start, token.span.start).of(text).trim().is_empty();
                keeps.extend(rules_and_reason(text, token.span).map(|(rules, has_reason)| Keep {
                    comment: token.span,
                    rules,
                    has_reason,
                    line: if stands_alone { line_below } else { own },
                }));
            }
            // Of the tokens of one line only the first met has to look for its ends.
            kind if !kind.is_trivia() && !line_below.touches(token.span.start) => {
                line_below = line_of(text, token.span.start);
            }
            _ => {}
        }
    }
    keeps.reverse();
    keeps
}

/// The names in those of `keeps` that keep what `rule` finds at `span`.
pub fn holding(keeps: &[Keep], rule: RuleId, span: Span) -> impl Iterator<Item = Span> {
    let first = keeps.partition_point(|keep| keep.line.end < span.start);
    let there = keeps[first..].iter().take_while(move |keep| keep.line.start <= span.end);
    let names = there.filter(|keep| keep.has_reason).flat_map(|keep| &keep.rules);
    names.filter(move |named| named.rule == Some(rule) && can_be_kept(rule)).map(|named| named.written)
}

/// Whether a comment in `text`, read as `tree`, keeps what `rule` finds at `span`. [`crate::check`] has
/// asked already; this is for findings that only a whole file or book can show.
pub fn is_kept(text: &str, tree: &Tree, rule: RuleId, span: Span) -> bool {
    holding(&keeps(text, tree), rule, span).next().is_some()
}

/// Whether a comment can keep what `rule` finds.
pub fn can_be_kept(rule: RuleId) -> bool {
    !ABOUT_KEEPS.contains(&rule.rule().name)
}

/// Takes out the findings that comments keep.
pub fn silence(music: &Music, findings: &mut Vec<Finding>) {
    if findings.is_empty() {
        return;
    }
    let keeps = keeps(music.text, music.tree);
    findings.retain(|finding| holding(&keeps, finding.rule, finding.span).next().is_none());
}

/// The rules that `comment` names, and whether a reason follows; none where it is an ordinary comment,
/// such as `# keep the thumb down`.
fn rules_and_reason(text: &str, comment: Span) -> Option<(Vec<KeptRule>, bool)> {
    let said = comment.of(text).trim_start_matches('#').trim_start().strip_prefix("keep")?;
    if !said.starts_with([' ', '\t']) {
        return None;
    }
    let (names, reason) = said.split_once(':').map_or((said, None), |(names, reason)| (names, Some(reason)));
    let mut rules = Vec::new();
    let mut start = comment.end - said.len() as u32;
    for name in names.split(',') {
        let word = name.trim();
        if word.is_empty() || !word.bytes().all(|letter| letter.is_ascii_lowercase() || letter == b'-') {
            return None;
        }
        let from = start + (name.len() - name.trim_start().len()) as u32;
        let written = Span::new(from, from + word.len() as u32);
        rules.push(KeptRule { written, rule: rule(word) });
        start += name.len() as u32 + 1;
    }
    // `# keep time` is said to a player; a colon or a rule's own name is said to the checker.
    let is_meant = reason.is_some() || rules.iter().any(|named| named.rule.is_some());
    is_meant.then(|| (rules, reason.is_some_and(|reason| !reason.trim().is_empty())))
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
        let (rules, has_reason) = rules_and_reason(comment, Span::new(0, comment.len() as u32))?;
        let names: Vec<&str> = rules.into_iter().map(|named| named.written.of(comment)).collect();
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
        assert_eq!(found(&format!("# keep short-bar: it stops\n# keep long-bar: two of them\n{SHORT}")), 0);
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
