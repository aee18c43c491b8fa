//! What there is to read about a completion.

use std::fmt;

use lope_rules::rule;
use lope_tune::{Gait, Meter, SectionKind, Tuning};

use crate::Reading;
use crate::chord::Chord;
use crate::fields::field_page;
use crate::hover::{rule_page, strings, strokes, tab_of};

/// Something that can be read about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Topic {
    subject: Subject,
    name: String,
}

/// What sort of thing it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// A field.
    Field,
    /// A meter.
    Meter,
    /// A gait, read in the meter of the tune.
    Gait,
    /// A tuning.
    Tuning,
    /// A chord symbol.
    Chord,
    /// A phrase of the tune.
    Phrase,
    /// A rule.
    Rule,
    /// A kind of token in music.
    Token,
}

const SUBJECTS: [(Subject, &str); 8] = [
    (Subject::Field, "field"),
    (Subject::Meter, "meter"),
    (Subject::Gait, "gait"),
    (Subject::Tuning, "tuning"),
    (Subject::Chord, "chord"),
    (Subject::Phrase, "phrase"),
    (Subject::Rule, "rule"),
    (Subject::Token, "token"),
];

/// What the tokens of music are for. Common practice.
const TOKENS: [(&str, &str); 11] = [
    ("strike", "The hand falls, and the nail of one finger strikes the string on the way down."),
    (
        "thumb",
        "The thumb came to rest on the short string as the hand fell, and sounds it as the hand rises.",
    ),
    (
        "drop-thumb",
        "The thumb leaves the drone for a string nearer the floor: it is planted there as the hand falls on a string nearer the floor still, and sounds it as the hand rises.",
    ),
    (
        "hammer-on",
        "A finger of the left hand comes down on a higher fret of the sounding string; the right hand rises.",
    ),
    (
        "pull-off",
        "A finger of the left hand plucks the string as it leaves it, and a lower fret or the open string sounds; the right hand rises.",
    ),
    (
        "slide",
        "A finger of the left hand slides along the sounding string to another fret; the right hand rises.",
    ),
    ("brush", "One fall across several strings, which sound together."),
    (
        "hold",
        "What sounds rings on through this slot. Where the gait has a fall the hand falls on air, which keeps it in time.",
    ),
    (
        "silence",
        "Nothing sounds in this slot. Where the gait has a fall the hand falls on air, which keeps it in time.",
    ),
    ("bar line", "The bar is over."),
    ("again", "The whole bar before once more."),
];

/// What is said of a topic.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Explanation {
    /// What there is to say, a line each.
    pub lines: Vec<String>,
    /// A drawing in letters of one width, a line each.
    pub drawing: Vec<String>,
}

impl Topic {
    /// The topic of the thing called `name`.
    pub fn new(subject: Subject, name: impl Into<String>) -> Self {
        Self { subject, name: name.into() }
    }

    /// Reads what [`Topic`] writes: `field meter`.
    pub fn parse(text: &str) -> Option<Self> {
        let (word, name) = text.split_once(' ')?;
        let (subject, _) = SUBJECTS.iter().find(|(_, known)| *known == word)?;
        Some(Self::new(*subject, name))
    }
}

impl fmt::Display for Topic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = SUBJECTS.iter().find(|(subject, _)| *subject == self.subject);
        write!(f, "{} {}", word.map_or("", |(_, word)| word), self.name)
    }
}

impl Reading {
    /// What there is to read about `topic` in this tune.
    pub fn explain(&self, topic: &Topic) -> Option<Explanation> {
        let name = topic.name.as_str();
        let frame = self.tune().frames.last()?;
        let lines = |lines| Explanation { lines, drawing: Vec::new() };
        let drawing = |drawing| Explanation { lines: Vec::new(), drawing };
        Some(match topic.subject {
            Subject::Field => lines(field_page(name)?.lines()),
            Subject::Meter => {
                let meter = Meter::parse(name)?;
                drawing(strokes(Gait::of(meter, meter.slot()), meter))
            }
            Subject::Gait => drawing(strokes(Gait::parse(name, frame.unit)?, frame.meter)),
            Subject::Tuning => drawing(strings(&Tuning::parse(name)?, self.tune().header.capo)),
            Subject::Chord => lines(vec![format!("its tones: {}", Chord::parse(name)?.names().join(" "))]),
            Subject::Phrase => {
                let mut sections = self.tune().sections.iter();
                let is_it = |kind: &SectionKind| *kind == SectionKind::Phrase;
                let phrase = sections.position(|section| section.name == name && is_it(&section.kind))?;
                drawing(tab_of(&self.music(), phrase))
            }
            Subject::Rule => lines(rule_page(rule(name)?.rule())),
            Subject::Token => {
                let (_, page) = TOKENS.iter().find(|(token, _)| *token == name)?;
                lines(vec![(*page).to_owned()])
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::Settings;

    #[test]
    fn a_topic_is_read_back_as_it_is_written() {
        for (subject, _) in SUBJECTS {
            let topic = Topic::new(subject, "a b");
            assert_eq!(Topic::parse(&topic.to_string()), Some(topic));
        }
        assert_eq!(Topic::parse("nothing at all"), None);
        assert_eq!(Topic::parse("field"), None);
    }

    #[test]
    fn every_subject_has_something_to_read() {
        let text = "tune: T\nmeter: 6/8\npart A\n@l |\nphrase l\n| 1:0-- |\n";
        let reading = Reading::new(text, &Arc::new(Settings::default()));
        let first = |topic: &str| {
            let found = reading.explain(&Topic::parse(topic).unwrap());
            found.and_then(|said| said.lines.into_iter().chain(said.drawing).next())
        };
        assert_eq!(first("field capo").as_deref(), Some("the fret behind which the capo sits"));
        assert_eq!(first("meter 3/4").as_deref(), Some("count  1  &  2  &  3  &"));
        assert_eq!(first("gait x.").as_deref(), Some("count  1  2  3  4  5  6"));
        assert_eq!(first("tuning open D").as_deref(), Some("5  F#4  the drone"));
        assert_eq!(first("chord Em").as_deref(), Some("its tones: E G B"));
        assert_eq!(first("phrase l").as_deref(), Some("| 1:0-- |"));
        assert_eq!(first("rule short-bar").as_deref(), Some(rule("short-bar").unwrap().rule().page.finds));
        assert!(TOKENS.iter().all(|(token, page)| first(&format!("token {token}")).as_deref() == Some(page)));
        assert_eq!(first("phrase gone"), None);
    }
}
