//! Music in words, for who does not see it.

use std::fmt::Write;

use lope_tune::{Event, EventKind, Frame, How, LabelKind, Note, Tune};

use crate::layout::{Stage, facts};
use crate::score::{Closing, Content, Drawn, Heading, Opening, Score};

/// The tune in a sentence or two.
pub fn about(tune: &Tune, score: &Score) -> String {
    let kind = tune.header.kind.as_deref().map_or_else(|| "A tune".to_owned(), |kind| format!("A {kind}"));
    let meter = tune.bars.first().map(|bar| tune.frame(bar).meter.to_string());
    let meter = meter.map_or_else(String::new, |meter| format!(" in {meter}"));
    let parts = score.bars.iter().filter(|bar| matches!(bar.heading, Some(Heading::Part(_)))).count();
    let (bars, s) = (score.bars.len(), |count: usize| if count == 1 { "" } else { "s" });
    let facts = facts(tune).join(", ");
    format!(
        "{kind}{meter} for five-string banjo, {facts}. {bars} bar{} in {parts} part{}, as tab: the first string is the top line.",
        s(bars),
        s(parts)
    )
}

/// Where a bar is, as a player says it: `part A, bar 3`.
pub fn place(tune: &Tune, score: &Score, at: usize) -> String {
    let drawn = &score.bars[at];
    let heading = score.bars[..=at].iter().rev().find_map(|bar| bar.heading.as_ref());
    let mut said = match heading {
        Some(Heading::Part(name)) => format!("part {name}, "),
        Some(Heading::Phrase(name)) => format!("phrase {name}, "),
        None => String::new(),
    };
    if let Some(ending) = &drawn.ending {
        let _ = write!(said, "ending {}, ", ending.label);
    }
    let pickup = drawn.number == 0 && tune.bars[drawn.bar.index()].lead.is_positive();
    if pickup { said + "pickup" } else { said + &format!("bar {}", drawn.number) }
}

/// Bar number `at` of the score, read aloud.
pub fn bar(stage: &Stage<'_>, at: usize) -> String {
    let (tune, drawn) = (stage.tune, &stage.score.bars[at]);
    let mut said = place(tune, stage.score, at);
    said.push_str(": ");
    if drawn.opens == Opening::Repeat {
        said.push_str("repeat from here; ");
    }
    match &drawn.content {
        Content::Again => said.push_str("the bar before once more"),
        Content::Gap(words) if words.is_empty() => said.push_str("nothing can be read"),
        Content::Gap(words) => {
            let _ = write!(said, "{words} cannot be read");
        }
        Content::Slots => slots(tune, drawn, &mut said),
    }
    match drawn.closes {
        Closing::Repeat(2) => said.push_str("; repeat"),
        Closing::Repeat(times) => {
            let _ = write!(said, "; played {times} times");
        }
        Closing::End => said.push_str("; end"),
        Closing::Plain | Closing::Double => {}
    }
    said
}

fn slots(tune: &Tune, drawn: &Drawn, said: &mut String) {
    let bar = &tune.bars[drawn.bar.index()];
    let frame = tune.frame(bar);
    let first = tune.labels.partition_point(|label| label.bar < drawn.bar);
    let mut labels = tune.labels[first..].iter().take_while(|label| label.bar == drawn.bar).peekable();
    for (at, event) in tune.events_of(bar).iter().enumerate() {
        if at > 0 {
            said.push_str("; ");
        }
        while let Some(label) = labels.next_if(|label| label.onset <= event.onset) {
            let _ = match label.kind {
                LabelKind::Words => write!(said, "“{}”: ", label.text),
                LabelKind::Chord => write!(said, "{} chord: ", label.text),
            };
        }
        self::event(tune, frame, event, said);
    }
}

fn event(tune: &Tune, frame: &Frame, event: &Event, said: &mut String) {
    match event.kind {
        EventKind::Silence => said.push_str("silence"),
        EventKind::Ring => said.push_str("ring on"),
        EventKind::Notes => notes(tune.notes_of(event), said),
    }
    let (slots, rest) = event.length.divide(frame.unit);
    if slots > 1 && rest == lope_tune::Duration::ZERO {
        let _ = write!(said, " for {slots}");
    }
}

fn notes(notes: &[Note], said: &mut String) {
    let mut last = None;
    for (at, note) in notes.iter().enumerate() {
        if at > 0 {
            said.push_str(" and ");
        }
        if last != Some(note.how) {
            said.push_str(match note.how {
                How::Strike if notes.len() > 1 => "brush ",
                How::Strike => "strike ",
                How::Thumb => "thumb ",
                How::Hammer => "hammer on ",
                How::Pull => "pull off to ",
                How::Slide => "slide to ",
            });
        }
        last = Some(note.how);
        self::note(note, said);
    }
}

fn note(note: &Note, said: &mut String) {
    let string = match note.string {
        1 => "first string",
        2 => "second string",
        3 => "third string",
        4 => "fourth string",
        5 => "the drone",
        _ => "a string that is not there",
    };
    let _ = match (note.string, note.fret) {
        (5, 0) => write!(said, "the drone"),
        (_, 0) => write!(said, "open {string}"),
        (_, u8::MAX) => write!(said, "{string} at no fret"),
        (_, fret) => write!(said, "{string} fret {fret}"),
    };
    let marks = note.marks;
    for (has, words) in
        [(marks.accent, " accented"), (marks.vibrato, " with vibrato"), (marks.choke, " choked")]
    {
        if has {
            said.push_str(words);
        }
    }
}
