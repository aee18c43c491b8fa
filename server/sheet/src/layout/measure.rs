//! How much room a bar takes.

use std::ops::Range;

use lope_tune::{Duration, Event, EventKind, Moment, Note, Tune};

use super::style::{
    BAR_LEFT, COLUMN_AIR, EIGHTH, FINGER, FRET_AIR, GROWTH, METER, REPEAT, SLUR, STEP_LEAST, fret_width,
    meter_width,
};
use crate::font;
use crate::frame::Face;
use crate::score::{Closing, Content, Contents, Drawn, Opening};

/// A bar, or a piece of one that is too long for a line, and the room it takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// The bar's place in the score.
    pub drawn: usize,
    /// Its columns: one for each event of the bar that it has.
    pub columns: Range<usize>,
    /// Whether it is the start of its bar.
    pub first: bool,
    /// Whether it is the end of its bar.
    pub last: bool,
    /// From its left edge to its first column.
    pub left: f32,
    /// From each column to the next, and from the last to the right edge.
    pub gaps: Vec<Gap>,
    /// What the sign at its end takes.
    pub right: f32,
}

/// The room between two columns.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// What it takes at least.
    pub least: f32,
    /// What it takes when there is neither too much nor too little room; at least the least.
    pub natural: f32,
}

/// How far a column reaches to the left and to the right.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Reach {
    /// To the left.
    pub left: f32,
    /// To the right.
    pub right: f32,
}

impl Measure {
    /// The room that `drawn` takes, whose number in the score is `number`; `shows_meter` where its meter is
    /// written before it.
    pub fn of(tune: &Tune, number: usize, drawn: &Drawn, contents: &Contents, shows_meter: bool) -> Self {
        let mut left = BAR_LEFT;
        left += if drawn.opens == Opening::Repeat { REPEAT } else { 0.0 };
        let meter = tune.frames[drawn.frame as usize].meter;
        left += if shows_meter { METER + meter_width(meter) } else { 0.0 };
        let right = match drawn.closes {
            Closing::Plain => 0.0,
            Closing::Double => 3.0,
            Closing::End => 5.0,
            Closing::Repeat(_) => REPEAT,
        };
        let mut measure =
            Self { drawn: number, columns: 0..0, first: true, last: true, left, gaps: Vec::new(), right };
        let words = match &drawn.content {
            Content::Slots => {
                measure.fill(tune, drawn, contents);
                return measure;
            }
            Content::Again => 26.0,
            Content::Gap(words) => font::width(Face::Italic, 8.0, words).min(120.0) + 24.0,
        };
        measure.gaps.push(Gap { least: words, natural: words * 1.3 });
        measure
    }

    fn fill(&mut self, tune: &Tune, drawn: &Drawn, contents: &Contents) {
        let bar = &tune.bars[drawn.bar.index()];
        let events = tune.events_of(bar);
        self.columns = 0..events.len();
        let mut reach = Reach::default();
        let mut steps = contents.steps();
        for (at, event) in events.iter().enumerate() {
            let before = reach;
            reach = Reach::of(tune, event);
            if at == 0 {
                self.left += reach.left;
            } else if let Some(gap) = self.gaps.last_mut() {
                let slurs = tune.notes_of(event).iter().any(|note| note.how.is_slur());
                let touch = before.right + reach.left;
                let letter = font::width(Face::Regular, SLUR, "SL") + 5.0;
                let slur = if slurs { letter.max(touch + 5.5) } else { 0.0 };
                gap.least = gap.least.max(touch + COLUMN_AIR).max(slur);
                gap.natural = gap.natural.max(gap.least);
            }
            let end = events.get(at + 1).map_or(Moment::START + bar.length, |next| next.onset);
            let least = steps.least(event.onset, end);
            self.gaps.push(Gap { least, natural: least.max(natural(end - event.onset)) });
        }
        if let Some(last) = self.gaps.last_mut() {
            last.least = last.least.max(reach.right + 4.0);
            last.natural = last.natural.max(last.least);
        }
    }

    /// Cuts it into pieces that are at most `widest` wide at their least.
    pub fn pieces(self, widest: f32) -> Vec<Self> {
        let least: f32 = self.gaps.iter().map(|gap| gap.least).sum();
        if self.left + least + self.right <= widest || self.columns.len() < 2 {
            return vec![self];
        }
        let mut pieces = Vec::new();
        let mut first = 0;
        let (mut left, mut natural) = (self.left, 0.0);
        for (at, gap) in self.gaps.iter().enumerate() {
            if at > first && left + natural + gap.natural + self.right > widest {
                pieces.push(self.piece(first..at));
                (first, left, natural) = (at, BAR_LEFT, 0.0);
            }
            natural += gap.natural;
        }
        pieces.push(self.piece(first..self.gaps.len()));
        pieces
    }

    fn piece(&self, columns: Range<usize>) -> Self {
        let (first, last) = (columns.start == 0, columns.end == self.gaps.len());
        Self {
            drawn: self.drawn,
            first,
            last,
            left: if first { self.left } else { BAR_LEFT + 3.0 },
            gaps: self.gaps[columns.clone()].to_vec(),
            right: if last { self.right } else { 0.0 },
            columns,
        }
    }
}

impl Reach {
    /// How far the frets of `event` reach, and what stands beside them.
    pub fn of(tune: &Tune, event: &Event) -> Self {
        let notes = tune.notes_of(event);
        let ends = (0..notes.len()).map(|at| aside(notes, at) + fret_width(notes[at].fret) / 2.0);
        let widest = notes.iter().map(|note| fret_width(note.fret)).fold(0.0, f32::max);
        let (half, right) = match event.kind {
            EventKind::Notes => (widest / 2.0 + FRET_AIR, ends.fold(0.0, f32::max) + FRET_AIR),
            EventKind::Silence => (4.0, 4.0),
            EventKind::Ring => (2.0, 2.0),
        };
        let fingers = notes.iter().any(|note| note.marks.finger.is_some());
        let right = right + if fingers { font::width(Face::Italic, FINGER, "m") } else { 0.0 };
        let chokes = notes.iter().any(|note| note.marks.choke);
        let left = half + if is_brushed(notes) { 4.6 } else { 0.0 };
        Self { left, right: right + if chokes { 4.0 } else { 0.0 } }
    }
}

/// How far aside the fret of note number `at` stands, because others before it are on its string.
pub fn aside(notes: &[Note], at: usize) -> f32 {
    let string = |note: &Note| note.string.clamp(1, 5);
    let mut before = notes[..at].iter().filter(|note| string(note) == string(&notes[at])).peekable();
    let Some(first) = before.peek().map(|note| fret_width(note.fret)) else { return 0.0 };
    // A sign beside a fret reaches up to the string above.
    let signs = notes.iter().map(beside).fold(0.0, f32::max);
    let widths: f32 = before.map(|note| fret_width(note.fret) + 2.0 * FRET_AIR + signs).sum();
    widths + (fret_width(notes[at].fret) - first) / 2.0
}

/// How much room the signs right of a fret take: its finger, or its choke.
pub fn beside(note: &Note) -> f32 {
    let finger = if note.marks.finger.is_some() { font::width(Face::Italic, FINGER, "m") } else { 0.0 };
    let choke = if note.marks.choke { 4.0 } else { 0.0 };
    finger.max(choke)
}

/// Whether `notes` are sounded by one stroke over several strings.
pub fn is_brushed(notes: &[Note]) -> bool {
    notes.iter().filter(|note| note.how == lope_tune::How::Strike).count() > 1
}

/// The room for something that lasts `length` in a line that is neither stretched nor pressed.
fn natural(length: Duration) -> f32 {
    let eighths = length.numerator() as f32 / length.denominator() as f32 * 8.0;
    // Longer than two whole notes, nothing more is seen of it.
    EIGHTH * eighths.clamp(0.125, 16.0).powf(GROWTH)
}

/// The moments below a bar that need room of their own, walked along once.
struct Steps {
    moments: Vec<Moment>,
    next: usize,
    /// The least room from one to the next.
    step: f32,
}

impl Contents {
    fn steps(&self) -> Steps {
        let strokes = self.strokes.iter().map(|stroke| stroke.at);
        let pieces = self.rhythm.pieces.iter().map(|piece| piece.at);
        let mut moments: Vec<Moment> =
            strokes.chain(self.counts.iter().map(|count| count.at)).chain(pieces).collect();
        moments.sort_unstable();
        moments.dedup();
        // Counts of two digits need more room.
        let wide = self.counts.iter().any(|count| count.said.len() > 1);
        Steps { moments, next: 0, step: STEP_LEAST * if wide { 1.3 } else { 1.0 } }
    }
}

impl Steps {
    /// The room from `from` to `to`, which moments in between share by their times.
    fn least(&mut self, from: Moment, to: Moment) -> f32 {
        let ahead = &self.moments[self.next..];
        let within = &ahead[..ahead.partition_point(|at| *at < to)];
        self.next += within.len();
        let mut shortest = to - from;
        let mut last = from;
        for at in within.iter().copied().filter(|at| *at > from).chain([to]) {
            if (at - last).is_positive() {
                shortest = shortest.min(at - last);
            }
            last = at;
        }
        let ratio = |one: Duration, other: Duration| {
            let (a, b) = (one.numerator() as f32 / one.denominator() as f32, other.numerator() as f32);
            a / (b / other.denominator() as f32).max(f32::MIN_POSITIVE)
        };
        // Moments very near to each other would push all others off the page.
        self.step * ratio(to - from, shortest).clamp(1.0, 64.0)
    }
}
