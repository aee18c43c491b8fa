//! Melodies, which are written in pitches and not played.

use lope_syntax::TokenKind;
use lope_tune::MelodyPart;

use super::{Hover, Look, count};
use crate::scale::Scale;

/// What there is to say of the text of `melody`: its heading and its pitches.
pub fn hover(look: Look<'_>, melody: &MelodyPart) -> Option<Hover> {
    if melody.heading().touches(look.token.span.start) && look.token.kind != TokenKind::LineBreak {
        let bars = count(melody.tune.bars.len(), "bar");
        let lines = vec![
            format!("{bars} of melody, not played"),
            "an action here turns it into tab, and so does lope arrange".to_owned(),
        ];
        return Some(Hover {
            span: melody.heading(),
            title: format!("melody {}", melody.name()),
            lines,
            drawing: Vec::new(),
        });
    }
    let source = &melody.source;
    let slot = source.slots.iter().find(|slot| slot.span.cover(look.token.span) == slot.span)?;
    let pitch = melody.pitch(slot.event)?;
    let bar = source.bars.iter().position(|bar| bar.span.touches(slot.span.start))?;
    let written = &melody.tune.bars[bar];
    let meter = melody.tune.frame(written).meter;
    let title = format!(
        "melody {}, bar {}, count {}",
        melody.name(),
        source.bars[bar].number,
        meter.count(slot.onset + written.lead)
    );
    let mut lines = vec![Scale::of(look.music.tune).pitch_name(pitch)];
    if melody.settled(slot.event).is_some() {
        lines.push("played just so when this becomes tab".to_owned());
    }
    Some(Hover { span: slot.span, title, lines, drawing: Vec::new() })
}

#[cfg(test)]
mod tests {
    use super::super::testing::check;

    const TUNE: &str = "tune: T\nmeter: 6/8\n\nmelody A\nd4 | g4- b4  a4 f#4 1:0/i |\n";

    #[test]
    fn a_melody_says_what_it_is_and_its_pitches_what_they_are() {
        check(
            TUNE,
            "melody A",
            &[
                "\"melody A\" melody A",
                "2 bars of melody, not played",
                "an action here turns it into tab, and so does lope arrange",
            ],
        );
        check(TUNE, "f#4", &["\"f#4\" melody A, bar 1, count 5", "F#4"]);
        let just_so = "played just so when this becomes tab";
        check(TUNE, "/i", &["\"1:0/i\" melody A, bar 1, count 6", "D4", just_so]);
    }
}
