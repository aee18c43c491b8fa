use std::ops::Range;

use lope_rules::{About, Finding, off_time};
use lope_syntax::{Span, TokenKind};
use lope_tune::{BarContent, BarId, SectionId};

use crate::Reading;

/// Which hints are wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HintKinds {
    /// The count at the start of each group.
    pub counts: bool,
    /// The time a bar lacks or has too much.
    pub time: bool,
    /// What each note sounds.
    pub pitch: bool,
    /// What a phrase holds, where it is called.
    pub phrases: bool,
}

impl HintKinds {
    /// Every hint there is.
    pub const ALL: Self = Self { counts: true, time: true, pitch: true, phrases: true };
}

impl Default for HintKinds {
    /// All but pitches, of which there is one a note.
    fn default() -> Self {
        Self { pitch: false, ..Self::ALL }
    }
}

/// A few words shown within the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hint {
    /// The byte before which it stands, from the start of the tune's text.
    pub at: u32,
    /// The words.
    pub text: String,
    /// Whether it is about what follows; else about what is before it.
    pub before: bool,
    about: Subject,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Subject {
    Count,
    Pitch,
    Bar(BarId),
    Phrase(SectionId),
}

impl Hint {
    /// Whether there is more to say of it.
    pub const fn has_more(&self) -> bool {
        matches!(self.about, Subject::Bar(_) | Subject::Phrase(_))
    }
}

/// How much of a phrase is shown where it is called, in letters.
const GLIMPSE: usize = 40;

impl Reading {
    /// The hints of the `kinds` that stand in or touch `within`, in the order of the text.
    pub fn hints(&self, within: Span, kinds: HintKinds) -> Vec<Hint> {
        let music = self.music();
        let places = &music.source.bars;
        let first = places.partition_point(|place| place.close.end.max(place.span.end) < within.start);
        let seen = places[first..].iter().take_while(|place| place.span.start <= within.end).count();
        let bars = || (first..first + seen).map(|bar| BarId(bar as u32));
        let mut hints = Vec::new();
        if kinds.counts {
            bars().for_each(|bar| self.counts(bar, &mut hints));
        }
        if kinds.pitch {
            bars().for_each(|bar| self.pitches(bar, &mut hints));
        }
        if kinds.phrases {
            bars().for_each(|bar| hints.extend(self.glimpse(bar)));
        }
        if kinds.time {
            hints.extend(self.times(first as u32..(first + seen) as u32));
        }
        hints.retain(|hint| within.touches(hint.at));
        hints.sort_by_key(|hint| hint.at);
        hints
    }

    /// What else there is to say of `hint`, one of this reading's, and the text it is about.
    pub fn explain_hint(&self, hint: &Hint) -> Option<(String, Option<Span>)> {
        match hint.about {
            Subject::Count | Subject::Pitch => None,
            Subject::Bar(bar) => {
                let finding = self.complaint(bar)?;
                Some((format!("{}: {}", finding.place, finding.message), None))
            }
            Subject::Phrase(phrase) => {
                let place = &self.written().source.sections[phrase.index()];
                Some((self.contents(phrase)?.of(self.text()).to_owned(), Some(place.heading)))
            }
        }
    }

    /// What a rule complains of in the time of `bar`.
    fn complaint(&self, bar: BarId) -> Option<&Finding> {
        let span = self.written().source.bars[bar.index()].span;
        let first = self.findings().partition_point(|finding| finding.span.start < span.start);
        let here = self.findings()[first..].iter().take_while(|finding| finding.span.start <= span.end);
        let mut about_time = here.filter(|finding| TIME.contains(&finding.rule.rule().name));
        about_time.find(|finding| finding.about == About::Bar(bar))
    }

    /// The count at the first slot of each group of `bar`.
    fn counts(&self, bar: BarId, hints: &mut Vec<Hint>) {
        let music = self.music();
        let written = &music.tune.bars[bar.index()];
        let frame = music.tune.frame(written);
        let slots = music.source.bars[bar.index()].slots.clone();
        let mut group = None;
        for slot in &music.source.slots[slots.start as usize..slots.end as usize] {
            let onset = slot.onset + written.lead;
            let number = Some(frame.group(onset).number);
            if number != group {
                let text = frame.meter.count(onset);
                hints.push(Hint { at: slot.span.start, text, before: true, about: Subject::Count });
            }
            group = number;
        }
    }

    fn pitches(&self, bar: BarId, hints: &mut Vec<Hint>) {
        let music = self.music();
        let header = &music.tune.header;
        for event in music.tune.events_of(&music.tune.bars[bar.index()]) {
            for (note, span) in event.notes.clone().zip(&music.source.notes[event.notes.start as usize..]) {
                let note = music.tune.notes[note as usize];
                let pitch = header.tuning.sounds(note.string, note.fret, header.capo);
                hints.extend(pitch.map(|pitch| Hint {
                    at: span.end,
                    text: pitch.to_string(),
                    before: false,
                    about: Subject::Pitch,
                }));
            }
        }
    }

    /// The time that those of `bars` lack or have too much of which a rule complains.
    fn times(&self, bars: Range<u32>) -> Vec<Hint> {
        let music = self.music();
        let off = off_time(&music, bars).into_iter().filter(|(bar, _)| self.complaint(*bar).is_some());
        off.map(|(bar, text)| {
            let at = music.source.bars[bar.index()].span.end;
            Hint { at, text, before: false, about: Subject::Bar(bar) }
        })
        .collect()
    }

    /// The start of what the phrase called in `bar` holds.
    fn glimpse(&self, bar: BarId) -> Option<Hint> {
        let music = self.music();
        let BarContent::Phrase { section: Some(phrase), .. } = music.tune.bars[bar.index()].content else {
            return None;
        };
        let contents = self.contents(phrase)?;
        let tokens = music.tree.tokens();
        let first = tokens.partition_point(|token| token.span.start < contents.start);
        let mut text = String::new();
        for token in tokens[first..].iter().take_while(|token| token.span.end <= contents.end) {
            match token.kind {
                TokenKind::Comment => {}
                kind if kind.is_trivia() => text.push_str(if text.ends_with(' ') { "" } else { " " }),
                _ => text.push_str(token.span.of(self.text())),
            }
            if text.chars().count() > GLIMPSE {
                let whole = text.trim_end().rfind(' ').unwrap_or(text.len());
                text.truncate(whole);
                text.push_str(" …");
                break;
            }
        }
        let (at, text) = (music.source.bars[bar.index()].span.end, text.trim_end().to_owned());
        Some(Hint { at, text, before: false, about: Subject::Phrase(phrase) })
    }

    /// The bars of `section`, from its first slot to its last; none where it has none.
    pub(crate) fn contents(&self, section: SectionId) -> Option<Span> {
        let bars = &self.tune().sections[section.index()].bars;
        let places = self.written().source.bars.get(bars.start as usize..bars.end as usize)?;
        Some(places.first()?.span.cover(places.last()?.span))
    }
}

/// The rules that complain of a bar's time.
const TIME: [&str; 2] = ["short-bar", "long-bar"];

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;

    const NONE: HintKinds = HintKinds { counts: false, time: false, pitch: false, phrases: false };

    /// The text with the hints of the `kinds` in it, in angle brackets.
    #[track_caller]
    fn check(kinds: HintKinds, head: &str, music: &str, expected: &str) {
        let text = format!("{head}\n{music}");
        let reading = Reading::new(text.as_str(), &Arc::default());
        let mut shown = text.clone();
        for hint in reading.hints(Span::new(0, text.len() as u32), kinds).iter().rev() {
            shown.insert_str(hint.at as usize, &format!("<{}>", hint.text));
        }
        assert_eq!(shown, format!("{head}\n{expected}"));
    }

    #[test]
    fn counts_stand_where_groups_begin() {
        let counts = HintKinds { counts: true, ..NONE };
        check(
            counts,
            "tune: T\nmeter: 6/8\npart A",
            "1:0 | 3:0- 2:0  1:0 t 2:0 | % | 3:0-----|",
            "<6>1:0 | <1>3:0- 2:0  <4>1:0 t 2:0 | % | <1>3:0--<4>---|",
        );
        check(
            counts,
            "tune: T\nmeter: 4/4\npart A",
            "| {3:0 h2 2:0}/2 2:0 t  3:0- - - |",
            "| {<1>3:0 h2 2:0}/2 <2>2:0 t  <3>3:0- <4>- - |",
        );
    }

    #[test]
    fn bars_with_the_wrong_time_say_so_unless_that_is_kept() {
        let time = HintKinds { time: true, ..NONE };
        check(
            time,
            "tune: T\nmeter: 6/8\npart A",
            "| 3:0 t 2:0  1:0 t | 3:0- - 1:0- - | 3:0- - 1:0- - - - |\n| 3:0 |  # keep short-bar: so\n",
            "| 3:0 t 2:0  1:0 t<1 eighth short> | 3:0- - 1:0- - | 3:0- - 1:0- - - -<2 eighths over> |\n| 3:0 |  # keep short-bar: so\n",
        );
        check(
            time,
            "tune: T\nmeter: 6/8\npart A",
            "1:0 | 3:0- - 2:0- - | 3:0- - 2:0- |",
            "1:0 | 3:0- - 2:0- - | 3:0- - 2:0- |",
        );
    }

    #[test]
    fn every_note_has_a_pitch() {
        let pitch = HintKinds { pitch: true, ..NONE };
        check(
            pitch,
            "tune: T\nmeter: 6/8\ncapo: 2\npart A",
            "| 3:0!- t [2:1 1:2]  5:3 |",
            "| 3:0!<A3>- t<A4> [2:1<D4> 1:2<F#4>]  5:3 |",
        );
    }

    #[test]
    fn a_call_shows_what_it_plays() {
        let phrases = HintKinds { phrases: true, ..NONE };
        let lick = "phrase lick\n| 3:0 t 2:0  # so\n  1:0 t 2:0 | 3:0 t 2:0  1:0 t 2:0 |\n";
        check(
            phrases,
            "tune: T\nmeter: 6/8\npart A",
            &format!("| @lick | @none |\n{lick}"),
            &format!("| @lick<3:0 t 2:0 1:0 t 2:0 | 3:0 t 2:0 1:0 t …> | @none |\n{lick}"),
        );
    }

    #[test]
    fn only_what_is_asked_for_is_given_and_explained() {
        let text = "tune: T\nmeter: 6/8\npart A\n| @l | 3:0 t |\nphrase l\n| 1:0- - 2:0- - |\n";
        let reading = Reading::new(text, &Arc::default());
        let at = |what: &str| text.find(what).unwrap() as u32;
        let hints = |from, to| reading.hints(Span::new(from, to), HintKinds::ALL);
        assert_eq!(hints(0, at("part A")), []);
        let call = hints(at("@l"), at("@l") + 2);
        assert_eq!(call.len(), 1);
        assert_eq!(
            reading.explain_hint(&call[0]),
            Some(("1:0- - 2:0- -".to_owned(), Some(Span::new(at("phrase l"), at("phrase l") + 8))))
        );
        let short = hints(at(" t |") + 2, at(" t |") + 2);
        let said: Vec<&str> = short.iter().map(|hint| hint.text.as_str()).collect();
        assert_eq!(said, ["G4", "4 eighths short"]);
        let (words, place) = reading.explain_hint(&short[1]).unwrap();
        assert!(words.starts_with("part A, bar 2") && words.contains("2 of 6 eighths"), "{words}");
        assert_eq!((place, reading.explain_hint(&short[0])), (None, None));
    }
}
