//! How long things last, in the signs of written music: values with dots, ties, beams and tuplets.

use std::ops::Range;

use lope_tune::{Bar, Duration, Event, EventKind, Frame, Moment};

/// A sign of length below a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// The event it belongs to, by its place in the bar.
    pub event: usize,
    /// When it stands, from the start of the bar's slots.
    pub at: Moment,
    /// How it is written.
    pub value: Value,
    /// Whether it prolongs what sounded before it.
    pub tied: bool,
    /// Whether nothing sounds.
    pub silent: bool,
}

/// A written length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Value {
    /// 0 for a whole note, 1 for a half, 2 for a quarter, 3 for an eighth, and so on.
    pub halvings: u8,
    /// How many dots follow it: 0 to 2.
    pub dots: u8,
}

/// Pieces that are played a number of them in the time of others.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tuplet {
    /// The number that is written.
    pub number: u32,
    /// Its pieces.
    pub pieces: Range<usize>,
}

/// The rhythm of a bar.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rhythm {
    /// Its signs in order.
    pub pieces: Vec<Piece>,
    /// Two or more of them that share a beam.
    pub beams: Vec<Range<usize>>,
    /// Tuplets.
    pub tuplets: Vec<Tuplet>,
}

/// The finest value that has a sign of its own; finer ones look like it.
const FINEST: u8 = 6;

/// The most signs that one event is written with.
const MOST: usize = 16;

/// Writes the `events` of `bar`, which stand in `frame`.
pub fn rhythm(bar: &Bar, events: &[Event], frame: &Frame) -> Rhythm {
    let mut rhythm = Rhythm { pieces: Vec::with_capacity(events.len() + 2), ..Rhythm::default() };
    let mut at = 0;
    while at < events.len() {
        let tuplet = tuplet_at(&events[at..]);
        let length = tuplet.map_or(1, |(length, _)| length);
        let first = rhythm.pieces.len();
        for (number, event) in events.iter().enumerate().skip(at).take(length) {
            let number = (number, event);
            match tuplet {
                Some((_, scale)) => rhythm.scaled(number, scale),
                None => rhythm.plain(number, bar, frame),
            }
        }
        if let Some((_, (number, _))) = tuplet {
            rhythm.tuplets.push(Tuplet { number, pieces: first..rhythm.pieces.len() });
        }
        at += length;
    }
    rhythm.beam(bar, frame);
    rhythm
}

/// A number of values and how many of the same fill their time, such as 3 and 2.
type Scale = (u32, u32);

/// How many of `events` make up the tuplet that begins with the first, where one does.
fn tuplet_at(events: &[Event]) -> Option<(usize, Scale)> {
    let number = odd_part(events.first()?.length)?;
    let mut total = Duration::ZERO;
    for (at, event) in events.iter().enumerate() {
        total += event.length;
        if odd_part(total).is_none() {
            return Some((at + 1, (number, 1 << number.ilog2())));
        }
    }
    Some((events.len(), (number, 1 << number.ilog2())))
}

/// What is left of the denominator of `length` once it is halved as often as it can be; none where that is 1.
fn odd_part(length: Duration) -> Option<u32> {
    let denominator = length.denominator().unsigned_abs();
    let odd = denominator >> denominator.trailing_zeros();
    (odd > 1).then(|| u32::try_from(odd).unwrap_or(u32::MAX))
}

impl Rhythm {
    fn push(&mut self, (number, event): (usize, &Event), at: Moment, value: Value) {
        let tied = event.kind == EventKind::Ring || event.kind == EventKind::Notes && at != event.onset;
        let silent = event.kind == EventKind::Silence;
        self.pieces.push(Piece { event: number, at, value, tied, silent });
    }

    /// An event in a tuplet.
    fn scaled(&mut self, event: (usize, &Event), (number, in_time_of): Scale) {
        let real = |written: Duration| written.times(in_time_of).share(number);
        self.greedily(event, event.1.onset, event.1.length.times(number).share(in_time_of), real);
    }

    /// An event whose length is made of halves alone, parted where a group of the bar begins if it would
    /// hide it.
    fn plain(&mut self, event: (usize, &Event), bar: &Bar, frame: &Frame) {
        let end = event.1.onset + event.1.length;
        let mut at = event.1.onset;
        let first = self.pieces.len();
        while at < end && self.pieces.len() < first + MOST {
            let group = frame.group(at + bar.lead);
            let (start, left) = (group.start - bar.lead, end - at);
            let group_end = start + group.length;
            let simple = !frame.meter.is_compound();
            let whole = if end <= group_end {
                left
            } else if at == start {
                // Dotted values of compound time last one group, two, four or eight.
                let (groups, rest) = left.divide(group.length);
                let groups = u32::try_from(groups).unwrap_or(1).max(1);
                let exact = rest == Duration::ZERO && groups.is_power_of_two();
                if simple || exact { left } else { group.length.times(1 << groups.ilog2()) }
            } else if simple && left <= group.length {
                left
            } else {
                group_end - at
            };
            let before = self.pieces.len();
            self.greedily(event, at, whole, |written| written);
            if self.pieces.len() == before {
                break;
            }
            at += whole;
        }
    }

    /// Writes a length by the longest values that fit, the first first; `real` says how long a value is.
    fn greedily(
        &mut self,
        event: (usize, &Event),
        mut at: Moment,
        mut left: Duration,
        real: impl Fn(Duration) -> Duration,
    ) {
        for _ in 0..MOST {
            if !left.is_positive() {
                return;
            }
            let (value, length) = longest(left);
            self.push(event, at, value);
            at += real(length);
            left = left - length;
            if value.halvings >= FINEST {
                return;
            }
        }
    }

    fn beam(&mut self, bar: &Bar, frame: &Frame) {
        let tuplet_of = |at: usize| self.tuplets.iter().position(|tuplet| tuplet.pieces.contains(&at));
        let group_of = |at: usize| match tuplet_of(at) {
            Some(tuplet) => (1, tuplet as u32),
            None => (0, frame.group(self.pieces[at].at + bar.lead).number),
        };
        let beamed = |at: usize| self.pieces[at].value.halvings >= 3 && !self.pieces[at].silent;
        let mut beams = Vec::new();
        let mut first = 0;
        for at in 0..self.pieces.len() {
            if !beamed(at) || at > first && group_of(at) != group_of(first) {
                if at - first > 1 {
                    beams.push(first..at);
                }
                first = if beamed(at) { at } else { at + 1 };
            }
        }
        if self.pieces.len() > first + 1 {
            beams.push(first..self.pieces.len());
        }
        self.beams = beams;
    }
}

/// The longest value with at most two dots that is no longer than `left`, and its length.
fn longest(left: Duration) -> (Value, Duration) {
    for halvings in 0..=FINEST {
        let base = Duration::new(1, 1 << halvings);
        if base > left {
            continue;
        }
        let dotted = |dots: u8| (0..=dots).map(|dot| Duration::new(1, 1 << (halvings + dot))).sum();
        let exact = (0..=2).map(|dots| (dots, dotted(dots))).find(|(_, length)| *length == left);
        let (dots, length) = exact.unwrap_or((0, base));
        return (Value { halvings, dots }, length);
    }
    (Value { halvings: FINEST, dots: 0 }, left)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::tune_in;

    /// Each piece as its value (4 for a quarter, `.` for a dot, `r` for silence, `~` for a tie), with beams in
    /// parentheses and tuplets in braces.
    #[track_caller]
    fn check(meter: &str, music: &str, expected: &str) {
        let tune = tune_in(meter, music);
        let bar = &tune.bars[0];
        let rhythm = rhythm(bar, tune.events_of(bar), tune.frame(bar));
        let mut written = Vec::new();
        for (at, piece) in rhythm.pieces.iter().enumerate() {
            let (tie, rest) = (if piece.tied { "~" } else { "" }, if piece.silent { "r" } else { "" });
            let dots = ".".repeat(piece.value.dots.into());
            let mut sign = format!("{tie}{rest}{}{dots}", 1 << piece.value.halvings);
            for tuplet in &rhythm.tuplets {
                if tuplet.pieces.start == at {
                    sign = format!("{}{{{sign}", tuplet.number);
                }
                if tuplet.pieces.end == at + 1 {
                    sign.push('}');
                }
            }
            for beam in &rhythm.beams {
                if beam.start == at {
                    sign.insert(0, '(');
                }
                if beam.end == at + 1 {
                    sign.push(')');
                }
            }
            written.push(sign);
        }
        assert_eq!(written.join(" "), expected, "{meter} {music}");
    }

    #[test]
    fn groups_are_beamed_and_lengths_have_their_signs() {
        check("6/8", "| 3:0 t 2:0  1:0- 2:0 |", "(8 8 8) 4 8");
        check("6/8", "| 3:0- -  1:0 _ 2:0 |", "4. 8 r8 8");
        check("4/4", "| 3:0 t 3:0 t  3:0- - t |", "(8 8) (8 8) 4. 8");
        check("2/4", "| 3:0 t 3:0 t  3:0- t t |", "(16 16 16 16) (8 16 16)");
        check("4/4", "| 3:0 2:0- t  3:0- - - |", "8 4 8 2");
    }

    #[test]
    fn what_no_single_sign_says_is_tied_where_a_group_begins() {
        check("6/8", "| 3:0- - - 1:0- |", "4. ~8 4");
        check("6/8", "| 3:0- 1:0- - - |", "4 8 ~4.");
        check("4/4", "| 3:0- - - - 2:0- - |", "2 (~8 8) ~4");
        check("9/8", "| 3:0- - - - - - - - |", "2. ~4.");
    }

    #[test]
    fn tuplets_are_found_by_their_lengths() {
        check(
            "4/4",
            "| {3:0 t 3:0}/2 3:0 t {3:0 t 3:0 3:0 t 3:0}/4 |",
            "(3{8 8 8}) (8 8) (3{8 8 8}) (3{8 8 8})",
        );
        check("4/4", "| {3:0- t}/2 {3:0 t 3:0 t 3:0}/2 3:0- - - |", "3{4 8} (5{16 16 16 16 16}) 2");
        check("6/8", "| {3:0 t}/3 3:0- - |", "(8. 8.) 4.");
    }
}
