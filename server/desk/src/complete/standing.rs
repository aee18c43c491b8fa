//! Where in the music a cursor is: the count, what the hand is about to do, and what both hands left behind.

use std::ops::Range;

use lope_hand::Strings;
use lope_rules::Music;
use lope_syntax::{Span, Token, TokenKind};
use lope_tune::{BarId, EventId, Frame, Gait, LabelKind, Moment, Section, SectionKind, Stroke};

use super::wake::Wake;
use crate::chord::Chord;

/// How many bars back the hands are followed: what they did before that is past.
const BARS_BACK: u32 = 4;

/// Where in the music a cursor is.
pub struct Standing<'a> {
    /// The tune.
    pub music: &'a Music<'a>,
    /// The frame in force.
    pub frame: Frame,
    /// The place in the bar, counted from its count 1; none in a brace that does not close yet, since what
    /// its slots last is not known.
    pub place: Option<Moment>,
    /// What the gait has there.
    pub stroke: Stroke,
    /// Whether nothing stands before it in the bar.
    pub opens_bar: bool,
    /// Whether a bar of its section stands before it.
    pub has_bar_before: bool,
    /// In a brush: the strings that are in it already.
    pub brush: Option<Strings>,
    /// The event before it in its section, in its bar or in one before.
    pub before: Option<EventId>,
    /// The chord symbol in force.
    pub chord: Option<Chord>,
    /// What the hands left behind.
    pub wake: Wake,
}

impl<'a> Standing<'a> {
    /// Where the word at `word` is.
    pub fn at(music: &'a Music<'a>, word: Span) -> Self {
        let tokens = music.tree.tokens();
        let number = tokens.partition_point(|token| token.span.start < word.start);
        let first = tokens[..number].iter().rposition(ends_bar).map_or(0, |found| found + 1);
        let last = tokens[number..].iter().position(ends_bar).map_or(tokens.len(), |found| number + found);
        let from = tokens[..first].last().map_or(0, |token| token.span.end);
        let to = tokens.get(last).map_or(u32::MAX, |token| token.span.start);

        let bars = &music.source.bars;
        let next = bars.partition_point(|bar| bar.span.start < from);
        let here = bars.get(next).filter(|bar| bar.span.start < to).map(|_| next);
        let frame = frame(music, here, next, word.start);
        let lead = here.map_or(lope_tune::Duration::ZERO, |bar| music.tune.bars[bar].lead);

        let slots = &music.source.slots;
        let done = slots.partition_point(|slot| slot.span.end <= word.start);
        let before = slots[..done].last().filter(|slot| from <= slot.span.start);
        let onset = before.map_or(Moment::START, |slot| slot.onset + slot.length);
        let place = onset + lead;

        let open = open_groups(&tokens[first..number]);
        let brace = open.iter().rfind(|open| open.kind == TokenKind::BraceOpen);
        let open_brace = brace.filter(|_| !closes_brace(&tokens[number..last]));
        let stroke = match open_brace {
            // Most braces that are begun become runs.
            Some(open) => {
                let inside = slots[..done].iter().rev().take_while(|slot| open.span.start < slot.span.start);
                Gait::three(frame.unit).stroke(inside.count() as u64)
            }
            None => stroke(music, here, &frame, onset, place),
        };
        let in_brush = open.last().is_some_and(|open| open.kind == TokenKind::BrushOpen);
        let section = music.source.sections.iter().rposition(|place| place.heading.end <= word.start);
        let events = music.source.events.partition_point(|slot| (*slot as usize) < done) as u32;
        let walked =
            section.map(|section| bars_before(music, section, next as u32 + u32::from(here.is_some())));
        Self {
            music,
            frame,
            place: open_brace.is_none().then_some(place),
            stroke,
            opens_bar: before.is_none() && open.is_empty(),
            has_bar_before: section
                .is_some_and(|section| music.tune.sections[section].bars.start < next as u32),
            brush: in_brush.then(|| strings_in(music, &tokens[first..last], word)),
            before: last_event(music, section, done),
            chord: chord(music, here.unwrap_or(next), onset),
            wake: Wake::after(music, &walked.unwrap_or_default(), events),
        }
    }

    /// Whether the bar has all its time.
    pub fn is_full(&self) -> bool {
        self.place.is_some_and(|place| Moment::START + self.frame.meter.bar() <= place)
    }

    /// The count, where it has a name of its own.
    pub fn count(&self) -> Option<String> {
        let count = self.frame.meter.count(self.place?);
        (!count.starts_with("after") && !self.is_full()).then_some(count)
    }

    /// Whether the left hand gets to `fret` from where it is; from nowhere, to the frets of the first position.
    pub fn reaches(&self, fret: u8) -> bool {
        let capo = self.music.tune.header.capo;
        let at = |fret: u8| fret.saturating_add(capo);
        match self.wake.held() {
            _ if fret == 0 => true,
            None => fret <= 5,
            Some(held) => {
                let reach = self.music.neck.reach_mm(at(held.start.min(fret)), at(held.end.max(fret)));
                reach <= self.music.neck.widest_mm
            }
        }
    }
}

/// The event of the last of the first `done` slots, where that is in the section numbered `section`.
fn last_event(music: &Music, section: Option<usize>, done: usize) -> Option<EventId> {
    let heading = music.source.sections[section?].heading;
    let slot = music.source.slots[..done].last()?;
    (heading.end <= slot.span.start).then_some(slot.event)
}

/// What begins or ends a bar.
const fn ends_bar(token: &Token) -> bool {
    use TokenKind::{BarLine, FieldText, Name, Passes, Times};
    token.kind.is_heading() || matches!(token.kind, BarLine | Name | Times | Passes | FieldText)
}

/// The frame in force at `at`: that of the bar `here`, or of the one before number `next`, unless a field
/// stands between.
fn frame(music: &Music, here: Option<usize>, next: usize, at: u32) -> Frame {
    let tune = music.tune;
    let bar = here.or(next.checked_sub(1)).map(|bar| &tune.bars[bar]);
    let mut frame = bar.map_or(0, |bar| bar.frame as usize);
    if here.is_none() {
        let fields = |place: &lope_tune::FramePlace| [place.meter, place.gait, place.tempo];
        let above =
            |place: &lope_tune::FramePlace| fields(place).into_iter().flatten().any(|span| span.end <= at);
        let changed = |number: &usize| {
            fields(&music.source.frames[*number]) != fields(&music.source.frames[number - 1])
        };
        let mut later = (frame + 1..tune.frames.len()).filter(changed);
        frame = later.rfind(|number| above(&music.source.frames[*number])).unwrap_or(frame);
    }
    tune.frames.get(frame).copied().unwrap_or_default()
}

fn stroke(music: &Music, here: Option<usize>, frame: &Frame, onset: Moment, place: Moment) -> Stroke {
    let of_bar = |run: &&lope_tune::Run| Some(run.bar.index()) == here;
    let runs = music.tune.runs.iter().filter(of_bar);
    let run = runs.rev().find(|run| run.start <= onset && onset < run.start + run.slot.times(run.slots));
    match run {
        Some(run) => Gait::three(run.slot).at(Moment::START + (onset - run.start)).0,
        None => frame.gait.at(place).0,
    }
}

/// The braces and brushes among `tokens` that are not closed there.
fn open_groups(tokens: &[Token]) -> Vec<Token> {
    let mut open = Vec::new();
    for token in tokens {
        match token.kind {
            TokenKind::BraceOpen | TokenKind::BrushOpen => open.push(*token),
            TokenKind::BraceClose | TokenKind::BrushClose => {
                open.pop();
            }
            _ => {}
        }
    }
    open
}

/// Whether a brace that is open before `tokens` closes among them.
fn closes_brace(tokens: &[Token]) -> bool {
    let mut depth = 0_u32;
    tokens.iter().any(|token| {
        match token.kind {
            TokenKind::BraceOpen => depth += 1,
            TokenKind::BraceClose if depth == 0 => return true,
            TokenKind::BraceClose => depth -= 1,
            _ => {}
        }
        false
    })
}

/// The strings of the brush around `word`, less its own.
fn strings_in(music: &Music, tokens: &[Token], word: Span) -> Strings {
    let is_edge = |kind: TokenKind| matches!(kind, TokenKind::BrushOpen | TokenKind::BrushClose);
    let at = tokens.partition_point(|token| token.span.start < word.start);
    let before = tokens[..at].iter().rev().take_while(|token| !is_edge(token.kind));
    let after = tokens[at..].iter().take_while(|token| !is_edge(token.kind));
    let beside = before.chain(after).filter(|token| token.kind == TokenKind::Note && token.span != word);
    let string = |token: &Token| token.span.of(music.text).split(':').next()?.parse().ok();
    beside.filter_map(string).fold(Strings::NONE, Strings::with)
}

/// The bars played before number `next` as far as its section tells: its own, and for an ending those of its
/// part.
fn bars_before(music: &Music, section: usize, next: u32) -> Vec<Range<u32>> {
    let own = |section: &Section| {
        let end = section.bars.end.min(next);
        section.bars.start.max(end.saturating_sub(BARS_BACK))..end
    };
    let section = &music.tune.sections[section];
    let part = match section.kind {
        SectionKind::Ending { of, .. } => Some(own(&music.tune.sections[of.index()])),
        _ => None,
    };
    part.into_iter().chain([own(section)]).collect()
}

/// The chord symbol in force at `onset` of the bar numbered `bar`.
fn chord(music: &Music, bar: usize, onset: Moment) -> Option<Chord> {
    let here = (BarId(bar as u32), onset);
    let labels = music.tune.labels.iter().filter(|label| label.kind == LabelKind::Chord);
    Chord::parse(labels.rev().find(|label| (label.bar, label.onset) <= here)?.text.trim())
}
