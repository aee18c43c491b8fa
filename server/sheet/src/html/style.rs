//! The classes of a page: one for each kind of writing and of outline in it, so that each is described once.

use std::fmt::Write;

use crate::frame::{Anchor, Face, Ink, Text};

/// How many of a page's units a point has: whole units are finer than any eye sees, and short to write.
pub const UNITS: f32 = 20.0;

/// A length in the page's units.
pub fn units(points: f32) -> i32 {
    (points * UNITS).round() as i32
}

/// What a class describes. Lengths are in units.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Words: their face, size and where they are held.
    Words(Ink, Face, i32, Anchor),
    /// An outline that is filled.
    Filled(Ink),
    /// Straight lines so thick, with blunt ends.
    Lines(Ink, i32),
    /// An outline so thick, with round ends and joins.
    Drawn(Ink, i32),
}

impl Kind {
    /// That of `text`.
    pub fn of(text: &Text) -> Self {
        Self::Words(text.ink, text.face, units(text.size), text.anchor)
    }
}

/// The kinds that a page has, in the order in which they came up.
#[derive(Default)]
pub struct Styles(Vec<Kind>);

impl Styles {
    /// The class of `kind`.
    pub fn class(&mut self, kind: Kind) -> String {
        let known = self.0.iter().position(|other| *other == kind);
        name(known.unwrap_or_else(|| {
            self.0.push(kind);
            self.0.len() - 1
        }))
    }

    /// All of them as rules of a style sheet, which gives each ink its colour.
    pub fn rules(&self) -> String {
        let mut out = String::new();
        for (at, kind) in self.0.iter().enumerate() {
            let _ = write!(out, ".{}{{", name(at));
            match *kind {
                Kind::Words(ink, face, size, anchor) => {
                    let _ = write!(out, "fill:var(--{});font-size:{size}px", colour(ink));
                    out.push_str(match face {
                        Face::Regular => "",
                        Face::Bold => ";font-weight:700",
                        Face::Italic => ";font-style:italic",
                    });
                    out.push_str(match anchor {
                        Anchor::Start => "",
                        Anchor::Middle => ";text-anchor:middle",
                        Anchor::End => ";text-anchor:end",
                    });
                }
                Kind::Filled(ink) => {
                    let _ = write!(out, "fill:var(--{})", colour(ink));
                }
                Kind::Lines(ink, width) | Kind::Drawn(ink, width) => {
                    let _ = write!(out, "fill:none;stroke:var(--{});stroke-width:{width}", colour(ink));
                }
            }
            if matches!(kind, Kind::Drawn(..)) {
                out.push_str(";stroke-linecap:round;stroke-linejoin:round");
            }
            out.push_str("}\n");
        }
        out
    }
}

/// A name for each number: a letter, with a number where letters do not suffice.
fn name(at: usize) -> String {
    let letter = char::from(b'a' + (at % 26) as u8);
    if at < 26 { letter.to_string() } else { format!("{letter}{}", at / 26) }
}

const fn colour(ink: Ink) -> &'static str {
    crate::svg::class(ink)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kind_has_one_class_and_no_two_share_one() {
        let mut styles = Styles::default();
        let lines = |width| Kind::Lines(Ink::Text, width);
        let names: Vec<String> = (0..60).map(|width| styles.class(lines(width))).collect();
        assert_eq!((names[0].as_str(), names[26].as_str()), ("a", "a1"));
        assert!((0..60).all(|width| names.iter().filter(|name| **name == names[width]).count() == 1));
        assert_eq!(styles.class(lines(3)), names[3]);
        assert_eq!(styles.rules().lines().count(), 60);
    }
}
