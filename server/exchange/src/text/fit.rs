//! Which columns of a bar are places, told from where its notes stand.

use std::collections::BTreeMap;

use super::bars::{Mark, Measure};

/// Places that are equally far from each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spacing {
    /// The column of the first.
    pub offset: usize,
    /// The columns from one to the next.
    pub step: usize,
}

/// Where the places of a bar are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Places {
    /// As in the other bars, and how many there are.
    Usual(usize),
    /// As many as fill the meter, spaced in a way of their own.
    Spaced(Spacing),
    /// The columns that are places, and which of them, counted from 0; the bar fills the meter.
    Each(Vec<(usize, usize)>),
}

/// The widest spacing that is looked for, and the most room before a first note.
const WIDEST: usize = 12;
const MOST_ROOM: usize = 24;

impl Spacing {
    /// How many places a bar of `width` columns has. Dashes that make room after the last note may be one too few.
    pub fn places(self, width: usize) -> usize {
        ((width.saturating_sub(self.offset) + self.step / 2) / self.step).max(1)
    }

    /// The place at `column`, where there is one.
    const fn place(self, column: usize) -> Option<usize> {
        if column >= self.offset && (column - self.offset).is_multiple_of(self.step) {
            Some((column - self.offset) / self.step)
        } else {
            None
        }
    }

    /// Whether `column` is at a place or halfway between two.
    fn is_near(self, column: usize) -> bool {
        column >= self.offset && (2 * (column - self.offset)).is_multiple_of(self.step)
    }

    /// How many columns a bar of `width` has too many for `places`, or too few.
    const fn over(self, width: usize, places: usize) -> isize {
        width as isize - (self.offset + places * self.step) as isize
    }
}

/// The spacing of most of `measures`, with as many places as a bar has `slots`, or twice as many, where it is known how
/// many it has.
pub fn usual(measures: &[&Measure], slots: Option<usize>) -> Spacing {
    let lead = measures.iter().filter_map(|measure| measure.marks.first()).map(|mark| mark.column).min();
    let lead = lead.unwrap_or(0).min(MOST_ROOM);
    // Places of whole slots are likelier than halves of them, and halves than what makes no bar.
    let worth = |places: usize| -> usize {
        match slots {
            Some(slots) if places == slots => 100,
            None if matches!(places, 6 | 8 | 9) => 100,
            Some(slots) if places == 2 * slots => 40,
            None if matches!(places, 12 | 16) => 40,
            _ => 0,
        }
    };
    let fits = |spacing: Spacing| {
        let each = measures.iter().map(|measure| {
            let places = spacing.places(measure.width);
            let over = spacing.over(measure.width, places).unsigned_abs();
            let is_on = measure.marks.iter().all(|mark| spacing.place(mark.column).is_some());
            let is_near = measure.marks.iter().all(|mark| spacing.is_near(mark.column));
            match (is_on, is_near) {
                (true, _) => (worth(places) + 20).saturating_sub(5 * over),
                (_, true) => worth(places) / 2,
                _ => 0,
            }
        });
        each.sum::<usize>()
    };
    // Dashes before the first note of every bar are room, as many of them as there are.
    let ways = (1..=WIDEST)
        .rev()
        .flat_map(|step| (0..=lead.max(step - 1)).map(move |offset| Spacing { offset, step }));
    let ways: Vec<(Spacing, usize)> = ways.map(|way| (way, fits(way))).collect();
    let best = ways.iter().map(|(_, fits)| *fits).max().unwrap_or(0);
    // A few bars may be unlike the others.
    let found =
        ways.iter().filter(|(_, fits)| fits * 50 >= best * 49).max_by_key(|(way, fits)| (way.step, *fits));
    found.map_or(Spacing { offset: 0, step: 1 }, |(way, _)| *way)
}

/// Where the places of `measure` are, where the usual spacing is `usual` and a bar has `full` places.
pub fn places(measure: &Measure, usual: Spacing, full: usize, may_be_short: bool) -> Places {
    let found = usual.places(measure.width);
    if full == 0 {
        return Places::Usual(found);
    }
    let heads = heads(measure);
    let is_on = heads.iter().all(|head| usual.place(head.digit).is_some());
    // Between two columns nothing can be told apart from a slip.
    let is_near =
        (usual.step > 2 || heads.len() > full) && heads.iter().all(|head| usual.is_near(head.digit));
    let ends_in_time = heads.last().is_none_or(|head| head.digit < usual.offset + full * usual.step);
    // Room after the last note is no time.
    let is_full = ends_in_time && (found == full || found == full + 1);
    if is_on && is_full {
        return Places::Usual(full);
    }
    if is_on && found < full {
        // Where no bar line ends it, the rest of its dashes is left out.
        if measure.is_open {
            return Places::Usual(full);
        }
        if may_be_short || heads.len() > 1 {
            return Places::Usual(found);
        }
    }
    let likely = spaced(measure, &heads, usual, full);
    let likely =
        likely.or_else(|| (is_near && (is_full || found < full)).then(|| Places::Usual(full.min(found))));
    likely.or_else(|| apart(measure, &heads, full).map(Places::Each)).unwrap_or(Places::Usual(found))
}

/// What begins together: its first digit, where its writing begins, and whether it is written in two digits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Head {
    digit: usize,
    begins: usize,
    is_wide: bool,
}

/// What begins in `measure`, column by column.
fn heads(measure: &Measure) -> Vec<Head> {
    let mut heads: Vec<Head> = Vec::new();
    for Mark { column, begins, fret, .. } in &measure.marks {
        let head = Head { digit: *column, begins: *begins, is_wide: *fret > 9 };
        match heads.last_mut() {
            Some(last) if last.digit == *column => {
                last.begins = last.begins.max(*begins);
                last.is_wide |= head.is_wide;
            }
            _ => heads.push(head),
        }
    }
    heads
}

/// Even places for `heads` that fill the bar: counted from digit to digit or from letter to letter, and with a second
/// digit for a column or for none.
fn spaced(measure: &Measure, heads: &[Head], usual: Spacing, full: usize) -> Option<Places> {
    let mut best: Option<(usize, Places)> = None;
    for (by_letters, is_narrow) in [(false, false), (false, true), (true, false), (true, true)] {
        let (columns, wide) = counted(heads, by_letters, is_narrow);
        let is_plain = !by_letters && !is_narrow;
        let first = columns.first().copied().unwrap_or(0);
        for step in 1..=WIDEST {
            for offset in 0..=first.min(step.max(usual.offset)) {
                let spacing = Spacing { offset, step };
                let over = spacing.over(measure.width - wide, full).unsigned_abs();
                let cost = 8 * over
                    + 4 * step.abs_diff(usual.step)
                    + 2 * usize::from(!is_plain)
                    + offset.abs_diff(usual.offset);
                if over > 1 || best.as_ref().is_some_and(|(least, _)| *least <= cost) {
                    continue;
                }
                let places: Option<Vec<usize>> =
                    columns.iter().map(|column| spacing.place(*column)).collect();
                let fill = |places: &Vec<usize>| {
                    places.is_sorted_by(|a, b| a < b) && places.last().is_none_or(|last| *last < full)
                };
                let Some(places) = places.filter(fill) else { continue };
                let digits = heads.iter().map(|head| head.digit);
                let each = || Places::Each(digits.zip(places).collect());
                best = Some((cost, if is_plain { Places::Spaced(spacing) } else { each() }));
            }
        }
    }
    best.map(|(_, places)| places)
}

/// The columns of `heads`, of their letters or their digits, without those of second digits where they are to be narrow;
/// and how many columns those are.
fn counted(heads: &[Head], by_letters: bool, is_narrow: bool) -> (Vec<usize>, usize) {
    let mut wide = 0;
    let mut columns = Vec::with_capacity(heads.len());
    for head in heads {
        let column = if by_letters { head.begins } else { head.digit };
        columns.push(column.saturating_sub(wide));
        wide += usize::from(is_narrow && head.is_wide);
    }
    (columns, wide)
}

/// A place for each of `heads`, the first at the start of the bar, so that the room after each is most like its time
/// and all of it fills `full` places; none where they are too many.
fn apart(measure: &Measure, heads: &[Head], full: usize) -> Option<Vec<(usize, usize)>> {
    let first = heads.first().filter(|_| heads.len() <= full)?.digit;
    let room = (measure.width.saturating_sub(first)).max(1) as i64;
    // The least cost of the first notes up to each place of the next, and the place of the one before.
    let mut costs: Vec<Vec<Option<(i64, usize)>>> = vec![vec![None; full + 1]];
    costs[0][0] = Some((0, 0));
    for (at, head) in heads.iter().enumerate() {
        let until = heads.get(at + 1).map_or(measure.width, |next| next.digit);
        let gap = (until - head.digit) as i64;
        let mut next = vec![None; full + 1];
        for (place, cost) in costs[at].iter().enumerate() {
            let Some((cost, _)) = *cost else { continue };
            for lasts in 1..=full - place {
                let off = gap * full as i64 - room * lasts as i64;
                let cost = cost + off * off;
                let known: &mut Option<(i64, usize)> = &mut next[place + lasts];
                if known.is_none_or(|(least, _)| cost < least) {
                    *known = Some((cost, place));
                }
            }
        }
        costs.push(next);
    }
    costs[heads.len()][full]?;
    let mut place = full;
    let mut places = Vec::with_capacity(heads.len());
    for (at, head) in heads.iter().enumerate().rev() {
        place = costs[at + 1][place]?.1;
        places.push((head.digit, place));
    }
    places.reverse();
    Some(places)
}

/// How many places most of `measures` have, by `spacing`; of several numbers the largest. Where a bar is known to have so
/// many `slots`, that many or twice as many, unless none has.
pub fn most_often(measures: &[&Measure], spacing: Spacing, slots: Option<usize>) -> usize {
    let mut counts = BTreeMap::new();
    for measure in measures {
        *counts.entry(spacing.places(measure.width)).or_insert(0) += 1;
    }
    let most = |wanted: &dyn Fn(usize) -> bool| {
        let found = counts.iter().filter(|(places, _)| wanted(**places));
        found.max_by_key(|(places, count)| (**count, **places)).map(|(places, _)| *places)
    };
    let known = slots.and_then(|slots| most(&|places| places == slots || places == 2 * slots));
    known.or_else(|| most(&|_| true)).unwrap_or(1)
}
