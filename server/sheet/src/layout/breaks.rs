//! Where lines break: the best way for the tune as a whole.
//!
//! Every line costs something for each of its faults: room that is stretched or pressed, an end in the
//! middle of a phrase, a density unlike that of the line before. Of all ways to break the tune, the one is taken
//! that costs the least in all, after D. E. Knuth and M. F. Plass, *Breaking paragraphs into lines*, 1981. What a line costs depends
//! on where it begins and ends and on how dense the line before is, so the best way up to each possible
//! last line is all there is to remember.

use std::ops::Range;

/// A bar as far as breaking lines depends on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Box {
    /// Room that neither stretches nor shrinks.
    pub fixed: f32,
    /// The least that the rest takes.
    pub least: f32,
    /// What the rest takes by nature.
    pub natural: f32,
    /// Whether a line has to begin with it.
    pub begins: bool,
    /// Its number in its part, by which phrases of four bars are told.
    pub number: u32,
    /// Whether a line that ends with it ends in the middle of a bar.
    pub parted: bool,
}

/// Breaks `boxes` into lines as wide as `width` says of the line that begins with box number so-and-so, of
/// which each costs `paper` for the room it takes.
pub fn lines(boxes: &[Box], paper: f32, width: impl Fn(usize) -> f32) -> Vec<Range<usize>> {
    let mut ends: Vec<Vec<Way>> = vec![Vec::new(); boxes.len() + 1];
    ends[0].push(Way { cost: 0.0, start: 0, before: 0, density: None });
    for start in 0..boxes.len() {
        if ends[start].is_empty() {
            continue;
        }
        let mut sums = Sums::default();
        for end in start + 1..=boxes.len() {
            if end > start + 1 && boxes[end - 1].begins {
                break;
            }
            sums.add(&boxes[end - 1]);
            let line = Line::of(boxes, start..end, sums, width(start));
            // A single box has to stand somewhere, however wide it is.
            if line.too_wide && end > start + 1 {
                break;
            }
            let ways = ends[start].iter().enumerate();
            let costs =
                ways.map(|(before, way)| (way.cost + paper + line.cost + line.beside(way.density), before));
            let best = costs.min_by(|one, other| one.0.total_cmp(&other.0));
            if let Some((cost, before)) = best {
                ends[end].push(Way { cost, start, before, density: line.density });
            }
        }
    }
    trace(&ends)
}

/// The cheapest way to a last line from `start`.
#[derive(Clone, Copy, Debug)]
struct Way {
    cost: f32,
    start: usize,
    /// The way up to `start`, by its place among those that end there.
    before: usize,
    density: Option<f32>,
}

fn trace(ends: &[Vec<Way>]) -> Vec<Range<usize>> {
    let mut lines = Vec::new();
    let mut end = ends.len() - 1;
    let cheapest = |ways: &[Way]| {
        ways.iter().enumerate().min_by(|one, other| one.1.cost.total_cmp(&other.1.cost)).map(|(at, _)| at)
    };
    let Some(mut at) = cheapest(&ends[end]) else { return lines };
    while end > 0 {
        let way = ends[end][at];
        lines.push(way.start..end);
        (end, at) = (way.start, way.before);
    }
    lines.reverse();
    lines
}

#[derive(Clone, Copy, Debug, Default)]
struct Sums {
    fixed: f32,
    least: f32,
    natural: f32,
}

impl Sums {
    fn add(&mut self, other: &Box) {
        self.fixed += other.fixed;
        self.least += other.least;
        self.natural += other.natural;
    }
}

/// A line that could be.
struct Line {
    cost: f32,
    too_wide: bool,
    /// How much its music is stretched, as a power of e; none where it ends short of the margin.
    density: Option<f32>,
}

/// A last line that would have to be stretched more than this ends short of the margin.
pub const LOOSEST: f32 = 1.75;

impl Line {
    fn of(boxes: &[Box], line: Range<usize>, sums: Sums, width: f32) -> Self {
        let room = width - sums.fixed;
        let stretch = room.max(1.0) / sums.natural.max(1.0);
        let ends_part = boxes.get(line.end).is_none_or(|next| next.begins);
        let bars = boxes[line.end - 1].number;
        let mut cost = 0.0;
        let mut density = Some(stretch.ln());
        if ends_part && stretch > LOOSEST {
            // A short last line is no fault, but a page of short lines is.
            cost += 0.8 + 0.6 * (1.0 - LOOSEST / stretch);
            density = None;
        } else {
            let scale = if stretch > 1.0 { 0.5 } else { 0.25 };
            cost += (stretch.ln() / scale).powi(2);
        }
        if !ends_part {
            cost += match bars {
                _ if boxes[line.end - 1].parted => 4.0,
                bars if bars % 4 == 0 => 0.0,
                bars if bars % 2 == 0 => 1.6,
                _ => 3.0,
            };
        }
        Self { cost, too_wide: sums.least > room + 0.01, density }
    }

    /// What it costs to stand below a line of density `before`.
    fn beside(&self, before: Option<f32>) -> f32 {
        match (self.density, before) {
            (Some(own), Some(before)) => ((own - before) / 0.45).powi(2),
            _ => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const PAPER: f32 = 0.25;

    fn cost(boxes: &[Box], lines: &[Range<usize>], width: f32) -> Option<f32> {
        let (mut cost, mut before) = (0.0, None);
        for line in lines {
            let mut sums = Sums::default();
            boxes[line.clone()].iter().for_each(|one| sums.add(one));
            let one = Line::of(boxes, line.clone(), sums, width);
            let begins_inside = boxes[line.start + 1..line.end].iter().any(|one| one.begins);
            if begins_inside || one.too_wide && line.len() > 1 {
                return None;
            }
            cost += PAPER + one.cost + one.beside(before);
            before = one.density;
        }
        Some(cost)
    }

    /// Every way to break `count` boxes into lines.
    fn every_way(count: usize) -> impl Iterator<Item = Vec<Range<usize>>> {
        (0..1_u32 << (count - 1)).map(move |breaks| {
            let mut lines = Vec::new();
            let mut start = 0;
            for end in 1..=count {
                if end == count || breaks >> (end - 1) & 1 == 1 {
                    lines.push(start..end);
                    start = end;
                }
            }
            lines
        })
    }

    fn boxes() -> impl Strategy<Value = Vec<Box>> {
        let one = (5.0..30.0_f32, 20.0..200.0_f32, 1.0..2.0_f32, prop::bool::weighted(0.1));
        prop::collection::vec(one, 1..13).prop_map(|boxes| {
            let boxes = (1..).zip(boxes).map(|(number, (fixed, least, more, begins))| Box {
                fixed,
                least,
                natural: least * more,
                begins,
                number,
                parted: number == 7,
            });
            boxes.collect()
        })
    }

    proptest! {
        #[test]
        fn no_way_to_break_the_lines_is_better(boxes in boxes(), width in 150.0..600.0_f32) {
            let found = lines(&boxes, PAPER, |_| width);
            let found = cost(&boxes, &found, width).unwrap();
            let best = every_way(boxes.len()).filter_map(|way| cost(&boxes, &way, width));
            let best = best.min_by(f32::total_cmp).unwrap();
            prop_assert!(found <= best * 1.0001 + 0.0001, "{found} {best}");
        }
    }

    #[test]
    fn eight_bars_are_two_lines_of_four() {
        let one = |number| Box {
            fixed: 12.0,
            least: 60.0,
            natural: 100.0,
            begins: number == 1,
            number,
            parted: false,
        };
        let boxes: Vec<Box> = (1..=8).chain(1..=8).map(one).collect();
        assert_eq!(lines(&boxes, PAPER, |_| 510.0), [0..4, 4..8, 8..12, 12..16]);
    }

    #[test]
    fn ten_thousand_bars_are_broken_in_no_time_and_nothing_needs_no_line() {
        let one =
            |number| Box { fixed: 12.0, least: 60.0, natural: 100.0, begins: false, number, parted: false };
        let boxes: Vec<Box> = (1..=10_000).map(one).collect();
        assert_eq!(lines(&boxes, PAPER, |_| 510.0).len(), 2500);
        assert_eq!(lines(&[], PAPER, |_| 510.0), Vec::<Range<usize>>::new());
    }
}
