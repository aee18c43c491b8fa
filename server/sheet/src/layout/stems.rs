//! The rhythm below the strings: stems, beams, flags, dots, ties, tuplets.

use std::ops::Range;

use super::draw::{arc, centred, dot, line, path, point, polygon};
use super::signs::{flags, hollow, rest};
use super::style::{BEAM, BEAM_STEP, FINE_LINE, STAFF, STEM_END, STEM_TOP, TUPLET};
use crate::frame::{Face, Ink, Item};
use crate::score::{Piece, Rhythm};

const TOP: f32 = STAFF + STEM_TOP;
const FOOT: f32 = STAFF + STEM_END;

/// Draws those `pieces` of `rhythm`, which stand at `xs`. A tie at the start comes from `before`, where the
/// piece before stands, or from the edge.
pub fn stems(rhythm: &Rhythm, pieces: Range<usize>, xs: &[f32], before: Option<f32>) -> Vec<Item> {
    let stems = Stems { rhythm, first: pieces.start, xs };
    let mut items = Vec::new();
    for at in pieces.clone() {
        let piece = &rhythm.pieces[at];
        let beams = rhythm.beams.iter().map(|beam| beam.start.max(pieces.start)..beam.end.min(pieces.end));
        let beamed = beams.filter(|beam| beam.len() > 1).any(|beam| beam.contains(&at));
        stems.piece(piece, stems.x(at), beamed, &mut items);
        if piece.tied {
            let from = if at > pieces.start { Some(stems.x(at - 1)) } else { before };
            let to = stems.x(at);
            let from = from.unwrap_or(to - 8.4);
            items.push(arc(point(from + 1.6, TOP + 1.0), point(to - 1.6, TOP + 1.0), -2.6, Ink::Text));
        }
    }
    for beam in &rhythm.beams {
        let beam = beam.start.max(pieces.start)..beam.end.min(pieces.end);
        if beam.len() > 1 {
            stems.beam(beam, &mut items);
        }
    }
    for tuplet in &rhythm.tuplets {
        let inside = tuplet.pieces.start.max(pieces.start)..tuplet.pieces.end.min(pieces.end);
        if !inside.is_empty() {
            let joined = rhythm.beams.contains(&tuplet.pieces);
            stems.tuplet(inside, tuplet.number, joined, &mut items);
        }
    }
    items
}

struct Stems<'s> {
    rhythm: &'s Rhythm,
    first: usize,
    xs: &'s [f32],
}

impl Stems<'_> {
    fn x(&self, at: usize) -> f32 {
        self.xs[at - self.first]
    }

    fn piece(&self, piece: &Piece, x: f32, beamed: bool, items: &mut Vec<Item>) {
        let value = piece.value;
        if piece.silent {
            items.extend(rest(value.halvings, value.dots, x));
            return;
        }
        let mut dots_at = point(x + 3.2, FOOT - 1.4);
        match value.halvings {
            0 => {
                items.push(hollow(point(x, FOOT - 1.9)));
                dots_at = point(x + 5.4, FOOT - 1.9);
            }
            1 => {
                items.push(line(point(x, TOP), point(x, FOOT - 3.8), FINE_LINE, Ink::Text));
                items.push(hollow(point(x, FOOT - 1.9)));
                dots_at = point(x + 5.4, FOOT - 1.9);
            }
            2 => items.push(line(point(x, TOP), point(x, FOOT), FINE_LINE, Ink::Text)),
            finer => {
                items.push(line(point(x, TOP), point(x, FOOT), FINE_LINE, Ink::Text));
                if !beamed {
                    items.extend(flags(finer - 2, point(x, FOOT)));
                    dots_at.x += 3.0;
                } else {
                    dots_at.y = FOOT - BEAM_STEP * f32::from(finer - 2) - 1.6;
                }
            }
        }
        let place = |at: u8| point(dots_at.x + 2.6 * f32::from(at), dots_at.y);
        items.extend((0..value.dots).map(|at| dot(place(at), 0.95, Ink::Text)));
    }

    /// The beams of the pieces `beam`, one below the other.
    fn beam(&self, beam: Range<usize>, items: &mut Vec<Item>) {
        let level_of = |at: usize| self.rhythm.pieces[at].value.halvings.saturating_sub(2);
        let most = beam.clone().map(level_of).max().unwrap_or(0);
        for level in 1..=most {
            let y = FOOT - BEAM_STEP * f32::from(level - 1);
            let mut at = beam.start;
            while at < beam.end {
                if level_of(at) < level {
                    at += 1;
                    continue;
                }
                let end = (at..beam.end).find(|next| level_of(*next) < level).unwrap_or(beam.end);
                let (mut from, mut to) = (self.x(at), self.x(end - 1));
                if end - at == 1 {
                    // A piece of a beam, toward the piece it shares a beat with.
                    if at > beam.start { from -= 5.0 } else { to += 5.0 }
                }
                let (from, to) = (from - FINE_LINE / 2.0, to + FINE_LINE / 2.0);
                items.push(polygon(
                    &[point(from, y - BEAM), point(to, y - BEAM), point(to, y), point(from, y)],
                    Ink::Text,
                ));
                at = end;
            }
        }
    }

    /// The number of a tuplet, with a bracket where no beam `joined` its pieces.
    fn tuplet(&self, pieces: Range<usize>, number: u32, joined: bool, items: &mut Vec<Item>) {
        let (from, to) = (self.x(pieces.start) - 2.0, self.x(pieces.end - 1) + 2.0);
        let middle = (from + to) / 2.0;
        let y = FOOT + TUPLET;
        let words = number.to_string();
        let half = crate::font::width(Face::Italic, 8.0, &words) / 2.0 + 1.8;
        items.push(centred(point(middle, y), (Face::Italic, 8.0), Ink::Text, words));
        if !joined && middle - half > from && middle + half < to {
            let left = [point(from, y - 3.0), point(from, y), point(middle - half, y)];
            let right = [point(middle + half, y), point(to, y), point(to, y - 3.0)];
            items.extend([path(&left, 0.6, Ink::Text), path(&right, 0.6, Ink::Text)]);
        }
    }
}
