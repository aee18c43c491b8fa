//! A rule's page as text.

use std::fmt::Write;

use lope_desk::{Family, Level, Rule};

/// How wide a page is, in columns.
const WIDTH: usize = 80;

/// The page of `rule`.
pub fn page(rule: &Rule) -> String {
    let mut page = format!("{} ({}, {})\n\n", rule.name, usual_level(rule), family(rule.family));
    let mut paragraph = |text: &str| {
        page.push_str(&wrapped(text));
        page.push('\n');
    };
    paragraph(rule.page.finds);
    paragraph(rule.page.why);
    paragraph("It finds something in:");
    paragraph_of_tab(&mut page, rule.page.example.bad);
    page.push_str("and nothing in:\n\n");
    paragraph_of_tab(&mut page, rule.page.example.good);
    if !rule.page.mend.is_empty() {
        page.push_str(&wrapped(&format!("Mend: {}", rule.page.mend)));
        page.push('\n');
    }
    let _ = write!(
        page,
        "To keep a spot as it is, end its line with   # keep {0}: your reason\n\
         To change its level in a book, in lope.toml:   [rules]   {0} = \"hint\"\n",
        rule.name
    );
    page
}

/// The name of the level a rule has where no book says otherwise.
pub fn usual_level(rule: &Rule) -> &'static str {
    rule.level.map_or("off", Level::name)
}

/// What a rule is about, in words.
pub const fn family(family: Family) -> &'static str {
    match family {
        Family::RightHand => "right hand",
        Family::LeftHand => "left hand",
        Family::Time => "time",
        Family::Tune => "tune and book",
    }
}

fn paragraph_of_tab(page: &mut String, tune: &str) {
    for line in tune.lines() {
        page.push_str(if line.is_empty() { "" } else { "    " });
        page.push_str(line);
        page.push('\n');
    }
    page.push('\n');
}

/// `text` in lines no wider than a page, where its words allow.
fn wrapped(text: &str) -> String {
    let mut lines = String::new();
    let mut width = 0;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if width > 0 && width + 1 + length > WIDTH {
            lines.push('\n');
            width = 0;
        } else if width > 0 {
            lines.push(' ');
            width += 1;
        }
        lines.push_str(word);
        width += length;
    }
    lines.push('\n');
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_fill_a_line_and_no_more() {
        let text = wrapped(&"falling ".repeat(25));
        assert_eq!(text.lines().map(str::len).collect::<Vec<_>>(), [79, 79, 39]);
        assert_eq!(wrapped("one"), "one\n");
    }

    #[test]
    fn every_page_names_its_rule_and_shows_both_tunes() {
        for rule in lope_desk::RULES {
            let page = page(rule);
            assert!(
                page.starts_with(rule.name) && page.contains(&format!("# keep {}:", rule.name)),
                "{page}"
            );
            assert!(page.contains("\n    tune: "), "{page}");
        }
    }
}
