//! A piece of a page as a picture in it, in few letters: outlines of a kind are one path, and frets and counts of a
//! kind in a bar are one row of digits, each at its place.

use std::collections::HashMap;
use std::fmt::Write;

use super::path::{Outline, Spot};
use super::style::{Kind, Styles, units};
use crate::font;
use crate::frame::{Group, Item, Line, Pen, Text};
use crate::svg::escaped;

/// What pictures of a page have in common.
#[derive(Default)]
pub struct Look {
    /// The classes, which have their colours and fonts.
    pub styles: Styles,
    /// What bars are read out as.
    pub readings: Readings,
}

/// What is read out, said in full once: what says the same elsewhere points to it.
#[derive(Default)]
pub struct Readings(HashMap<String, usize>);

impl Readings {
    /// The attributes of what reads as `reading`.
    fn said(&mut self, reading: &str) -> String {
        if let Some(number) = self.0.get(reading) {
            return format!("aria-labelledby=r{number}");
        }
        let number = self.0.len();
        self.0.insert(reading.to_owned(), number);
        format!("id=r{number} aria-label=\"{}\"", escaped(reading))
    }
}

/// Writes `items` as a picture: what is in the `area` from so far to the right and down, so wide and so high. It says
/// what bars are read out as, and no more.
pub fn picture(look: &mut Look, area: [f32; 4], items: &[Item]) -> String {
    let mut drawing = Drawing { look, paths: Vec::new(), words: String::new() };
    let mut rows = Vec::new();
    drawing.items(items, &mut rows);
    drawing.write(rows);
    let [x, y, width, height] = area.map(units);
    let mut out = format!("<svg viewBox=\"{x} {y} {width} {height}\">");
    for (kind, path) in drawing.paths {
        let _ =
            write!(out, "<path class={} d={}/>", drawing.look.styles.class(kind), quoted(&path.written()));
    }
    out.push_str(&drawing.words);
    out.push_str("</svg>\n");
    out
}

/// An attribute's value in quotes.
fn quoted(value: &str) -> String {
    format!("\"{value}\"")
}

struct Drawing<'s> {
    look: &'s mut Look,
    /// What lies below the words, by kind.
    paths: Vec<(Kind, Path)>,
    /// The words as they are written.
    words: String,
}

/// All outlines of a kind.
#[derive(Default)]
struct Path {
    outline: Outline,
    lines: Vec<(Spot, Spot)>,
}

/// Words of a kind: a digit each, or a text.
struct Row {
    kind: Kind,
    spots: Vec<Spot>,
    words: String,
    /// How long they are, where they are held to that.
    length: Option<i32>,
}

impl Drawing<'_> {
    fn items(&mut self, items: &[Item], rows: &mut Vec<Row>) {
        for item in items {
            match item {
                Item::Group(Group { reading, items, .. }) if reading.is_empty() => self.items(items, rows),
                Item::Group(Group { reading, items, .. }) => {
                    let mut own = Vec::new();
                    self.items(items, &mut own);
                    self.words.push_str("<g role=img ");
                    self.words.push_str(&self.look.readings.said(reading));
                    self.words.push('>');
                    self.write(own);
                    self.words.push_str("</g>\n");
                }
                Item::Line(Line { from, to, width, ink }) => {
                    let ends = ((*from).into(), (*to).into());
                    self.path(Kind::Lines(*ink, units(*width))).lines.push(ends);
                }
                Item::Shape(shape) => {
                    let kind = match shape.pen {
                        Pen::Fill => Kind::Filled(shape.ink),
                        Pen::Stroke(width) => Kind::Drawn(shape.ink, units(width)),
                    };
                    let outline = &mut self.path(kind).outline;
                    shape.steps.iter().for_each(|step| outline.step(step));
                }
                Item::Text(text) => add(rows, text),
            }
        }
    }

    fn path(&mut self, kind: Kind) -> &mut Path {
        let known = self.paths.iter().position(|(other, _)| *other == kind);
        let at = known.unwrap_or_else(|| {
            self.paths.push((kind, Path::default()));
            self.paths.len() - 1
        });
        &mut self.paths[at].1
    }

    fn write(&mut self, rows: Vec<Row>) {
        for Row { kind, spots, words, length } in rows {
            let class = self.look.styles.class(kind);
            let (xs, ys) = places(&spots);
            let _ = write!(self.words, "<text class={class} x={xs} y={ys}");
            if let Some(length) = length {
                let _ = write!(self.words, " textLength={length} lengthAdjust=spacingAndGlyphs");
            }
            let _ = write!(self.words, ">{}</text>", escaped(&words));
        }
    }
}

/// Adds a text to the row of its kind, or as one of its own. Digits do not lean on each other, so each can be set alone.
fn add(rows: &mut Vec<Row>, text: &Text) {
    let Text { at, face, size, words, .. } = text;
    let (kind, spot) = (Kind::of(text), (*at).into());
    let is_digit = words.len() == 1 && words.bytes().all(|byte| byte.is_ascii_digit());
    let is_row = |row: &&mut Row| row.kind == kind && row.words.len() == row.spots.len();
    if let Some(row) = rows.iter_mut().find(is_row).filter(|_| is_digit) {
        row.spots.push(spot);
        row.words.push_str(words);
        return;
    }
    // Frets and counts are too short to run into anything.
    let length = (words.len() > 3).then(|| units(font::width(*face, *size, words)));
    rows.push(Row { kind, spots: vec![spot], words: words.clone(), length });
}

/// Where each of a row stands: from the left, and from the top, which is said once where it is the same for all. Of the
/// left the same cannot be said: what has no place of its own follows what is before it.
fn places(spots: &[Spot]) -> (String, String) {
    let is_level = spots.windows(2).all(|pair| pair[0].y == pair[1].y);
    let level = if is_level { spots.get(..1).unwrap_or_default() } else { spots };
    (list(spots, |spot| spot.x), list(level, |spot| spot.y))
}

/// Numbers of `spots` as an attribute's value, without quotes where it is one.
fn list(spots: &[Spot], number: impl Fn(&Spot) -> i32) -> String {
    let mut out = String::with_capacity(2 + 6 * spots.len());
    for spot in spots {
        out.push(if out.is_empty() { '"' } else { ' ' });
        let _ = write!(out, "{}", number(spot));
    }
    if spots.len() == 1 {
        out.remove(0);
    } else {
        out.push('"');
    }
    out
}

impl Path {
    /// What is drawn, in the letters of a `d`. Level lines that meet are one.
    fn written(mut self) -> String {
        let (mut level, slanted): (Vec<_>, Vec<_>) =
            self.lines.into_iter().partition(|(from, to)| from.y == to.y);
        level.sort_by_key(|(from, to)| (from.y, from.x.min(to.x)));
        let mut merged: Vec<(Spot, Spot)> = Vec::new();
        for (from, to) in level {
            let (first, last) = (from.x.min(to.x), from.x.max(to.x));
            match merged.last_mut().filter(|(_, end)| end.y == from.y && first <= end.x) {
                Some((_, end)) => end.x = end.x.max(last),
                None => merged.push((Spot { x: first, y: from.y }, Spot { x: last, y: from.y })),
            }
        }
        for (from, to) in merged.into_iter().chain(slanted) {
            self.outline.go(from);
            self.outline.line(to);
        }
        self.outline.text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::tune;
    use crate::{Wishes, lay};

    fn drawn(source: &str) -> (String, Styles) {
        let tune = tune(source);
        let sheet = lay(&tune, &lope_hand::read(&tune), &Wishes::default());
        let mut look = Look::default();
        (picture(&mut look, [0.0, 0.0, 500.0, 300.0], &sheet.pages[0].items), look.styles)
    }

    #[test]
    fn a_picture_leaves_its_looks_to_the_page() {
        let (picture, styles) = drawn("tune: T\nmeter: 6/8\npart A\n| 3:0 t 3:2  h4 _ [3:0 2:0] |\n");
        for attribute in ["fill", "stroke", "font-", "text-anchor", "<title>", "data-"] {
            assert!(!picture.contains(attribute), "{attribute} in {picture}");
        }
        let rules = styles.rules();
        let classes: Vec<&str> =
            picture.split("class=").skip(1).filter_map(|rest| rest.split([' ', '>']).next()).collect();
        assert!(classes.len() > 8, "{picture}");
        assert!(classes.iter().all(|class| rules.contains(&format!(".{class}{{"))), "{rules}");
        assert_eq!(picture.matches("aria-label=").count(), 1);
    }

    #[test]
    fn frets_and_counts_of_a_bar_are_rows_of_digits() {
        let (picture, _) = drawn("tune: T\nmeter: 6/8\npart A\n| 3:0 t 3:10  h12 _ 3:5 |\n");
        // Counts that the hand falls on are bold.
        let rows: Vec<&str> = picture
            .split("</text>")
            .filter_map(|text| Some(text.rsplit_once('>')?.1))
            .filter(|words| words.bytes().all(|byte| byte.is_ascii_digit()))
            .collect();
        assert!(rows.contains(&"005") || rows.contains(&"05"), "{rows:?}");
        assert!(rows.contains(&"10") && rows.contains(&"12"), "{rows:?}");
        assert!(rows.contains(&"14") && rows.contains(&"2356"), "{rows:?}");
    }

    #[test]
    fn each_digit_has_its_place() {
        let at =
            |spots: &[(i32, i32)]| places(&spots.iter().map(|&(x, y)| Spot { x, y }).collect::<Vec<_>>());
        let told = |x: &str, y: &str| (x.to_owned(), y.to_owned());
        assert_eq!(at(&[(1, 9)]), told("1", "9"));
        assert_eq!(at(&[(1, 9), (2, 9)]), told("\"1 2\"", "9"));
        assert_eq!(at(&[(1, 9), (1, 8), (3, 8)]), told("\"1 1 3\"", "\"9 8 8\""));
    }

    #[test]
    fn what_reads_the_same_is_said_once() {
        let mut readings = Readings::default();
        assert_eq!(readings.said("bar 1: \"la\""), "id=r0 aria-label=\"bar 1: &quot;la&quot;\"");
        assert_eq!(readings.said("bar 2"), "id=r1 aria-label=\"bar 2\"");
        assert_eq!(readings.said("bar 1: \"la\""), "aria-labelledby=r0");
    }

    #[test]
    fn lines_that_meet_are_one() {
        let spot = |x, y| Spot { x, y };
        let lines = vec![
            (spot(0, 0), spot(10, 0)),
            (spot(0, 5), spot(10, 5)),
            (spot(10, 0), spot(20, 0)),
            (spot(22, 0), spot(30, 0)),
            (spot(40, 5), spot(40, 9)),
        ];
        let path = Path { lines, ..Path::default() };
        assert_eq!(path.written(), "M0 0h20m2 0h8M0 5h10m30 0v4");
    }
}
