//! Which notes of a file are meant.

use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

use clap::Args;
use lope_desk::{Entry, Page, Reading, Span};
use lope_tune::{BarId, SectionKind};

/// A place in a tune, as a player says it or as findings are shown.
#[derive(Args)]
pub struct Place {
    /// The tune's file, with the line of the bar and the column of a note in it where that helps: TUNE:12:5;
    /// `-` for standard input, written to standard output
    #[arg(value_name = "TUNE[:LINE[:COLUMN]]")]
    at: String,
    /// The title of the tune, where the file holds several
    #[arg(long, value_name = "TITLE")]
    tune: Option<String>,
    /// The part or phrase; where no line is given either, the first
    #[arg(long, value_name = "NAME")]
    part: Option<String>,
    /// The bar of the part, counted from 1; 0 is the pickup
    #[arg(long, value_name = "NUMBER")]
    bar: Option<u32>,
    /// The counts of the bar, first to last; the whole bar where none are given
    #[arg(long, value_name = "COUNTS", value_parser = counts)]
    counts: Option<RangeInclusive<u32>>,
}

impl Place {
    /// The file.
    pub fn path(&self) -> PathBuf {
        self.split().0
    }

    /// The file, and the line and column, both from 1, where they are given. A file whose own name ends in
    /// such numbers is taken at its name.
    fn split(&self) -> (PathBuf, Option<(u32, u32)>) {
        let whole = || (PathBuf::from(&self.at), None);
        if Path::new(&self.at).exists() {
            return whole();
        }
        let number = |text: &str| text.parse::<u32>().ok().filter(|number| *number > 0);
        let Some((before, last)) = self.at.rsplit_once(':') else { return whole() };
        let Some(last) = number(last) else { return whole() };
        match before.rsplit_once(':') {
            Some((path, line)) if let Some(line) = number(line) => (path.into(), Some((line, last))),
            _ => (before.into(), Some((last, 1))),
        }
    }

    /// The tune meant in `page`, and its notes.
    pub fn find<'p>(&self, page: &'p Page) -> Result<(Entry<'p>, Span), String> {
        let (_, spot) = self.split();
        let entry = self.entry(page, spot.map(|(line, _)| line - 1))?;
        let reading = entry.reading;
        let bar = match spot.filter(|_| self.part.is_none() && self.bar.is_none()) {
            Some((line, column)) => bar_at(&entry, line - 1, column - 1)?,
            None => self.bar(reading)?,
        };
        let place = &reading.written().source.bars[bar.index()];
        let Some(counts) = &self.counts else { return Ok((entry, place.span)) };
        reading.span_of_counts(bar, counts.clone()).map(|span| (entry, span)).ok_or_else(|| {
            let (first, last) = (counts.start(), counts.end());
            format!("no note stands at counts {first} to {last} of bar {}", place.number)
        })
    }

    fn entry<'p>(&self, page: &'p Page, line: Option<u32>) -> Result<Entry<'p>, String> {
        let titled = |entry: &Entry<'_>| {
            self.tune.as_ref().is_none_or(|title| entry.reading.tune().header.title == *title)
        };
        let has_line = |entry: &Entry<'_>| line.is_none_or(|line| entry.line <= line);
        let mut entries = page.entries().filter(titled);
        match line {
            Some(_) => entries.filter(has_line).last(),
            None => entries.next(),
        }
        .ok_or_else(|| match &self.tune {
            Some(title) => format!("no tune here is called {title}"),
            None => "no tune stands at that line".to_owned(),
        })
    }

    fn bar(&self, reading: &Reading) -> Result<BarId, String> {
        let tune = reading.tune();
        let named = |name: &str| self.part.as_ref().is_none_or(|wanted| wanted == name);
        let sections: Vec<_> = tune.sections.iter().filter(|section| named(&section.name)).collect();
        if sections.is_empty() {
            return Err(match &self.part {
                Some(part) => format!("there is no part or phrase {part}"),
                None => "there is no part in it".to_owned(),
            });
        }
        let number = self.bar.unwrap_or(1);
        let places = &reading.written().source.bars;
        // An ending goes on with the numbers of its part.
        let body =
            sections.iter().filter(|section| !matches!(section.kind, SectionKind::Ending { .. })).take(1);
        let endings = sections.iter().filter(|section| matches!(section.kind, SectionKind::Ending { .. }));
        let mut bars = body.chain(endings).flat_map(|section| section.bars.clone());
        let bar = bars.find(|bar| places[*bar as usize].number == number);
        bar.map(BarId).ok_or_else(|| format!("there is no bar {number} in it: bars are counted from 1"))
    }
}

/// The bar at `line` and byte `column` of the file, both from 0, or the first after that on its line.
fn bar_at(entry: &Entry<'_>, line: u32, column: u32) -> Result<BarId, String> {
    let places = &entry.reading.written().source.bars;
    let at = |span: Span| (entry.spot(span.start), entry.spot(span.end));
    let bar = places.iter().position(|place| {
        let (start, end) = at(place.span);
        start.line <= line && (end.line, end.column) > (line, column)
    });
    bar.map(|bar| BarId(bar as u32)).ok_or_else(|| "no bar stands at that line".to_owned())
}

/// Reads `2` or `1-2`.
fn counts(text: &str) -> Result<RangeInclusive<u32>, String> {
    let (first, last) = text.split_once('-').unwrap_or((text, text));
    match (first.trim().parse(), last.trim().parse()) {
        (Ok(first), Ok(last)) if 0 < first && first <= last => Ok(first..=last),
        _ => Err("is no count: write one, as in 2, or the first and the last, as in 1-2".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_a_file_a_line_and_a_column() {
        let split = |at: &str| {
            let place = Place { at: at.to_owned(), tune: None, part: None, bar: None, counts: None };
            let (path, spot) = place.split();
            (path.display().to_string(), spot)
        };
        assert_eq!(split("reels/a.lope"), ("reels/a.lope".to_owned(), None));
        assert_eq!(split("reels/a.lope:12"), ("reels/a.lope".to_owned(), Some((12, 1))));
        assert_eq!(split("reels/a.lope:12:5"), ("reels/a.lope".to_owned(), Some((12, 5))));
        assert_eq!(split("reels/a.lope:0"), ("reels/a.lope:0".to_owned(), None));
        assert_eq!(split("a:b"), ("a:b".to_owned(), None));
    }

    #[test]
    fn counts_are_one_or_two_numbers() {
        assert_eq!(counts("2"), Ok(2..=2));
        assert_eq!(counts("1-3"), Ok(1..=3));
        assert!(counts("3-1").is_err() && counts("0").is_err() && counts("&").is_err());
    }
}
