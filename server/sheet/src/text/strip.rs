use lope_tune::{BarId, Duration, Event, EventKind, Finger, How, LabelKind, Moment, Note, Tune};

use super::Plain;
use crate::score::{Content, Contents, Drawn, Score, StrokeKind};

/// A bar in letters; each row is as wide as the bar.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Strip {
    /// How many letters wide it is.
    pub width: usize,
    /// How many letters wide a fret with its letter is.
    pub cell: usize,
    /// The strings, from the first to the drone.
    pub strings: [Vec<u8>; 5],
    /// Marks above the strings.
    pub marks: Vec<u8>,
    /// Strokes below them.
    pub strokes: Vec<u8>,
    /// The count below these.
    pub counts: Vec<u8>,
    /// Chord symbols, each with its column.
    pub chords: Vec<(usize, String)>,
    /// Words, each with its column.
    pub labels: Vec<(usize, String)>,
}

/// How wide things are in the whole tune.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Widths {
    /// A slot: one letter before a fret and the digits of the widest.
    pub slot: usize,
}

impl Widths {
    /// What the bars of `score` take; with room for the `count`, where it is wanted.
    pub fn of(tune: &Tune, score: &Score, count: bool) -> Self {
        let two_digits = tune.notes.iter().any(|note| (10..u8::MAX).contains(&note.fret));
        let late = |drawn: &Drawn| {
            let meter = tune.frames[drawn.frame as usize].meter;
            count && meter.unit >= 8 && meter.beats > 9
        };
        Self { slot: if two_digits || score.bars.iter().any(late) { 3 } else { 2 } }
    }
}

/// The most columns of a bar in which time is kept.
const MOST: i64 = 192;

impl Strip {
    /// A bar of slots.
    pub fn slots(tune: &Tune, id: BarId, contents: &Contents, widths: Widths, plain: &Plain) -> Self {
        let bar = &tune.bars[id.index()];
        let events = tune.events_of(bar);
        let grid = Grid::of(events, bar.length, tune.frame(bar).unit, widths);
        let mut strip = Self::blank(grid.width(), widths.slot);
        for event in events {
            strip.event(tune, event, grid.column(event.onset));
        }
        if plain.strokes {
            for stroke in &contents.strokes {
                let letter = match stroke.kind {
                    StrokeKind::Struck => b'x',
                    StrokeKind::Air => b'o',
                    StrokeKind::Thumb => b't',
                    StrokeKind::Left => b'l',
                };
                put(&mut strip.strokes, grid.column(stroke.at) + 1, &[letter]);
            }
        }
        if plain.count {
            let (mut free, width) = (0, strip.width);
            for count in &contents.counts {
                let column = grid.column(count.at) + 1;
                if column >= free && column + count.said.len() <= width {
                    put(&mut strip.counts, column, count.said.as_bytes());
                    free = column + count.said.len() + 1;
                }
            }
        }
        let first = tune.labels.partition_point(|label| label.bar < id);
        for label in tune.labels[first..].iter().take_while(|label| label.bar == id) {
            let place = (grid.column(label.onset) + 1, label.text.trim().to_owned());
            match label.kind {
                LabelKind::Chord => strip.chords.push(place),
                LabelKind::Words => strip.labels.push(place),
            }
        }
        strip
    }

    /// A bar that is one sign.
    pub fn sign(sign: char, tune: &Tune, drawn: &Drawn, widths: Widths) -> Self {
        let wide = if drawn.content == Content::Again { 3 } else { 4 };
        let frame = &tune.frames[drawn.frame as usize];
        let slots = usize::try_from(frame.meter.bar().divide(frame.unit).0).unwrap_or(0);
        let mut strip = Self::blank((widths.slot * slots.clamp(2, wide)).max(5) | 1, widths.slot);
        let middle = strip.width / 2;
        put(&mut strip.strings[2], middle, &[sign as u8]);
        strip
    }

    fn blank(width: usize, cell: usize) -> Self {
        Self {
            width,
            cell,
            strings: std::array::from_fn(|_| vec![b'-'; width]),
            marks: vec![b' '; width],
            strokes: vec![b' '; width],
            counts: vec![b' '; width],
            ..Self::default()
        }
    }

    fn event(&mut self, tune: &Tune, event: &Event, column: usize) {
        if event.kind == EventKind::Silence {
            put(&mut self.strings[2], column + 1, b"_");
        }
        let notes = tune.notes_of(event);
        for note in notes {
            let fret = if note.fret == u8::MAX { "?".to_owned() } else { note.fret.to_string() };
            let letter = match note.how {
                How::Hammer => b'h',
                How::Pull => b'p',
                How::Slide => b's',
                How::Strike | How::Thumb => b'-',
            };
            let string = &mut self.strings[usize::from(note.string.clamp(1, 5) - 1)];
            put(string, column, &[letter]);
            put(string, column + 1, fret.as_bytes());
        }
        let marks: Vec<u8> = notes.iter().flat_map(marks_of).collect();
        // Marks that have no room before the next note would be read as its own.
        let room = self.width.saturating_sub(column).min(2);
        put(&mut self.marks, column + usize::from(marks.len() < 2), &marks[..marks.len().min(room)]);
    }
}

fn marks_of(note: &Note) -> Vec<u8> {
    let marks = note.marks;
    let finger = marks.finger.map(|finger| match finger {
        Finger::Index => b'i',
        Finger::Middle => b'm',
        Finger::Ring => b'r',
        Finger::Little => b'p',
    });
    let signs =
        [marks.accent.then_some(b'!'), marks.vibrato.then_some(b'~'), marks.choke.then_some(b'^'), finger];
    signs.into_iter().flatten().collect()
}

/// Writes `letters` into `row` from `column` on, as far as it goes.
fn put(row: &mut [u8], column: usize, letters: &[u8]) {
    for (place, letter) in row.iter_mut().skip(column).zip(letters) {
        *place = *letter;
    }
}

/// Where moments of a bar stand.
struct Grid<'e> {
    events: &'e [Event],
    /// The time of a cell; none where the bar has finer notes than can be told apart by columns, and each
    /// event has a cell to itself.
    step: Option<Duration>,
    cells: usize,
    cell: usize,
}

impl<'e> Grid<'e> {
    fn of(events: &'e [Event], length: Duration, unit: Duration, widths: Widths) -> Self {
        let step = events.iter().map(|event| event.onset.since_start()).fold(common(unit, length), common);
        let (cells, _) = length.divide(step);
        let exact = step.is_positive() && (1..=MOST).contains(&cells);
        let count = if exact { usize::try_from(cells).unwrap_or(1) } else { events.len().max(1) };
        Self { events, step: exact.then_some(step), cells: count, cell: widths.slot }
    }

    const fn width(&self) -> usize {
        self.cells * self.cell
    }

    fn column(&self, at: Moment) -> usize {
        let cell = match self.step {
            Some(step) => {
                let time = at.since_start();
                // Counts and falls may lie between the columns of the notes.
                let (cells, _) = time.times(u32::try_from(self.cell).unwrap_or(1)).divide(step);
                return usize::try_from(cells).unwrap_or(0).min(self.width() - 1);
            }
            None => self.events.partition_point(|event| event.onset <= at).saturating_sub(1),
        };
        cell * self.cell
    }
}

/// The longest time that both are whole numbers of.
fn common(one: Duration, other: Duration) -> Duration {
    let (mut a, mut b) = if one < other { (other, one) } else { (one, other) };
    while b.is_positive() {
        (a, b) = (b, a.divide(b).1);
    }
    a
}
