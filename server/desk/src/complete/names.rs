//! Names of parts and phrases.

use std::collections::HashSet;

use lope_rules::Music;
use lope_syntax::TokenKind;
use lope_tune::{BarContent, SectionKind};

use super::{Completion, CompletionKind};
use crate::topic::{Subject, Topic};

/// What can follow `word`, the first of the heading at `at`.
pub fn of_heading(music: &Music, word: TokenKind, at: u32) -> Vec<Completion> {
    let name = |label: String, detail: &str| Completion::new(CompletionKind::Name, label, detail);
    let tokens = music.tree.tokens();
    let before = tokens[..tokens.partition_point(|token| token.span.end < at)].iter().rev();
    let named = before.take_while(|token| token.kind != word).any(|token| token.kind == TokenKind::Name);
    match word {
        TokenKind::MelodyWord if !named => vec![name("A".to_owned(), "what the tab made of it is called")],
        TokenKind::PartWord | TokenKind::MelodyWord if named => (2..=4)
            .map(|times| name(format!("x{times}"), &format!("played {times} times in a row")))
            .collect(),
        TokenKind::PartWord => vec![name(next_part(music), "the next part")],
        TokenKind::EndingWord => {
            let above = music.source.sections.iter().rposition(|place| place.heading.end < at);
            above
                .map(|above| name(next_ending(music, above).to_string(), "the next time through the part"))
                .into_iter()
                .collect()
        }
        _ if named => Vec::new(),
        _ => missing_phrases(music)
            .into_iter()
            .map(|called| name(called, "called, but not there yet"))
            .collect(),
    }
}

/// The first letter that no part has for a name; after Z a number.
pub fn next_part(music: &Music) -> String {
    let taken = |name: &str| music.tune.parts().any(|(_, part)| part.name == name);
    let letter = ('A'..='Z').map(String::from).find(|letter| !taken(letter));
    letter.unwrap_or_else(|| (music.tune.parts().count() + 1).to_string())
}

/// The first pass that no ending of the part of the section numbered `above` has.
pub fn next_ending(music: &Music, above: usize) -> u32 {
    let sections = &music.tune.sections[..=above];
    let part = sections.iter().rposition(|section| matches!(section.kind, SectionKind::Part { .. }));
    let endings = &sections[part.unwrap_or(above)..];
    let taken = endings.iter().flat_map(|section| match &section.kind {
        SectionKind::Ending { passes, .. } => passes.as_slice(),
        _ => &[],
    });
    taken.max().map_or(1, |last| last + 1)
}

/// The calls of phrases that can stand at `at`, which is not inside them.
pub fn calls(music: &Music, at: u32) -> Vec<Completion> {
    let sections = music.tune.sections.iter().zip(&music.source.sections);
    let phrases = sections.filter(|(section, place)| {
        section.kind == SectionKind::Phrase && !(place.whole.start <= at && at <= place.whole.end)
    });
    let call = |name: &str, detail: String| {
        Completion::new(CompletionKind::Name, format!("@{name}"), detail)
            .about(Topic::new(Subject::Phrase, name))
    };
    let there = phrases.map(|(section, _)| match section.bars.len() {
        1 => call(&section.name, "a phrase of 1 bar".to_owned()),
        bars => call(&section.name, format!("a phrase of {bars} bars")),
    });
    let mut calls: Vec<Completion> = there.collect();
    let missing = missing_phrases(music).into_iter();
    calls.extend(missing.map(|name| call(&name, "called elsewhere, but not there yet".to_owned())));
    calls
}

/// The names of phrases that are called but do not exist.
fn missing_phrases(music: &Music) -> Vec<String> {
    let called = music.tune.bars.iter().filter_map(|bar| match &bar.content {
        BarContent::Phrase { name, .. } => Some(name),
        _ => None,
    });
    let phrases = music.tune.sections.iter().filter(|section| section.kind == SectionKind::Phrase);
    let mut known: HashSet<&str> = phrases.map(|section| section.name.as_str()).collect();
    called.filter(|name| !name.is_empty() && known.insert(name.as_str())).cloned().collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{complete, jig, labels};

    #[test]
    fn headings_are_given_the_names_that_come_next() {
        assert_eq!(labels("tune: T\npart A\n3:0 |\npart $0"), ["B"]);
        assert_eq!(labels("tune: T\npart A $0"), ["x2", "x3", "x4"]);
        assert_eq!(labels("tune: T\npart A\nending 1,2\nending $0"), ["3"]);
        assert_eq!(labels("tune: T\npart A\n@lick @lick |\nphrase $0"), ["lick"]);
        assert_eq!(labels("tune: T\npart A\nphrase lick $0"), [""; 0]);
    }

    #[test]
    fn calls_know_the_phrases_and_not_their_own() {
        let text = jig("| @l$0 |\n\nphrase lick\n| 3:0-- 3:0-- |\n\nphrase long\n| @lick | @new |");
        let (word, found) = complete(&text);
        let labels: Vec<_> = found.items.iter().map(|item| item.label.as_str()).collect();
        assert_eq!((word.as_str(), labels), ("@l", vec!["@lick", "@long", "@l", "@new"]));
        let inside =
            super::super::testing::labels(&text.replace("$0", "").replace("| 3:0-- 3:0-- |", "| @$0"));
        assert!(!inside.contains(&"@lick".to_owned()), "{inside:?}");
    }
}
