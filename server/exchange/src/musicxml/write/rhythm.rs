//! The note values and tuplets in which a bar's events are written.
//!
//! A length becomes one or more values that are tied. Lengths that no value has, because the time is not cut in
//! halves, stand in tuplets: a run is one of its own, and elsewhere a tuplet goes from one place that halves
//! reach to the next.

use lope_tune::{Duration, Frame, Moment, Run};

use crate::tab::RUN_SIZES;

/// A stretch of an event that one note symbol says.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// The event's place among those of the bar.
    pub event: usize,
    /// When it begins, from the start of the bar's slots.
    pub start: Moment,
    /// How long it lasts.
    pub length: Duration,
    /// Its symbol; none where it is finer than any.
    pub value: Option<Value>,
    /// How many of the symbol go in the time of how many, in a tuplet.
    pub ratio: Option<(u32, u32)>,
    /// Whether a tuplet begins with it, and whether one ends.
    pub tuplet: (bool, bool),
}

/// A note symbol.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Value {
    /// What the standard calls it: `eighth`.
    pub name: &'static str,
    /// Whether a dot makes it half as long again.
    pub dot: bool,
}

/// A stretch of the bar in other parts than halves.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Tuplet {
    start: Moment,
    end: Moment,
    actual: u32,
    normal: u32,
}

/// The symbols with their lengths, longest first: as MusicXML names them.
const VALUES: [(&str, i64, i64); 14] = [
    ("maxima", 8, 1),
    ("long", 4, 1),
    ("breve", 2, 1),
    ("whole", 1, 1),
    ("half", 1, 2),
    ("quarter", 1, 4),
    ("eighth", 1, 8),
    ("16th", 1, 16),
    ("32nd", 1, 32),
    ("64th", 1, 64),
    ("128th", 1, 128),
    ("256th", 1, 256),
    ("512th", 1, 512),
    ("1024th", 1, 1024),
];

/// The pieces of a bar in `frame` that has events at `events` (when each begins and how long it lasts) and
/// `runs`, after `lead` of its time has gone by.
pub fn pieces(frame: &Frame, lead: Duration, events: &[(Moment, Duration)], runs: &[Run]) -> Vec<Piece> {
    let tuplets = tuplets(events, runs);
    let beat = frame.meter.beat();
    let mut pieces = Vec::new();
    for (event, (onset, length)) in events.iter().enumerate() {
        let end = *onset + *length;
        let mut start = *onset;
        while start < end {
            let tuplet = tuplets.iter().find(|tuplet| tuplet.end > start);
            let within = tuplet.filter(|tuplet| tuplet.start <= start);
            let stop = match (tuplet, within) {
                (_, Some(tuplet)) => tuplet.end.min(end),
                (Some(tuplet), None) => tuplet.start.min(end),
                (None, None) => end,
            };
            match within {
                Some(tuplet) => in_tuplet(event, start, stop, tuplet, &mut pieces),
                None => straight(event, start, stop, lead, beat, &mut pieces),
            }
            start = stop;
        }
    }
    pieces
}

fn in_tuplet(event: usize, start: Moment, stop: Moment, tuplet: &Tuplet, pieces: &mut Vec<Piece>) {
    let seen = (stop - start).times(tuplet.actual).share(tuplet.normal);
    // What braces in a run cut finer has a ratio of its own on top.
    let inner = odd(seen.denominator());
    let (actual, normal) = (tuplet.actual.saturating_mul(inner), tuplet.normal * below(inner));
    let mut at = start;
    while at < stop {
        let left = (stop - at).times(actual).share(normal);
        let (value, length) = longest(left);
        let length = length.times(normal).share(actual);
        let next = if value.is_some() { at + length } else { stop };
        pieces.push(Piece {
            event,
            start: at,
            length: next - at,
            value,
            ratio: Some((actual, normal)),
            tuplet: (at == tuplet.start, next == tuplet.end),
        });
        at = next;
    }
}

fn straight(
    event: usize,
    start: Moment,
    stop: Moment,
    lead: Duration,
    beat: Duration,
    pieces: &mut Vec<Piece>,
) {
    let mut at = start;
    while at < stop {
        let left = stop - at;
        let (value, mut length) = longest(left);
        let (_, into_beat) = (at + lead).since_start().divide(beat);
        let to_beat = beat - into_beat;
        // What no single symbol says is parted where a beat begins, if a symbol reaches that far.
        if length != left && into_beat.is_positive() && to_beat < left && longest(to_beat).1 == to_beat {
            length = to_beat;
        }
        let (value, length) = match value {
            Some(_) => (longest(length).0, length),
            None => (None, left),
        };
        pieces.push(Piece { event, start: at, length, value, ratio: None, tuplet: (false, false) });
        at += length;
    }
}

/// The longest symbol that is no longer than `left`, and its length.
fn longest(left: Duration) -> (Option<Value>, Duration) {
    for (name, num, den) in VALUES {
        for (dot, length) in [(true, Duration::new(num * 3, den * 2)), (false, Duration::new(num, den))] {
            if length <= left {
                return (Some(Value { name, dot }), length);
            }
        }
    }
    (None, left)
}

/// The tuplets of a bar, in their order and none in another.
fn tuplets(events: &[(Moment, Duration)], runs: &[Run]) -> Vec<Tuplet> {
    let mut tuplets: Vec<Tuplet> = Vec::new();
    for run in runs.iter().filter(|run| run.slot.is_positive()) {
        let end = run.start + run.slot.times(run.slots);
        let odd = odd(run.slot.denominator());
        let normal = run.slots * below(odd) / odd;
        if (run.slots * below(odd)).is_multiple_of(odd)
            && tuplets.last().is_none_or(|last| last.end <= run.start)
        {
            tuplets.push(Tuplet { start: run.start, end, actual: run.slots, normal });
        }
    }
    let given = tuplets.clone();
    let is_given = |at: Moment| given.iter().any(|tuplet| tuplet.start < at && at < tuplet.end);
    let is_straight = |at: Moment| odd(at.since_start().denominator()) == 1;
    let mut bounds: Vec<Moment> = events.iter().map(|(onset, _)| *onset).collect();
    bounds.extend(events.last().map(|(onset, length)| *onset + *length));
    let mut from = Moment::START;
    let mut inside: Vec<Moment> = Vec::new();
    for at in bounds.into_iter().filter(|at| !is_given(*at)) {
        if !is_straight(at) {
            inside.push(at);
            continue;
        }
        tuplets.extend(generic(from, &inside, at));
        inside.clear();
        from = at;
    }
    tuplets.extend(inside.last().and_then(|last| generic(from, &inside, *last)));
    tuplets.sort_by_key(|tuplet| tuplet.start);
    tuplets
}

/// The tuplet after `from` that holds the places `inside`, and ends at `to` or before.
fn generic(from: Moment, inside: &[Moment], to: Moment) -> Option<Tuplet> {
    let parts = inside.iter().map(|at| odd((*at - from).denominator())).fold(1, lcm);
    let last = *inside.last()?;
    // Its size must not be a run's.
    let actual = if RUN_SIZES.contains(&parts) { parts * 5 } else { parts };
    let normal = if RUN_SIZES.contains(&parts) { below(parts) * 5 } else { below(parts) };
    // It ends where halves reach next: at a multiple of the finest part of all places.
    let finest = inside.iter().map(|at| (*at - from).denominator()).max().unwrap_or(1);
    let share = Duration::new(i64::from(parts), finest.max(1));
    let (whole, _) = (last - from).divide(share);
    let end = from + share.times(u32::try_from(whole + 1).ok()?);
    let end = if end > to && to > last { to } else { end.max(last) };
    (parts > 1).then_some(Tuplet { start: from, end, actual, normal })
}

/// What is left of `number` when it is halved as often as it can be.
fn odd(number: i64) -> u32 {
    let number = number.max(1);
    u32::try_from(number >> number.trailing_zeros()).unwrap_or(1)
}

/// The largest power of two that is not above `number`.
const fn below(number: u32) -> u32 {
    if number == 0 { 1 } else { 1 << (31 - number.leading_zeros()) }
}

fn lcm(a: u32, b: u32) -> u32 {
    let (mut x, mut y) = (a, b);
    while y > 0 {
        (x, y) = (y, x % y);
    }
    (a / x.max(1)).saturating_mul(b).clamp(1, 1 << 20)
}

#[cfg(test)]
mod tests {
    use lope_tune::{BarId, Meter};

    use super::*;

    /// The pieces of events of these lengths, as `symbol` or `symbol.` with its ratio.
    fn spelled(meter: &str, lengths: &[(i64, i64)], runs: &[Run]) -> String {
        let meter = Meter::parse(meter).unwrap();
        let frame = Frame { meter, unit: meter.slot(), ..Frame::default() };
        let mut at = Moment::START;
        let mut events = Vec::new();
        for (num, den) in lengths {
            events.push((at, Duration::new(*num, *den)));
            at += Duration::new(*num, *den);
        }
        let pieces = pieces(&frame, Duration::ZERO, &events, runs);
        let total: Duration = pieces.iter().map(|piece| piece.length).sum();
        assert_eq!(total, at.since_start());
        let said = pieces.iter().map(|piece| {
            let value = piece.value.unwrap();
            let ratio = piece.ratio.map_or(String::new(), |(actual, normal)| format!(" {actual}:{normal}"));
            let tie =
                if pieces.iter().filter(|other| other.event == piece.event).count() > 1 { "~" } else { "" };
            let (open, close) =
                (if piece.tuplet.0 { "(" } else { "" }, if piece.tuplet.1 { ")" } else { "" });
            format!("{open}{}{}{ratio}{tie}{close}", value.name, if value.dot { "." } else { "" })
        });
        said.collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn lengths_are_symbols_tied_at_the_beat() {
        assert_eq!(spelled("6/8", &[(1, 4), (1, 8), (3, 8)], &[]), "quarter eighth quarter.");
        assert_eq!(spelled("6/8", &[(1, 8), (5, 8)], &[]), "eighth quarter~ quarter.~");
        assert_eq!(spelled("4/4", &[(1, 8), (7, 8)], &[]), "eighth eighth~ half.~");
        assert_eq!(spelled("6/8", &[(3, 16), (3, 16), (3, 8)], &[]), "eighth. eighth. quarter.");
    }

    #[test]
    fn a_run_is_one_tuplet() {
        let run = |slots, slot| Run { bar: BarId(0), start: Moment::START, slot, slots };
        let twelfth = Duration::new(1, 12);
        assert_eq!(
            spelled("2/4", &[(1, 12), (1, 12), (1, 12), (1, 4)], &[run(3, twelfth)]),
            "(eighth 3:2 eighth 3:2 eighth 3:2) quarter"
        );
        assert_eq!(
            spelled("2/4", &[(1, 6), (1, 12), (1, 6), (1, 12)], &[run(6, twelfth)]),
            "(quarter 6:4 eighth 6:4 quarter 6:4 eighth 6:4)"
        );
        assert_eq!(
            spelled("6/8", &[(1, 8), (1, 8), (1, 8), (3, 8)], &[run(3, Duration::new(1, 8))]),
            "(eighth 3:3 eighth 3:3 eighth 3:3) quarter."
        );
    }

    #[test]
    fn a_note_that_outlasts_its_run_is_tied_out_of_it() {
        let run = Run { bar: BarId(0), start: Moment::START, slot: Duration::new(1, 12), slots: 3 };
        assert_eq!(
            spelled("2/4", &[(1, 12), (1, 12), (1, 3)], &[run]),
            "(eighth 3:2 eighth 3:2 eighth 3:2~) quarter~"
        );
    }

    #[test]
    fn other_divisions_are_tuplets_of_other_sizes() {
        assert_eq!(
            spelled("2/4", &[(1, 20); 5].iter().copied().chain([(1, 4)]).collect::<Vec<_>>(), &[]),
            "(16th 5:4 16th 5:4 16th 5:4 16th 5:4 16th 5:4) quarter"
        );
        assert_eq!(spelled("2/4", &[(1, 6), (1, 12), (1, 4)], &[]), "(quarter 15:10 eighth 15:10) quarter");
    }
}
