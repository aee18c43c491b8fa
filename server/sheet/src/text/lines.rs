use std::ops::Range;

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use super::strip::Strip;
use crate::score::{Closing, Drawn};

/// Writes the bars of a part in lines of at most `width` letters.
pub fn write(letters: &[String; 5], part: &[Drawn], strips: &[Strip], width: usize, out: &mut Vec<String>) {
    let margin = letters.iter().map(|letter| letter.width()).max().unwrap_or(1) + 1;
    // Besides, there is the line that opens the first bar, and one more at the end of a part.
    let room = width - margin - 2;
    let mut at = 0;
    let mut first = true;
    while at < part.len() {
        let end = end_of_line(part, strips, at, room);
        let whole = at..end;
        let widest: usize = strips[whole.clone()].iter().map(|strip| strip.width + 1).sum();
        // A bar that is too long for a line is cut, never through a fret.
        let cell = strips[at].cell.max(1);
        let long = room / cell * cell;
        let pieces = if widest > room { widest.div_ceil(long) } else { 1 };
        for piece in 0..pieces {
            if !std::mem::take(&mut first) {
                out.push(String::new());
            }
            let columns = piece * long..if pieces == 1 { widest } else { (piece + 1) * long };
            Line { letters, margin, part: &part[whole.clone()], strips: &strips[whole.clone()], columns }
                .write(out);
        }
        at = end;
    }
}

/// Where the line that begins with bar `start` ends: after the last bar that fits, or after one before it
/// where a phrase of four or two bars ends, if that leaves the line half full.
fn end_of_line(part: &[Drawn], strips: &[Strip], start: usize, room: usize) -> usize {
    let mut used = 0;
    let fits = strips[start..].iter().take_while(|strip| {
        used += strip.width + 1;
        used <= room
    });
    let count = fits.count().max(1);
    let last = start + count;
    if last == part.len() {
        return last;
    }
    let ends = |bars: u32| {
        (start + count.div_ceil(2)..=last).rev().find(|end| part[end - 1].number.is_multiple_of(bars))
    };
    ends(4).or_else(|| ends(2)).unwrap_or(last)
}

struct Line<'l> {
    letters: &'l [String; 5],
    margin: usize,
    part: &'l [Drawn],
    strips: &'l [Strip],
    /// Which columns of the bars are written, bar lines counted.
    columns: Range<usize>,
}

impl Line<'_> {
    fn write(&self, out: &mut Vec<String>) {
        for row in self.rows_of_words() {
            out.push(" ".repeat(self.margin + 1) + &row);
        }
        self.row(|strip| &strip.marks, out);
        for (string, letter) in self.letters.iter().enumerate() {
            let pad = " ".repeat(self.margin - letter.width());
            let mut line = format!("{letter}{pad}|");
            let mut rows = Vec::new();
            for strip in self.strips {
                rows.extend_from_slice(&strip.strings[string]);
                rows.push(b'|');
            }
            line.push_str(&self.cut(&rows));
            let ends_part = self.part.last().is_some_and(|bar| bar.closes != Closing::Plain);
            if ends_part && self.columns.end >= rows.len() {
                line.push('|');
            }
            out.push(line);
        }
        self.row(|strip| &strip.strokes, out);
        self.row(|strip| &strip.counts, out);
    }

    fn cut(&self, row: &[u8]) -> String {
        let end = self.columns.end.min(row.len());
        String::from_utf8_lossy(&row[self.columns.start.min(end)..end]).into_owned()
    }

    /// A row that is left out where nothing is in it.
    fn row(&self, of: impl Fn(&Strip) -> &Vec<u8>, out: &mut Vec<String>) {
        let mut row = Vec::new();
        for strip in self.strips {
            row.extend_from_slice(of(strip));
            row.push(b' ');
        }
        let row = self.cut(&row);
        if !row.trim().is_empty() {
            out.push(" ".repeat(self.margin + 1) + &row);
        }
    }

    /// Endings, words and chord symbols, from the top down.
    fn rows_of_words(&self) -> Vec<String> {
        let (mut words, mut chords, mut endings) = (Vec::new(), Vec::new(), Vec::new());
        let mut start = 0;
        for (drawn, strip) in self.part.iter().zip(self.strips) {
            if let Some(ending) = drawn.ending.as_ref().filter(|ending| ending.begins) {
                endings.push((start, format!("ending {}", ending.label)));
            }
            let there = |(column, text): &(usize, String)| (start + column, text.clone());
            words.extend(strip.labels.iter().map(there));
            chords.extend(strip.chords.iter().map(there));
            start += strip.width + 1;
        }
        let here = |labels: Vec<(usize, String)>| -> Vec<(usize, String)> {
            let inside = labels.into_iter().filter(|(column, _)| self.columns.contains(column));
            inside.map(|(column, text)| (column - self.columns.start, text)).collect()
        };
        [endings, words, chords].into_iter().flat_map(|labels| rows(here(labels), self.room())).collect()
    }

    fn room(&self) -> usize {
        let all: usize = self.strips.iter().map(|strip| strip.width + 1).sum();
        self.columns.end.min(all).saturating_sub(self.columns.start).max(12)
    }
}

/// Labels in as few rows as there is room for, none wider than `room`, the first at the bottom.
fn rows(labels: Vec<(usize, String)>, room: usize) -> Vec<String> {
    let mut rows: Vec<String> = Vec::new();
    for (column, text) in labels {
        let text = shortened(&text, room);
        let column = column.min(room.saturating_sub(text.width()));
        let free = rows.iter().position(|row| row.is_empty() || row.width() < column);
        let at = free.unwrap_or_else(|| {
            rows.push(String::new());
            rows.len() - 1
        });
        let pad = column.saturating_sub(rows[at].width());
        rows[at].push_str(&" ".repeat(pad));
        rows[at].push_str(&text);
    }
    rows.reverse();
    rows
}

fn shortened(text: &str, room: usize) -> String {
    let text: String = text.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect();
    if text.width() <= room {
        return text;
    }
    let mut left = room - 1;
    let fits = text.chars().take_while(|letter| {
        let wide = letter.width().unwrap_or(0);
        let fits = wide <= left;
        left = left.saturating_sub(wide);
        fits
    });
    fits.collect::<String>() + "…"
}
