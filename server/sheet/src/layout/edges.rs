//! What stands at the edges of bars: bar lines, repeats, meters, the tuning; and bars without slots.

use lope_tune::{Meter, Tuning};

use super::draw::{centred, dot, line, path, point, text};
use super::labels;
use super::notes::string_y;
use super::placed::Placed;
use super::style::{BAR_LINE, FINE_LINE, HEAVY_LINE, METER_SIZE, REPEAT, SPACE, STAFF};
use super::system::{Stage, System, meter_at};
use crate::frame::{Anchor, Face, Ink, Item};
use crate::score::{Closing, Drawn, Opening};
use crate::spelling;

/// The notes of the open strings, each before its own, left of `to`.
pub fn tuning(tuning: &Tuning, to: f32) -> Vec<Item> {
    let letters = spelling::strings(tuning);
    let string = |(string, letter): (u8, &String)| {
        let at = point(to - 5.0, string_y(string) + 7.4 * crate::font::CAPITAL / 2.0);
        text(at, Anchor::End, (Face::Regular, 7.4), Ink::Faint, letter.as_str())
    };
    (1..).zip(&letters).map(string).collect()
}

/// The line that a system begins with.
pub fn left_edge(x: f32) -> Vec<Item> {
    vec![upright(x + BAR_LINE / 2.0, BAR_LINE)]
}

fn upright(x: f32, width: f32) -> Item {
    // As far as the outer edges of the first and last string.
    line(point(x, -0.25), point(x, STAFF + 0.25), width, Ink::Text)
}

fn repeat_dots(x: f32) -> [Item; 2] {
    [1.5, 2.5].map(|space| dot(point(x, space * SPACE), 1.35, Ink::Text))
}

/// What stands before the first column of a bar.
pub fn opening(stage: &Stage<'_>, drawn: &Drawn, bar: &Placed<'_>) -> Vec<Item> {
    let mut items = Vec::new();
    if !bar.measure.first {
        return items;
    }
    if drawn.opens == Opening::Repeat {
        let x = bar.from + HEAVY_LINE / 2.0;
        items.extend([upright(x, HEAVY_LINE), upright(x + 3.4, BAR_LINE)]);
        items.extend(repeat_dots(bar.from + REPEAT - 0.6));
    }
    if shows_meter(stage, bar.measure.drawn) {
        let meter = stage.tune.frames[drawn.frame as usize].meter;
        items.extend(meter_digits(meter, meter_at(drawn, meter, bar.from)));
    }
    items
}

/// Whether the meter of a bar is written before it.
pub fn shows_meter(stage: &Stage<'_>, drawn: usize) -> bool {
    let meter = |at: usize| stage.tune.frames[stage.score.bars[at].frame as usize].meter;
    drawn.checked_sub(1).is_none_or(|before| meter(before) != meter(drawn))
}

fn meter_digits(meter: Meter, x: f32) -> Vec<Item> {
    let digits = |number: u32, space: f32| {
        let words = number.to_string();
        centred(point(x, space * SPACE), (Face::Bold, METER_SIZE), Ink::Text, words)
    };
    vec![digits(meter.beats, 1.0), digits(meter.unit, 3.0)]
}

/// What stands after the last column of a bar.
pub fn closing(system: &mut System<'_>, drawn: &Drawn, bar: &Placed<'_>) -> Vec<Item> {
    let right = bar.to;
    if !bar.measure.last {
        // The bar goes on in the next line.
        let dash = |at: u8| {
            let y = STAFF * (0.08 + 0.24 * f32::from(at));
            line(point(right - 0.4, y), point(right - 0.4, y + STAFF * 0.12), FINE_LINE, Ink::Faint)
        };
        return (0..4).map(dash).collect();
    }
    let x = right - BAR_LINE / 2.0;
    match drawn.closes {
        Closing::Plain => vec![upright(x, BAR_LINE)],
        Closing::Double => vec![upright(x, BAR_LINE), upright(x - 2.6, BAR_LINE)],
        Closing::End | Closing::Repeat(_) => {
            let x = right - HEAVY_LINE / 2.0;
            let mut items = vec![upright(x, HEAVY_LINE), upright(x - 3.4, BAR_LINE)];
            if let Closing::Repeat(times) = drawn.closes {
                items.extend(repeat_dots(right - REPEAT + 0.6));
                if times > 2 {
                    labels::times(system, times, right);
                }
            }
            items
        }
    }
}

/// The sign for the bar before once more: a stroke between two dots.
pub fn again(bar: &Placed<'_>) -> Vec<Item> {
    let (middle, half) = (middle(bar), SPACE * 0.85);
    let stroke = [point(middle - half, 2.0 * SPACE + half), point(middle + half, 2.0 * SPACE - half)];
    vec![
        path(&stroke, 2.2, Ink::Text),
        dot(point(middle - half, 2.0 * SPACE - half * 0.55), 1.5, Ink::Text),
        dot(point(middle + half, 2.0 * SPACE + half * 0.55), 1.5, Ink::Text),
    ]
}

/// A bar of which nothing can be drawn: hatched, with its words below.
pub fn gap(bar: &Placed<'_>, words: &str) -> Vec<Item> {
    let (from, to) = (bar.from + bar.measure.left, bar.to - bar.measure.right - 4.0);
    let count = ((to - from - STAFF * 0.5) / 6.0).max(1.0) as u32;
    let wide = (to - from - STAFF * 0.5) / count as f32;
    let hatch = |at: u32| {
        let x = from + wide * at as f32;
        line(point(x, STAFF - 4.0), point(x + STAFF * 0.5, 4.0), 0.6, Ink::Finding)
    };
    let mut items: Vec<Item> = (0..=count).map(hatch).collect();
    if !words.is_empty() {
        let (words, size) = super::draw::fitted(words, Face::Italic, 8.0, bar.to - bar.from - 6.0, 0.6);
        items.push(centred(point(middle(bar), STAFF + 9.0), (Face::Italic, size), Ink::Finding, words));
    }
    items
}

fn middle(bar: &Placed<'_>) -> f32 {
    (bar.from + bar.measure.left + bar.to - bar.measure.right) / 2.0
}
