//! Comments for people.

use super::{Hover, Look};
use crate::keep::held_lines;

/// What there is to say of a comment that keeps nothing: what it is not, and how it could keep a finding.
pub fn hover(look: Look<'_>) -> Hover {
    let held = held_lines(look.music.text, look.token.span);
    let found = look.reading.findings().iter().find(|finding| finding.span.overlaps(held));
    let rule = found.map_or("RULE", |finding| finding.rule.rule().name);
    let line = if held.start > look.token.span.start { "the line below" } else { "this line" };
    let lines = vec![
        "for people: it is neither played nor checked".to_owned(),
        format!("`# keep {rule}: reason` keeps what that rule finds in {line}"),
    ];
    look.said("comment", lines)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, jig};

    #[test]
    fn a_comment_says_how_it_could_keep_a_finding() {
        let people = "for people: it is neither played nor checked";
        let clean = jig("# slowly now\n| 3:0 t 3:0  3:0 t 3:0 |");
        let keeps =
            |rule: &str, line: &str| format!("`# keep {rule}: reason` keeps what that rule finds in {line}");
        check(&clean, "slowly", &["\"# slowly now\" comment", people, &keeps("RULE", "the line below")]);
        let short = jig("| 3:0 t 2:0  1:0 t |  # stamp");
        check(&short, "stamp", &["\"# stamp\" comment", people, &keeps("short-bar", "this line")]);
    }
}
