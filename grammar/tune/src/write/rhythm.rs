//! Finds the braces in which a bar's rhythm can be written.
//!
//! A tune knows when things begin and which braces are runs, but not the other braces of the text it came
//! from. Runs are put back exactly as they were. For the rest, a row of slots is cut into single slots and
//! stretches in braces so that it costs least to read: the best way up to each slot is the best of those
//! that end there.

use super::times::{RunTimes, Times, gcd};
use crate::WIDEST;

/// A slot, or slots in braces.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// One slot of the row.
    Slot,
    /// `{items}/over`
    Brace {
        /// How many slots of the row it fills.
        over: usize,
        /// How many shares that time is cut into.
        shares: usize,
        /// What fills the shares.
        items: Vec<Item>,
    },
}

/// The slots and braces in which every event and label of `times` has its place.
pub fn rhythm(times: &Times) -> Vec<Item> {
    row(times, &Row { at: 0, share: times.unit, slots: times.slots, runs: &times.runs, cut: Cut::Given })
}

/// What a brace costs beside its shares, and what it costs to go on over a slot's bound where something
/// begins: `{a b} {a b}` is easier to read than `{a b a b}/2`.
const BRACE: u64 = 2;

/// The most shares in one brace that are read at a glance; where more are needed, braces go in braces unless
/// that is more to read.
const COARSE: usize = 24;

/// The most slots a brace that is no run is tried over, where no run asks for more.
const NARROW: usize = 8;

/// What a brace costs that fills more slots than a reader takes: more than all that can be read.
const UNREADABLE: u64 = 1 << 32;

/// A row of slots to be filled.
struct Row<'t> {
    /// When it begins.
    at: i128,
    /// How long a slot is.
    share: i128,
    slots: usize,
    /// The runs in it, an outer one before those in it.
    runs: &'t [RunTimes],
    cut: Cut,
}

/// How a row came by its slots.
#[derive(Clone, Copy, PartialEq)]
enum Cut {
    /// They are a bar's or a run's own.
    Given,
    /// They meet everything in the row, so that only runs need braces.
    Fine,
    /// They leave some things between them, for braces that are shorter than the row.
    Coarse,
}

/// The cheapest way known to fill a row up to one of its slots.
#[derive(Clone, Copy)]
struct Way {
    cost: u64,
    /// Where its last step starts.
    from: usize,
    step: Step,
}

/// What fills one or more slots of a row.
#[derive(Clone, Copy)]
enum Step {
    Slot,
    /// A brace of so many shares.
    Brace(usize),
}

/// Fills `row`; where braces do not reach, with plain slots.
fn row(times: &Times, row: &Row) -> Vec<Item> {
    let ways = ways(times, row);
    let mut items = Vec::new();
    let mut to = row.slots;
    while to > 0 {
        let Some(way) = ways[to] else { return vec![Item::Slot; row.slots] };
        items.push(match way.step {
            Step::Slot => Item::Slot,
            Step::Brace(shares) => row.brace(times, way.from, to, shares),
        });
        to = way.from;
    }
    items.reverse();
    items
}

/// The cheapest way to fill `row` up to each of its slots.
fn ways(times: &Times, row: &Row) -> Vec<Option<Way>> {
    let mut ways: Vec<Option<Way>> = vec![None; row.slots + 1];
    ways[0] = Some(Way { cost: 0, from: 0, step: Step::Slot });
    for from in 0..row.slots {
        let Some(way) = ways[from] else { continue };
        row.steps(times, from, |to, cost, step| {
            let cost = way.cost + cost;
            // Of ways that cost the same the one with the shorter last step stays: it comes later.
            if ways[to].is_none_or(|known| cost <= known.cost) {
                ways[to] = Some(Way { cost, from, step });
            }
        });
    }
    ways
}

impl Row<'_> {
    fn time(&self, slot: usize) -> i128 {
        self.at + self.share * slot as i128
    }

    /// The runs that begin from `from` on and before `to`.
    fn runs_between(&self, from: i128, to: i128) -> &[RunTimes] {
        let first = self.runs.partition_point(|run| run.start < from);
        let len = self.runs[first..].partition_point(|run| run.start < to);
        &self.runs[first..first + len]
    }

    /// Tells each way to go on from the slot `from`: to which slot, at what cost, by what step.
    fn steps(&self, times: &Times, from: usize, mut tell: impl FnMut(usize, u64, Step)) {
        let start = self.time(from);
        if let [run, ..] = self.runs_between(start, start + 1)
            && (run.end - start) % self.share == 0
        {
            let to = from + ((run.end - start) / self.share) as usize;
            return tell(to.min(self.slots), 1 + too_wide(to - from), Step::Brace(run.slots));
        }
        let next = self.time(from + 1);
        if times.cuts_between(start, next).is_empty() && self.runs_between(start, next).is_empty() {
            tell(from + 1, 1, Step::Slot);
            if self.cut == Cut::Fine {
                return;
            }
        }
        let mut found = false;
        for to in from + 1..=self.slots {
            if found && to - from > NARROW || self.cut == Cut::Coarse && to - from == self.slots {
                return;
            }
            let Some((shares, bounds)) = self.shares(times, start, self.time(to)) else { continue };
            let unread = too_wide(to - from) + self.unread(start, self.time(to), shares);
            found |= unread == 0;
            tell(to, BRACE * (1 + bounds) + shares as u64 + unread, Step::Brace(shares));
        }
    }

    /// Into how many shares a brace from `start` to `end` would be cut, and how many bounds of slots with
    /// something beginning at them it would go over; none where a run goes on beyond it.
    fn shares(&self, times: &Times, start: i128, end: i128) -> Option<(usize, u64)> {
        let mut share = end - start;
        let mut bounds = 0;
        let mut inside = start;
        for run in self.runs_between(start, end) {
            if run.end > end {
                return None;
            }
            if run.start >= inside {
                share = gcd(gcd(share, run.start - start), run.end - start);
                inside = run.end;
            }
        }
        for cut in times.cuts_between(start, end) {
            let before = self.runs_between(start, *cut);
            if before.iter().any(|run| *cut < run.end) {
                continue;
            }
            share = gcd(share, cut - start);
            bounds += u64::from((cut - self.at) % self.share == 0);
        }
        let shares = (end - start) / share;
        // Braces of these sizes would be runs, so each share is cut again.
        let shares = match shares {
            1 => return None,
            3 => 15,
            6 | 9 => 18,
            12 => 24,
            shares => shares,
        };
        Some((usize::try_from(shares).ok()?, bounds))
    }

    /// What it costs that a run between `start` and `end`, cut into `shares`, fills more than a reader takes.
    fn unread(&self, start: i128, end: i128, shares: usize) -> u64 {
        let widest = self.runs_between(start, end).iter().map(|run| run.end - run.start).max().unwrap_or(0);
        too_wide((widest * shares as i128 / (end - start)) as usize)
    }

    /// The brace from the slot `from` to the slot `to`, cut into `shares`.
    fn brace(&self, times: &Times, from: usize, to: usize, shares: usize) -> Item {
        let (start, end) = (self.time(from), self.time(to));
        let runs = self.runs_between(start, end);
        // The run that this brace is needs no brace in it.
        let is_run =
            runs.first().is_some_and(|run| run.start == start && run.end == end && run.slots == shares);
        let runs = if is_run { &runs[1..] } else { runs };
        let of = |shares: usize, cut| Row {
            at: start,
            share: (end - start) / shares as i128,
            slots: shares,
            runs,
            cut,
        };
        let plain = of(shares, if is_run { Cut::Given } else { Cut::Fine });
        let cost = shares as u64 + self.unread(start, end, shares);
        let coarser = if is_run || cost <= COARSE as u64 { None } else { coarser(times, end - start, of) };
        let inner = coarser.filter(|coarser| coarser.0 <= cost).map_or(plain, |(_, row)| row);
        Item::Brace { over: to - from, shares: inner.slots, items: row(times, &inner) }
    }
}

/// What it costs that a brace fills more slots than a reader takes.
const fn too_wide(over: usize) -> u64 {
    if over > WIDEST as usize { UNREADABLE } else { 0 }
}

/// Shares that leave some things between them, to go into braces of their own: the cheapest, and its cost.
fn coarser<'r>(times: &Times, length: i128, of: impl Fn(usize, Cut) -> Row<'r>) -> Option<(u64, Row<'r>)> {
    let shares = (2..=COARSE).filter(|shares| !matches!(shares, 3 | 6 | 9 | 12));
    let rows = shares.filter(|shares| length % *shares as i128 == 0).map(|shares| of(shares, Cut::Coarse));
    let costs = rows.filter_map(|row| Some((ways(times, &row)[row.slots]?.cost, row)));
    costs.min_by_key(|(cost, _)| *cost)
}
