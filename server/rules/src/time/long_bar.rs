use lope_syntax::{Span, TokenKind};
use lope_tune::{BarId, Duration, Moment};

use super::fill::{Bars, Odd};
use super::group::is_in_brace;
use super::note_value::NoteValue;
use crate::{About, Edit, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "long-bar",
    level: Some(Level::Warning),
    family: Family::Time,
    page: Page {
        finds: "A bar with more time than its meter has.",
        why: "The count goes on past the end of the bar, and everything after it comes late. Often it is \
              the bar line that slipped: where the bar beside it lacks just as much, this one finding \
              stands for both.",
        example: Example {
            bad: "\
tune: The Overloaded Skiff
meter: 6/8

part A
| 3:0 t 2:0  1:0 t 2:0  2:1 | t 1:2  1:0 t 1:2 |
",
            good: "\
tune: The Overloaded Skiff
meter: 6/8

part A
| 3:0 t 2:0  1:0 t 2:0 | 2:1 t 1:2  1:0 t 1:2 |
",
        },
        mend: "Moves the bar line, where the bar beside it lacks as much as this one has too much. The \
               notes stay in their order; what follows comes sooner, because the short bar was played at \
               its full length before.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    // No pickup excuses a bar that is too long, so most tunes are done with at a glance.
    let bars = Bars::of(music);
    if !bars.uneven().any(|(_, filled, full)| filled > full) {
        return;
    }
    for odd in bars.odd().filter(|odd| !odd.missing().is_positive()) {
        let unit = music.tune.frame(&music.tune.bars[odd.bar.index()]).unit;
        let value = NoteValue::of(unit, &[odd.filled, odd.full]);
        let (filled, full) = (value.count(odd.filled), value.count(odd.full));
        let mut message = format!("this bar has {filled} {}, and {full} fill it", value.name(filled));
        if let Some(beside) = odd.beside {
            let which = if beside > odd.bar { "next" } else { "last" };
            message += &format!("; the {which} bar lacks as many, so the bar line between them slipped");
        }
        let finding = report.bar(music, odd.bar, message);
        if let Some(span) = beyond(music, &odd) {
            finding.mark(span);
            finding.place = music.place_in_bar(odd.bar, Moment::START + odd.full);
        }
    }
}

/// The slots of `odd` that its meter has no room for; none where the bar line would cut one in two.
fn beyond(music: &Music, odd: &Odd) -> Option<Span> {
    let first = slot_at(music, odd.bar, odd.full)?;
    let last = music.source.bars[odd.bar.index()].slots.end - 1;
    Some(music.source.slots[first as usize].span.cover(music.source.slots[last as usize].span))
}

/// The slot of `bar` that begins `after` its start.
fn slot_at(music: &Music, bar: BarId, after: Duration) -> Option<u32> {
    let mut slots = music.source.bars[bar.index()].slots.clone();
    slots.find(|slot| music.source.slots[*slot as usize].onset.since_start() == after)
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let About::Bar(bar) = finding.about else { return Vec::new() };
    Bars::of(music).judge(bar).and_then(|odd| move_line(music, &odd)).into_iter().collect()
}

/// Moves the bar line between `odd` and the bar that lacks what it has too much.
fn move_line(music: &Music, odd: &Odd) -> Option<Mend> {
    let beside = odd.beside?;
    let excess = odd.filled - odd.full;
    let (left, after, way) =
        if beside > odd.bar { (odd.bar, odd.full, "back") } else { (beside, excess, "on") };
    let cut = cut_before(music, odd.bar, slot_at(music, odd.bar, after)?);
    if is_in_brace(music, odd.bar, cut) {
        return None;
    }
    let mut edits = take_out_line(music, left);
    edits.push(put_line(music, cut));
    edits.sort_by_key(|edit| edit.span);
    let unit = music.tune.frame(&music.tune.bars[odd.bar.index()]).unit;
    let title = format!("move the bar line {way} by {}", NoteValue::of(unit, &[excess]).say(excess));
    Some(Mend::risky(title, edits))
}

/// The place before `slot` of `bar` where a bar line belongs: before the words, the chord symbol and the
/// brace it begins with.
fn cut_before(music: &Music, bar: BarId, slot: u32) -> u32 {
    let mut cut = music.source.slots[slot as usize].span.start;
    let start = music.source.bars[bar.index()].span.start;
    let tokens = music.tree.tokens();
    let before = &tokens[..tokens.partition_point(|token| token.span.start < cut)];
    for token in before.iter().rev().take_while(|token| token.span.start >= start) {
        match token.kind {
            TokenKind::Blank => {}
            TokenKind::Words | TokenKind::Chord | TokenKind::BraceOpen => cut = token.span.start,
            _ => break,
        }
    }
    cut
}

/// Puts a bar line before the slot at `cut`, in the place of the blanks there; at the start of a line the
/// blanks are an indent and stay.
fn put_line(music: &Music, cut: u32) -> Edit {
    let before = music.text[..cut as usize].trim_end_matches([' ', '\t']);
    if before.ends_with(['\n', '\r']) {
        return Edit::insert(cut, "| ");
    }
    Edit::replace(Span::new(before.len() as u32, cut), " | ")
}

/// Takes out every bar line between `left` and the bar after it, each with the blanks before it. Comments
/// and line breaks stay.
fn take_out_line(music: &Music, left: BarId) -> Vec<Edit> {
    let bars = &music.source.bars;
    let (start, end) = (bars[left.index()].span.end, bars[left.index() + 1].span.start);
    let tokens = music.tree.tokens();
    let first = tokens.partition_point(|token| token.span.start < start);
    let between = tokens[first..].iter().take_while(|token| token.span.start < end);
    let mut before = Span::empty(start);
    let mut edits = Vec::new();
    for token in between {
        if token.kind == TokenKind::BarLine {
            let is_glued = before.is_empty() && token.span.end == end;
            edits.push(Edit::replace(before.cover(token.span), if is_glued { " " } else { "" }));
        }
        before = if token.kind == TokenKind::Blank { token.span } else { Span::empty(token.span.end) };
    }
    edits
}

#[cfg(test)]
mod tests;
