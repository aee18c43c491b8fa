//! A score's melody.

use lope_tune::{
    Bar, BarContent, BarId, Duration, Frame, Gait, Header, Key, Label, LabelKind, Melody, MelodyNote, Mode,
    Section, SectionId, SectionKind,
};
use roxmltree::{Document, Node, ParsingOptions};

use super::archive;
use super::measures::{Measure, Reader, Sound, child, line, text};
use super::sections::{Part, parts};
use crate::{ReadError, Remark};

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// The melody of the first part of the score that has notes.
    pub melody: Melody,
    /// What was changed or left out.
    pub remarks: Vec<Remark>,
}

/// The most elements of a score that are read: a guard against files made to fill the memory.
const MOST_NODES: u32 = 10_000_000;

/// Reads the melody of a MusicXML file, compressed or not: of its first part that has notes, the first
/// voice.
///
/// # Errors
/// When it is not partwise MusicXML, or has no notes.
pub fn read(bytes: &[u8]) -> Result<Read, ReadError> {
    let text = archive::text(bytes)?;
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let document = Document::parse_with_options(&text, options).map_err(|error| ReadError {
        line: Some(error.pos().row),
        text: format!("this is not well-formed XML: {error}"),
    })?;
    let root = document.root_element();
    if !root.has_tag_name("score-partwise") {
        let name = root.tag_name().name();
        let text =
            format!("this is a `{name}`, and only partwise MusicXML is read: save it as `score-partwise`");
        return Err(ReadError { line: Some(line(root)), text });
    }
    let mut remarks = Vec::new();
    let scored: Vec<Node<'_, '_>> = root.children().filter(|node| node.has_tag_name("part")).collect();
    let has_notes = |part: &&Node<'_, '_>| part.descendants().any(|node| node.has_tag_name("pitch"));
    let part = scored.iter().find(has_notes).ok_or_else(|| ReadError {
        line: Some(line(root)),
        text: "there is no note in this score: choose a file with a melody".to_owned(),
    })?;
    if scored.len() > 1 {
        let text = format!("of {} parts the first with notes is read", scored.len());
        remarks.push(Remark { place: None, text });
    }
    let mut reader = Reader::new(&mut remarks);
    let measures = part.children().filter(|node| node.has_tag_name("measure"));
    let measures: Vec<Measure> = measures.map(|node| reader.measure(node)).collect();
    let mut melody = Builder::default().melody(&measures, &mut remarks);
    melody.tune.header = header(root);
    Ok(Read { melody, remarks })
}

fn header(root: Node<'_, '_>) -> Header {
    let title = child(root, "work").and_then(|work| text(work, "work-title"));
    let title = title.or_else(|| text(root, "movement-title")).filter(|title| !title.is_empty());
    let says = child(root, "identification");
    let field =
        |name: &str| says.and_then(|says| text(says, name)).map(one_line).filter(|text| !text.is_empty());
    let creators =
        says.into_iter().flat_map(|says| says.children().filter(|node| node.has_tag_name("creator")));
    let creators: Vec<String> = creators.filter_map(|node| node.text()).map(one_line).collect();
    Header {
        title: title.map_or_else(|| "Untitled".to_owned(), one_line),
        by: Some(creators.join(", ")).filter(|by| !by.is_empty()),
        source: field("source"),
        rights: field("rights"),
        ..Header::default()
    }
}

/// A label's text as the notation can hold it.
fn legible(kind: LabelKind, text: &str) -> String {
    let close = if kind == LabelKind::Chord { '>' } else { '"' };
    one_line(text).replace(close, "'")
}

/// `notes` in their order, none sounding longer than until the next.
fn one_at_a_time(notes: &[Sound]) -> Vec<Sound> {
    let mut ordered = notes.to_vec();
    ordered.sort_by_key(|note| note.onset);
    for at in 1..ordered.len() {
        let next = ordered[at].onset;
        if let Some(before) = ordered.get_mut(at - 1).filter(|before| before.length.is_positive()) {
            before.length = before.length.min(next - before.onset);
        }
    }
    ordered
}

/// `text` on one line.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A melody as it grows.
#[derive(Default)]
struct Builder {
    melody: Melody,
    frame: Frame,
    /// Whether the frame at hand is among the tune's.
    kept: bool,
}

impl Builder {
    fn melody(mut self, measures: &[Measure], remarks: &mut Vec<Remark>) -> Melody {
        for (number, part) in parts(measures).into_iter().enumerate() {
            self.part(measures, &part, &name(number), remarks);
        }
        self.melody
    }

    fn part(&mut self, measures: &[Measure], part: &Part, name: &str, remarks: &mut Vec<Remark>) {
        let id = SectionId(self.melody.tune.sections.len() as u32);
        let first = self.melody.tune.bars.len();
        let opens = self.section(measures, part.body.clone(), remarks);
        let kind = SectionKind::Part { times: part.times, pickup: opens };
        self.add(kind, name, first);
        for (passes, range) in &part.endings {
            let first = self.melody.tune.bars.len();
            self.section(measures, range.clone(), remarks);
            self.add(SectionKind::Ending { of: id, passes: passes.clone() }, name, first);
        }
        if let Some(bar) = self.melody.tune.bars.get_mut(first).filter(|_| opens) {
            bar.lead = self.melody.tune.frames[bar.frame as usize].meter.bar() - bar.length;
        }
    }

    fn add(&mut self, kind: SectionKind, name: &str, first: usize) {
        let bars = first as u32..self.melody.tune.bars.len() as u32;
        self.melody.tune.sections.push(Section { kind, name: name.to_owned(), bars });
    }

    /// Adds the bars of `range`; answers whether the first is a pickup.
    fn section(
        &mut self,
        measures: &[Measure],
        range: std::ops::Range<usize>,
        remarks: &mut Vec<Remark>,
    ) -> bool {
        let mut pickup = false;
        for (at, measure) in measures[range].iter().enumerate() {
            self.change_frame(measure);
            let full = self.frame.meter.bar();
            if measure.length == Duration::ZERO {
                let text = "a measure without time is left out".to_owned();
                remarks.push(Remark { place: Some(measure.place.clone()), text });
                continue;
            }
            let halves = at > usize::from(pickup) && self.completes_bar(measure);
            pickup |= at == 0 && measure.length < full;
            if halves {
                let text = "with the measure before it makes one bar, and is joined to it".to_owned();
                remarks.push(Remark { place: Some(measure.place.clone()), text });
                self.join(measure);
            } else {
                self.bar(measure);
            }
        }
        pickup
    }

    fn bar(&mut self, measure: &Measure) {
        let tune = &mut self.melody.tune;
        if !self.kept {
            tune.frames.push(self.frame);
            self.kept = true;
        }
        let bar = BarId(tune.bars.len() as u32);
        tune.bars.push(Bar {
            frame: tune.frames.len() as u32 - 1,
            content: BarContent::Slots,
            events: 0..0,
            length: measure.length,
            lead: Duration::ZERO,
        });
        self.fill(bar, measure, Duration::ZERO);
    }

    /// Whether `measure` and the bar before it are the two halves of one bar, parted by a bar line that
    /// stands in its midst.
    fn completes_bar(&self, measure: &Measure) -> bool {
        let full = self.frame.meter.bar();
        let before = self.melody.tune.bars.last();
        self.kept && before.is_some_and(|bar| bar.length < full && bar.length + measure.length == full)
    }

    fn join(&mut self, measure: &Measure) {
        let bar = BarId(self.melody.tune.bars.len() as u32 - 1);
        let after = self.melody.tune.bars[bar.index()].length;
        self.fill(bar, measure, after);
        self.melody.tune.bars[bar.index()].length += measure.length;
    }

    /// Adds the labels and notes of `measure` to `bar`, so much later than they stand in it.
    fn fill(&mut self, bar: BarId, measure: &Measure, later: Duration) {
        let mut labels = measure.labels.clone();
        labels.sort_by_key(|(onset, ..)| *onset);
        self.melody.tune.labels.extend(labels.into_iter().map(|(onset, kind, text)| Label {
            bar,
            onset: onset + later,
            kind,
            text: legible(kind, &text),
        }));
        self.melody.notes.extend(one_at_a_time(&measure.notes).into_iter().map(|note| MelodyNote {
            bar,
            onset: note.onset + later,
            length: note.length,
            pitch: note.pitch,
            tied: note.tied,
            fixed: None,
        }));
    }

    fn change_frame(&mut self, measure: &Measure) {
        let before = self.frame;
        if let Some(meter) = measure.meter {
            let unit = meter.slot();
            self.frame = Frame { meter, unit, gait: Gait::of(meter, unit), ..self.frame };
        }
        if let Some(quarters) = measure.tempo {
            let beat = self.frame.meter.beat();
            // Quarters a minute to beats a minute, rounded.
            let (num, den) = (beat.numerator() * 4, beat.denominator());
            let beats = (i64::from(quarters) * den + num / 2) / num.max(1);
            self.frame.tempo = u32::try_from(beats.clamp(20, 400)).unwrap_or(self.frame.tempo);
        }
        if let Some((fifths, mode)) = &measure.key
            && self.melody.key.is_none()
        {
            let mode = Mode::ALL.into_iter().find(|known| known.name() == mode).unwrap_or(Mode::Ionian);
            self.melody.key = Some(Key::of_signature(*fifths, mode));
        }
        self.kept &= self.frame == before;
    }
}

/// A, B, C… and on from AA.
fn name(number: usize) -> String {
    let letter = char::from(b'A' + (number % 26) as u8);
    std::iter::repeat_n(letter, number / 26 + 1).collect()
}
