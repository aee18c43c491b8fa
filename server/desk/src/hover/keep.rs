//! Comments that keep findings: the rules they name, and what they keep.

use lope_rules::{Keep, Rule, keeps, kept};

use super::{Hover, Look, count};

/// What there is to say of a comment that keeps findings: the page of the rule under the cursor, or what the
/// comment keeps. Nothing of other comments.
pub fn hover(look: Look<'_>) -> Option<Hover> {
    let keeps = keeps(look.music.text, look.music.tree);
    let keep = keeps.into_iter().find(|keep| keep.comment == look.token.span)?;
    let named = keep.rules.iter().find(|named| named.written.touches(look.at));
    let rule = named.and_then(|named| Some((named.written, named.rule?.rule())));
    Some(match rule {
        Some((span, rule)) => Hover { span, ..look.said(rule.name, rule_page(rule)) },
        None => look.said("a finding kept as it is", held(look, &keep)),
    })
}

/// The page of `rule` in short: what it finds, why that matters, what its mend does.
pub fn rule_page(rule: &Rule) -> Vec<String> {
    let mut lines = vec![rule.page.finds.to_owned(), rule.page.why.to_owned()];
    lines.extend((!rule.page.mend.is_empty()).then(|| format!("Mend: {}", rule.page.mend)));
    lines
}

/// What `keep` keeps.
fn held(look: Look<'_>, keep: &Keep) -> Vec<String> {
    if !keep.has_reason {
        return vec!["nothing is kept: write the reason after the colon".to_owned()];
    }
    let findings = kept(&look.music, look.reading.settings(), keep);
    let told = findings.iter().map(|finding| format!("{}: {}", finding.place, finding.message));
    let mut lines = vec![format!("keeps {}", count(findings.len(), "finding"))];
    lines.extend(told);
    lines
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, hover, jig};
    use crate::rule;

    #[test]
    fn a_rule_name_shows_its_page_and_the_comment_what_it_keeps() {
        let text = jig("| 3:0 t 2:0  1:0 t |  # keep short-bar: everybody stamps here");
        let page = hover(&text, "short-bar");
        assert_eq!((page.title.as_str(), page.span.of(&text)), ("short-bar", "short-bar"));
        assert_eq!(page.lines[0], rule("short-bar").unwrap().rule().page.finds);
        let comment = "# keep short-bar: everybody stamps here";
        let kept = hover(&text, "everybody");
        assert_eq!((kept.span.of(&text), kept.lines[0].as_str()), (comment, "keeps 1 finding"));
        assert!(kept.lines[1].starts_with("part A, bar 1"), "{:?}", kept.lines);
    }

    #[test]
    fn a_comment_that_keeps_nothing_says_so() {
        let text = jig("| 3:0 t 3:0  3:0 t 3:0 |  # keep short-bar:");
        let nothing = "nothing is kept: write the reason after the colon";
        check(&text, "# keep", &["\"# keep short-bar:\" a finding kept as it is", nothing]);
        let text = text.replace("short-bar:", "short-bar: why");
        check(&text, "# keep", &["\"# keep short-bar: why\" a finding kept as it is", "keeps 0 findings"]);
    }
}
