//! Bars: their lines and the gaps in them, bars that are played again, and calls of phrases.

use lope_syntax::{Span, TokenKind};
use lope_tune::{Bar, BarContent, BarId, Duration, Moment, SectionKind, Stroke};

use super::heading::{after_section, called, tab_of};
use super::passing::{bar_time, filled};
use super::{Hover, Look, count, drawing};

/// What there is to say of a bar line: the bar that ends there and what is played next, or what begins.
pub fn line(look: Look<'_>) -> Option<Hover> {
    let bars = &look.music.source.bars;
    let first = first_of_row(look);
    let Some(closed) = bars.iter().rposition(|bar| bar.close == first) else {
        let first = bars.iter().position(|bar| bar.span.start >= look.token.span.end)?;
        return Some(
            look.said(
                look.music.place_of_bar(BarId(first as u32)).to_string(),
                vec!["begins here".to_owned()],
            ),
        );
    };
    let id = BarId(closed as u32);
    let bar = &look.music.tune.bars[closed];
    let frame = look.music.tune.frame(bar);
    let time = (bar.content == BarContent::Slots).then(|| bar_time(bar, frame));
    let drawing = match bar.content {
        BarContent::Slots => drawing::stretch(&look.music, id, Moment::START, end_of(bar, frame.meter.bar())),
        _ => Vec::new(),
    };
    let lines = time.into_iter().chain(next(look, id)).collect();
    let title = format!("{} ends here", look.music.place_of_bar(id));
    Some(Hover { drawing, ..look.said(title, lines) })
}

/// The first of several bar lines with nothing between them, which are one bar line.
fn first_of_row(look: Look<'_>) -> Span {
    let before = look.music.tree.tokens()[..look.number].iter().rev();
    let row = before.take_while(|token| token.kind.is_trivia() || token.kind == TokenKind::BarLine);
    let lines = row.filter(|token| token.kind == TokenKind::BarLine);
    lines.last().unwrap_or(&look.token).span
}

/// When the time of `bar` is over, counted from its first slot: the time of a whole bar is `full`.
fn end_of(bar: &Bar, full: Duration) -> Moment {
    Moment::START + bar.length.max(full - bar.lead)
}

/// What is played after `bar`.
fn next(look: Look<'_>, bar: BarId) -> Vec<String> {
    let tune = look.music.tune;
    let place = &look.music.source.bars[bar.index()];
    if bar.0 + 1 < tune.sections[place.section.index()].bars.end {
        return vec![format!("then bar {}", look.music.source.bars[bar.index() + 1].number)];
    }
    after_section(tune, place.section)
}

/// What there is to say of `%`: the bar that is played again.
pub fn again(look: Look<'_>) -> Option<Hover> {
    let (tune, source) = (look.music.tune, look.music.source);
    let at = source.bars.iter().position(|bar| bar.span.touches(look.token.span.start))?;
    let title = look.music.place_of_bar(BarId(at as u32)).to_string();
    let repeated = (0..at).rev().find(|before| tune.bars[*before].content != BarContent::Again);
    let Some(repeated) = repeated else {
        return Some(look.said(title, vec!["the bar before again, but there is none".to_owned()]));
    };
    let id = BarId(repeated as u32);
    let bar = &tune.bars[repeated];
    Some(match &bar.content {
        BarContent::Phrase { name, .. } => {
            look.said(title, vec![format!("the last bar of phrase {name} again")])
        }
        _ => Hover {
            drawing: drawing::stretch(
                &look.music,
                id,
                Moment::START,
                end_of(bar, tune.frame(bar).meter.bar()),
            ),
            ..look.said(title, vec![format!("the whole of {} again", look.music.place_of_bar(id))])
        },
    })
}

/// What there is to say of a call: what the phrase holds.
pub fn call(look: Look<'_>) -> Option<Hover> {
    let name = look.text().trim_start_matches('@');
    let sections = &look.music.tune.sections;
    let is_it = |kind: &SectionKind| *kind == SectionKind::Phrase;
    let title = format!("phrase {name}");
    let Some(phrase) = sections.iter().position(|section| section.name == name && is_it(&section.kind))
    else {
        return Some(look.said(title, vec!["there is no phrase of that name".to_owned()]));
    };
    let bars = count(sections[phrase].bars.len(), "bar");
    let lines = vec![format!("{bars}, {}", called(look.music.tune, name))];
    Some(Hover { drawing: tab_of(&look.music, phrase), ..look.said(title, lines) })
}

/// What there is to say of a gap in a bar: how much has gone by, and what the hand does next.
pub fn gap(look: Look<'_>) -> Option<Hover> {
    let (tune, source) = (look.music.tune, look.music.source);
    let at = look.token.span.start;
    let number = source.bars.partition_point(|bar| bar.span.start <= at).checked_sub(1)?;
    let (bar, place) = (&tune.bars[number], &source.bars[number]);
    if at > place.close.end.max(place.span.end) - u32::from(!place.close.is_empty()) || is_of_field(look) {
        return None;
    }
    let slots = &source.slots[place.slots.start as usize..place.slots.end as usize];
    let gone = slots[..slots.partition_point(|slot| slot.span.end <= at)].last();
    let gone = gone.map_or(Moment::START, |slot| slot.onset + slot.length);
    let frame = tune.frame(bar);
    if bar.content != BarContent::Slots || slots.is_empty() {
        return None;
    }
    let full = frame.meter.bar() - bar.lead;
    let so_far = format!("{} have gone by", filled(gone.since_start(), full, frame));
    let title = look.music.place_of_bar(BarId(number as u32)).to_string();
    if Moment::START + full <= gone {
        return Some(look.said(title, vec![so_far]));
    }
    let place = gone + bar.lead;
    let does = match frame.gait.at(place).0 {
        Stroke::Fall => "the hand falls",
        Stroke::Rise => "the hand rises",
        Stroke::Between => "the hand is between two of its strokes",
    };
    let next = format!("next, on count {}, {does}", frame.meter.count(place));
    let drawing = drawing::group(&look.music, BarId(number as u32), gone);
    Some(Hover { drawing, ..look.said(title, vec![so_far, next]) })
}

/// Whether the blank is in the line of a field that stands between slots.
fn is_of_field(look: Look<'_>) -> bool {
    let before = look.music.tree.tokens()[..look.number].iter().rev();
    let mut line = before.take_while(|token| token.kind != TokenKind::LineBreak);
    line.any(|token| token.kind == TokenKind::FieldName)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, hover, jig};

    const TUNE: &str = "\
tune: T
meter: 6/8

part A x2
1:0 | 3:0 t 3:0  3:0- |
  ending 1
  | 2:0-- 2:0- |
  ending 2
  | 2:0-- 1:0- |

part B
| @lick | % | 3:0-- 3:0-- |
| % |

phrase lick
| 1:0 t 1:2  1:0 t 2:0
";

    #[test]
    fn a_bar_line_tells_what_ends_and_what_comes_next() {
        let drawing = ["count  6", "gait   x", "hand   ▼", "tab    1:0"];
        check(
            TUNE,
            "| 3:0 t",
            &[&["\"|\" part A, pickup ends here", "bar: 1 of 1 eighth", "then bar 1"][..], &drawing].concat(),
        );
        let lines = |marked: &str| hover(TUNE, marked).lines;
        assert_eq!(lines("|\n  ending 1"), ["bar: 5 of 6 eighths", "time 1: ending 1", "time 2: ending 2"]);
        assert_eq!(lines("|\n  ending 2")[1..], ["then part A again"]);
        assert_eq!(lines("|\n\npart B")[1..], ["then part B"]);
        assert_eq!(lines("| % |\n\n"), ["bar: 6 of 6 eighths", "then bar 4"]);
        assert_eq!(lines("|\n\nphrase"), ["then the tune is over"]);
        check(TUNE, "| @lick", &["\"|\" part B, bar 1", "begins here"]);
    }

    #[test]
    fn what_is_played_again_is_shown() {
        assert_eq!(hover(TUNE, "% | 3").lines, ["the last bar of phrase lick again"]);
        let again = hover(TUNE, "% |\n");
        assert_eq!(again.lines, ["the whole of part B, bar 3 again"]);
        assert_eq!(again.drawing[3], "tab    3:0  -  -  3:0  -  -");
        check(TUNE, "@lick", &["\"@lick\" phrase lick", "1 bar, called once", "| 1:0 t 1:2  1:0 t 2:0"]);
        check(&jig("| @none |"), "@none", &["\"@none\" phrase none", "there is no phrase of that name"]);
    }

    #[test]
    fn a_gap_tells_how_far_the_bar_has_come() {
        check(
            &jig("| 3:0 t 3:0  2:0 |"),
            " 2:0",
            &[
                "\"  \" part A, bar 1",
                "3 of 6 eighths have gone by",
                "next, on count 4, the hand falls",
                "count  [4]  5  6",
                "gait   x    .  x",
                "hand   ▼    △  ▽",
                "tab    2:0",
            ],
        );
        let full = jig("| 3:0-- 2:0--  |");
        assert_eq!(hover(&full, " |\n").lines, ["6 of 6 eighths have gone by"]);
    }
}
