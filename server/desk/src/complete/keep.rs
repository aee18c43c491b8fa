//! Rules to keep findings of.

use lope_rules::{RULES, Rule};
use lope_syntax::Span;

use super::{Completion, CompletionKind};
use crate::Reading;
use crate::keep::held_lines;
use crate::topic::{Subject, Topic};

/// The rules that `comment` could name, those that find something there first; with the word `keep` before
/// them where the comment `asks` for it.
pub fn items(reading: &Reading, comment: Span, asks: bool) -> Vec<Completion> {
    let held = held_lines(reading.text(), comment);
    let found = |rule: &Rule| {
        let mut findings = reading.findings().iter().filter(|finding| finding.rule.rule().name == rule.name);
        findings.find(|finding| finding.span.start <= held.end && held.start <= finding.span.end)
    };
    let can_be_kept = |rule: &&&Rule| !["keep-without-reason", "unused-keep"].contains(&rule.name);
    let (mut there, mut others) = (Vec::new(), Vec::new());
    for rule in RULES.iter().filter(can_be_kept) {
        match found(rule) {
            Some(finding) => there.push(item(rule, &finding.message, asks)),
            None => others.push(item(rule, rule.page.finds, asks)),
        }
    }
    // A word that may yet be the start of any sentence is not drowned in names of rules.
    if !asks {
        there.append(&mut others);
    }
    there
}

fn item(rule: &Rule, detail: &str, asks: bool) -> Completion {
    let name = if asks { format!("keep {}", rule.name) } else { rule.name.to_owned() };
    let start = format!("{name}: ");
    Completion::new(CompletionKind::Rule, name, detail)
        .about(Topic::new(Subject::Rule, rule.name))
        .filled_in(&[&start, "reason"])
        .putting(start.clone())
}

#[cfg(test)]
mod tests {
    use super::super::testing::{complete, item, jig, labels};

    #[test]
    fn what_is_found_on_the_line_comes_first() {
        let own = labels(&jig("| 3:0 t h2  3:0 t |  # keep $0"));
        assert_eq!(own[..2], ["off-strike", "short-bar"]);
        assert!(own.contains(&"long-bar".to_owned()) && !own.contains(&"unused-keep".to_owned()));
        let below = labels(&jig("# keep $0\n\n| 3:0 t 3:0  3:0 t |"));
        assert_eq!(below[0], "short-bar");
    }

    #[test]
    fn the_reason_is_left_to_fill_in() {
        let text = jig("| 3:0 t 3:0  3:0 t |  # keep sh$0");
        assert_eq!(complete(&text).0, "sh");
        assert_eq!(item(&text, "short-bar").text, "short-bar: ");
    }

    #[test]
    fn a_comment_that_could_become_a_keep_is_offered_what_is_found() {
        assert_eq!(labels(&jig("| 3:0 t 3:0  3:0 t |  # k$0")), ["keep short-bar"]);
        assert_eq!(labels(&jig("| 3:0 t 3:0  3:0 t 3:0 |  # k$0")), [""; 0]);
        assert_eq!(labels(&jig("| 3:0 t 3:0  3:0 t |  # keep short-bar: $0")), [""; 0]);
    }
}
