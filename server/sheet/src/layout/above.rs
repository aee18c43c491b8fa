//! What stands above the strings, in rows that nothing runs into.

use super::draw::{place, point};
use crate::frame::Item;

/// The rows from the strings upward. All of a row stand on one line of a system as far as they are not in
/// each other's way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Row {
    /// The letters of slurs.
    Slurs,
    /// Accents and vibrato.
    Marks,
    /// The number of the bar that the system begins with.
    Number,
    /// The numbers of remarks.
    Remarks,
    /// Chord symbols.
    Chords,
    /// Words.
    Words,
    /// The brackets of endings.
    Endings,
    /// Names of parts, tempos.
    Headings,
}

const ROWS: [Row; 8] =
    [Row::Slurs, Row::Marks, Row::Number, Row::Remarks, Row::Chords, Row::Words, Row::Endings, Row::Headings];

/// Whom something belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Owner {
    /// The system.
    System,
    /// The bar of this place in the system.
    Bar(usize),
    /// An event, by its place among those of the system.
    Event(usize),
}

/// Something that stands above the strings.
#[derive(Clone, Debug)]
pub struct Raised {
    /// Its row.
    pub row: Row,
    /// Its left edge.
    pub from: f32,
    /// Its right edge.
    pub to: f32,
    /// Its height.
    pub height: f32,
    /// Its items, with its foot at 0.
    pub items: Vec<Item>,
    /// Whom it belongs to.
    pub owner: Owner,
}

/// The outline of what has been placed, upward from the first string at 0.
#[derive(Clone, Debug, Default)]
pub struct Skyline(Vec<(f32, f32, f32)>);

/// What is left free above and below a row, and beside what stands in it.
const AIR: f32 = 2.0;

impl Skyline {
    /// Adds something from x `from` to x `to` that reaches up to `top`.
    pub fn add(&mut self, from: f32, to: f32, top: f32) {
        self.0.push((from, to, top));
    }

    /// How high it reaches between two places.
    pub fn over(&self, from: f32, to: f32) -> f32 {
        let there = self.0.iter().filter(|(start, end, _)| *start < to && from < *end);
        there.map(|(_, _, top)| *top).fold(-2.0, f32::min)
    }

    /// How high it reaches at all.
    pub fn top(&self) -> f32 {
        self.over(f32::NEG_INFINITY, f32::INFINITY)
    }

    /// Gives everything in `raised` its height, and hands it to `take`.
    pub fn raise(&mut self, raised: Vec<Raised>, mut take: impl FnMut(Owner, Vec<Item>)) {
        let mut rows: [Vec<Raised>; ROWS.len()] = Default::default();
        for one in raised {
            rows[one.row as usize].push(one);
        }
        for mut row in rows {
            row.sort_by(|one, other| one.from.total_cmp(&other.from));
            while !row.is_empty() {
                row = self.raise_row(row, &mut take);
            }
        }
    }

    /// Raises those of `row` that stand beside each other, and answers the rest.
    fn raise_row(&mut self, row: Vec<Raised>, take: &mut impl FnMut(Owner, Vec<Item>)) -> Vec<Raised> {
        let mut end = f32::NEG_INFINITY;
        let (beside, rest): (Vec<_>, Vec<_>) = row.into_iter().partition(|one| {
            let fits = one.from >= end;
            if fits {
                end = one.to + AIR;
            }
            fits
        });
        let foot = beside.iter().map(|one| self.over(one.from - AIR, one.to + AIR)).fold(0.0, f32::min) - AIR;
        for mut one in beside {
            place(&mut one.items, point(0.0, foot), 1.0);
            self.add(one.from, one.to, foot - one.height);
            take(one.owner, one.items);
        }
        rest
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn nothing_runs_into_anything(
            boxes in prop::collection::vec((0..8_usize, 0.0..100.0_f32, 1.0..60.0_f32, 1.0..20.0_f32), 0..40),
        ) {
            let raised = boxes.iter().enumerate().map(|(at, &(row, from, wide, height))| Raised {
                row: ROWS[row],
                from,
                to: from + wide,
                height,
                items: vec![super::super::draw::line(
                    point(from, -height),
                    point(from + wide, 0.0),
                    1.0,
                    crate::frame::Ink::Text,
                )],
                owner: Owner::Event(at),
            });
            let mut placed = Vec::new();
            Skyline::default().raise(raised.collect(), |_, items| placed.extend(items));
            prop_assert_eq!(placed.len(), boxes.len());
            let corners = |item: &Item| match item {
                Item::Line(line) => (line.from.x, line.from.y, line.to.x, line.to.y),
                _ => (0.0, 0.0, 0.0, 0.0),
            };
            for (at, one) in placed.iter().enumerate() {
                let one = corners(one);
                prop_assert!(one.3 <= -AIR);
                for other in placed[..at].iter().map(corners) {
                    let apart = one.2 <= other.0 || other.2 <= one.0 || one.3 <= other.1 || other.3 <= one.1;
                    prop_assert!(apart, "{:?} {:?}", one, other);
                }
            }
        }
    }
}
