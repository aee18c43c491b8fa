use std::ops::Range;
use std::sync::Arc;

use lope_rules::{Finding, Settings};
use lope_syntax::{Span, tunes};

use crate::{Change, Reading, Spot, Text, spot};

/// A file: its tunes in a row, each with its reading.
pub struct Page {
    settings: Arc<Settings>,
    readings: Vec<Arc<Reading>>,
}

/// A tune of a page, and where in the file it stands.
#[derive(Clone, Copy)]
pub struct Entry<'p> {
    /// The tune; as long as an edit does not touch it, the same one.
    pub reading: &'p Arc<Reading>,
    /// The byte of the file at which its text starts.
    pub offset: usize,
    /// The line of the file at which its text starts, from 0.
    pub line: u32,
}

impl Page {
    /// Reads a file's text and checks it under `settings`.
    pub fn read(text: &str, settings: &Arc<Settings>) -> Self {
        let readings = tunes(text).into_iter().map(|range| Arc::new(Reading::new(&text[range], settings)));
        Self { settings: Arc::clone(settings), readings: readings.collect() }
    }

    /// Reads a file's text like [`Page::read`], to keep it, for as long as it is `wanted`, which is asked before each
    /// tune.
    pub fn read_while(text: &str, settings: &Arc<Settings>, wanted: impl Fn() -> bool) -> Option<Self> {
        let readings = tunes(text).into_iter().map(|range| {
            let reading = wanted().then(|| Reading::new(&text[range], settings).compact());
            reading.map(Arc::new)
        });
        Some(Self { settings: Arc::clone(settings), readings: readings.collect::<Option<_>>()? })
    }

    /// Catches up with a change that made the file's text `text`: reads again the tunes it touched.
    pub fn edit(&mut self, text: &(impl Text + ?Sized), change: Change) {
        let (tunes_before, bytes_before) = self.touched(change);
        // The text after may be another than the change says only if someone else is wrong; then the
        // whole of it is read.
        let grown = text.size().checked_sub(self.size()).map(|grown| bytes_before.end + grown);
        let shrunk =
            self.size().checked_sub(text.size()).and_then(|shrunk| bytes_before.end.checked_sub(shrunk));
        let (tunes_before, bytes) = match grown.or(shrunk) {
            Some(end) if bytes_before.start <= end => (tunes_before, bytes_before.start..end),
            _ => (0..self.readings.len(), 0..text.size()),
        };
        let text = text.slice(bytes);
        let pieces: Vec<&str> = tunes(&text).into_iter().map(|range| &text[range]).collect();
        let old = &self.readings[tunes_before.clone()];
        let same = |(reading, piece): &(&Arc<Reading>, &&str)| reading.text() == **piece;
        let head = old.iter().zip(&pieces).take_while(same).count();
        let tail = old[head..].iter().rev().zip(pieces[head..].iter().rev()).take_while(same).count();
        let fresh = pieces[head..pieces.len() - tail]
            .iter()
            .map(|piece| Arc::new(Reading::new(*piece, &self.settings).compact()));
        let fresh: Vec<Arc<Reading>> = fresh.collect();
        self.readings.splice(tunes_before.start + head..tunes_before.end - tail, fresh);
    }

    /// The tunes that `change` may have made others, and the bytes they had before: those it touches, and
    /// one on either side, since a tune's first line and the comments above it decide where it starts.
    fn touched(&self, change: Change) -> (Range<usize>, Range<usize>) {
        let (mut first, mut last) = (None, 0);
        let (mut starts, mut at) = (Vec::with_capacity(self.readings.len() + 1), 0);
        for (number, reading) in self.readings.iter().enumerate() {
            starts.push(at);
            let end = at + reading.text().len();
            if first.is_none() && change.start <= end {
                first = Some(number);
            }
            if at <= change.old_end {
                last = number;
            }
            at = end;
        }
        starts.push(at);
        let first = first.unwrap_or(last).saturating_sub(1);
        let after = (last + 2).min(self.readings.len());
        (first..after, starts[first]..starts[after])
    }

    /// How many bytes the file has.
    pub fn size(&self) -> usize {
        self.readings.iter().map(|reading| reading.text().len()).sum()
    }

    /// The settings it was checked under.
    pub const fn settings(&self) -> &Arc<Settings> {
        &self.settings
    }

    /// The tunes in order. A file without any has one, which is empty.
    pub fn entries(&self) -> impl Iterator<Item = Entry<'_>> {
        let (mut offset, mut line) = (0, 0);
        self.readings.iter().map(move |reading| {
            let entry = Entry { reading, offset, line };
            offset += reading.text().len();
            line += reading.breaks();
            entry
        })
    }

    /// The tune that has the byte at `offset`, or ends there as the last.
    pub fn entry_at(&self, offset: usize) -> Option<Entry<'_>> {
        let mut found = None;
        for entry in self.entries() {
            if entry.offset > offset {
                break;
            }
            found = Some(entry);
        }
        found.filter(|entry| offset <= entry.offset + entry.reading.text().len())
    }

    /// Every finding with the tune it was made in, in the order of the file.
    pub fn findings(&self) -> impl Iterator<Item = (Entry<'_>, &Finding)> {
        self.entries().flat_map(|entry| entry.reading.findings().iter().map(move |finding| (entry, finding)))
    }
}

impl Entry<'_> {
    /// The bytes of the file that `span` of this tune covers.
    pub fn bytes(&self, span: Span) -> Range<usize> {
        self.offset + span.start as usize..self.offset + span.end as usize
    }

    /// The bytes of the file that this tune's text covers.
    pub fn bytes_of_all(&self) -> Range<usize> {
        self.offset..self.offset + self.reading.text().len()
    }

    /// What lies in this tune of `bytes` of the file, as a span of its text.
    pub fn span_in(&self, bytes: &Range<usize>) -> Span {
        let within = |at: usize| at.saturating_sub(self.offset).min(self.reading.text().len()) as u32;
        Span::new(within(bytes.start), within(bytes.end))
    }

    /// The spot in the file of the byte at `at` of this tune.
    pub fn spot(&self, at: u32) -> Spot {
        let spot = spot(self.reading.text(), at);
        Spot { line: self.line + spot.line, ..spot }
    }

    /// The line of text that has the byte at `at` of this tune, without its line break.
    pub fn line_at(&self, at: u32) -> &str {
        let text = self.reading.text();
        let at = (at as usize).min(text.len());
        let bytes = text.as_bytes();
        let start = memchr::memrchr2(b'\n', b'\r', &bytes[..at]).map_or(0, |found| found + 1);
        let end = memchr::memchr2(b'\n', b'\r', &bytes[at..]).map_or(bytes.len(), |found| at + found);
        &text[start..end]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(text: &str) -> Page {
        Page::read(text, &Arc::new(Settings::default()))
    }

    fn texts(page: &Page) -> Vec<String> {
        page.entries()
            .map(|entry| format!("{}:{}:{}", entry.offset, entry.line, entry.reading.text()))
            .collect()
    }

    /// Replaces the only `from` in `text` by `to`, and checks that the page follows as if opened anew.
    #[track_caller]
    fn check_edit(text: &str, from: &str, to: &str) -> (Page, Page) {
        let before = page(text);
        let start = text.find(from).unwrap();
        let after = text.replacen(from, to, 1);
        let mut edited = Page { settings: Arc::clone(&before.settings), readings: before.readings.clone() };
        edited.edit(after.as_str(), Change { start, old_end: start + from.len(), new_end: start + to.len() });
        assert_eq!(texts(&edited), texts(&page(&after)));
        (before, edited)
    }

    const THREE: &str = "# book\ntune: A\nmeter: 6/8\n# of B\ntune: B\nmeter: 6/8\ntune: C\nmeter: 6/8\n";

    #[test]
    fn an_edit_inside_a_tune_reads_only_that_tune() {
        let (before, after) = check_edit(THREE, "B\nmeter: 6/8", "B\nmeter: 9/8");
        let kept: Vec<bool> =
            before.readings.iter().zip(&after.readings).map(|(a, b)| Arc::ptr_eq(a, b)).collect();
        assert_eq!(kept, [true, false, true]);
    }

    #[test]
    fn tunes_part_join_and_move_their_comments() {
        check_edit(THREE, "tune: B", "tun: B");
        check_edit(THREE, "# of B\n", "# of B\n\n");
        check_edit(THREE, "meter: 6/8\n# of", "meter: 6/8\ntune: D\n# of");
        check_edit(THREE, "A\nmeter: 6/8\n# of B\ntune: B\n", "");
        check_edit(THREE, "# book\n", "");
        check_edit(THREE, THREE, "");
        check_edit("", "", THREE);
        check_edit("tune: A\n\ntune: B\n", "\n\n", "\n# now B's\n");
    }

    #[test]
    fn reading_ends_when_nobody_wants_it() {
        let (settings, asked) = (Arc::default(), std::cell::Cell::new(0));
        let read = |patience: u32| {
            let wanted = || asked.replace(asked.get() + 1) < patience;
            Page::read_while(THREE, &settings, wanted).map(|page| texts(&page))
        };
        assert_eq!(read(2), None);
        assert_eq!(asked.replace(0), 3);
        assert_eq!(read(3), Some(texts(&page(THREE))));
    }

    #[test]
    fn a_change_that_does_not_fit_reads_the_whole_text() {
        let mut page = page(THREE);
        page.edit("tune: Z", Change { start: 3, old_end: 4, new_end: 4 });
        assert_eq!(texts(&page), ["0:0:tune: Z"]);
    }

    #[test]
    fn places_count_from_the_start_of_the_file() {
        let page = page(THREE);
        let entry = page.entry_at(THREE.find("tune: C").unwrap()).unwrap();
        assert_eq!(entry.spot(9), Spot { line: 7, column: 1 });
        assert_eq!(entry.line_at(9), "meter: 6/8");
        assert_eq!(&THREE[entry.bytes(Span::new(0, 7))], "tune: C");
        assert!(page.entry_at(THREE.len()).is_some());
        assert!(page.entry_at(THREE.len() + 1).is_none());
    }
}
