//! Plain five-line tablature, as people paste it into mail.
//!
//! [`systems`] finds the groups of five lines and their bars, [`words`] what the text around them says, [`above`]
//! what stands over single notes in text of our own, and [`columns`] turns columns into time. What is guessed is said.

mod above;
mod columns;
mod systems;
mod triplets;
mod words;

use lope_tune::{
    Bar, BarContent, BarId, Duration, Frame, Gait, Header, Label, Meter, Moment, Pitch, Section, SectionId,
    SectionKind, Tune, Tuning,
};

use crate::tab::{Events, Hands, Sound, Strings};
use crate::{Place, ReadError, Remark, Tab};
use above::Row;
use columns::Columns;
use systems::{Mark, Measure, System, systems};
use words::Words;

/// Reads five-line tablature in the text `bytes`, tuned to `tuning` where it is named; else as the text says.
///
/// # Errors
/// When there is none in it, or its lines do not go together.
pub fn read_tab(bytes: &[u8], tuning: Option<Tuning>) -> Result<Tab, ReadError> {
    let text = in_columns(&String::from_utf8_lossy(bytes));
    let lines: Vec<&str> = text.lines().collect();
    let mut systems = systems(&lines)?;
    let mut remarks = Vec::new();
    let words = Words::of(&lines, &systems, &mut remarks);
    let tuning = tuning.or(words.tuning).unwrap_or_else(|| {
        remarks.push(Remark::of_all("the text names no tuning: open G is taken; --tuning says another"));
        Tuning::default()
    });
    if systems.iter().any(|system| system.upside_down) {
        remarks.push(Remark::of_all("the drone is the highest line of the text: it is turned over"));
    }
    for (at, endings) in &words.endings {
        for (column, passes) in endings {
            let measure = systems[*at].measures.iter_mut().find(|measure| measure.start + 1 >= *column);
            if let Some(measure) = measure {
                measure.ending = Some(passes.clone());
            }
        }
    }
    for (at, letters) in &words.strokes {
        for measure in &mut systems[*at].measures {
            let start = measure.start;
            for mark in &mut measure.marks {
                let below = letters.iter().find(|(column, _)| *column == start + mark.column);
                mark.stroke = below.map(|(_, letter)| *letter);
            }
        }
    }
    for (at, row) in words.rows.iter().flat_map(|(at, rows)| rows.iter().map(move |row| (at, row))) {
        if let Row::Marks(marks) = row {
            mark(&mut systems[*at], marks);
        }
    }
    let measures: Vec<&Measure> = systems.iter().flat_map(|system| &system.measures).collect();
    let columns = Columns::of(&measures, words.meter, words.letters, &mut remarks);
    let strings = Strings { tuning, capo: words.capo, short_drone: false };
    let mut tune = skeleton(&systems, &words, &columns);
    (tune.header.tuning, tune.header.capo) = (tuning, words.capo);
    tune.labels = labels(&systems, &words, &columns);
    let says_thumb = words.strokes.len() == systems.len();
    if !says_thumb && !words.strokes.is_empty() {
        remarks.push(Remark::of_all("strokes stand below some systems only, and are not read"));
    }
    fill(&mut tune, &measures, &columns, &strings, Hands::new(says_thumb, &mut remarks));
    Ok(Tab { tune, remarks })
}

/// `text` with blanks for its tabs, of which there is one at every eighth column, as terminals have them.
fn in_columns(text: &str) -> String {
    const TAB: usize = 8;
    let mut spread = String::with_capacity(text.len());
    let mut column = 0;
    for letter in text.chars() {
        if letter == '\t' {
            let blanks = TAB - column % TAB;
            spread.extend(std::iter::repeat_n(' ', blanks));
            column += blanks;
        } else {
            spread.push(letter);
            column = if letter == '\n' { 0 } else { column + 1 };
        }
    }
    spread
}

/// The tune without its notes.
fn skeleton(systems: &[System], words: &Words, columns: &Columns) -> Tune {
    let meter = columns.meter;
    let unit = meter.slot();
    let tempo = words.tempo.unwrap_or(Frame::default().tempo);
    let frame = Frame { meter, unit, gait: Gait::of(meter, unit), tempo, ..Frame::default() };
    let (title, kind, order) = (words.title.clone(), words.kind.clone(), words.order.clone());
    let header = Header { title, kind, order, ..Header::default() };
    let mut tune = Tune { header, frames: vec![frame], ..Tune::default() };
    let mut opens = true;
    for (at, system) in systems.iter().enumerate() {
        for (number, measure) in system.measures.iter().enumerate() {
            let heading = words.headings.get(&at).filter(|_| number == 0);
            if opens || measure.forward || heading.is_some() {
                let name = heading.and_then(|heading| heading.name.clone());
                let taken = |name: &String| tune.sections.iter().any(|section| section.name == *name);
                let name = name.filter(|name| !taken(name)).unwrap_or_else(|| {
                    let letters = ('A'..='Z').map(String::from);
                    letters.into_iter().find(|name| !taken(name)).unwrap_or_else(|| format!("P{at}"))
                });
                let times = heading.map_or(1, |heading| heading.times);
                let first = tune.bars.len() as u32;
                let kind = SectionKind::Part { times, pickup: false };
                tune.sections.push(Section { kind, name, bars: first..first });
            }
            if let Some(passes) = &measure.ending {
                let part = tune.sections.iter().rposition(Section::is_part).unwrap_or(0);
                let name = tune.sections[part].name.clone();
                if let SectionKind::Part { times, .. } = &mut tune.sections[part].kind {
                    *times = passes.iter().copied().fold(*times, u32::max);
                }
                let kind = SectionKind::Ending { of: SectionId(part as u32), passes: passes.clone() };
                let first = tune.bars.len() as u32;
                tune.sections.push(Section { kind, name, bars: first..first });
            }
            if measure.again {
                let length = Duration::ZERO;
                tune.bars.push(Bar {
                    frame: 0,
                    content: BarContent::Again,
                    events: 0..0,
                    length,
                    lead: length,
                });
                if let Some(section) = tune.sections.last_mut() {
                    section.bars.end += 1;
                }
                continue;
            }
            let length = columns.length(measure);
            let is_first =
                tune.sections.last().is_some_and(|section| section.is_part() && section.bars.is_empty());
            let lead = if is_first && length < meter.bar() { meter.bar() - length } else { Duration::ZERO };
            tune.bars.push(Bar { frame: 0, content: BarContent::Slots, events: 0..0, length, lead });
            if let Some(section) = tune.sections.last_mut() {
                section.bars.end += 1;
                if let SectionKind::Part { times, pickup } = &mut section.kind {
                    *pickup |= lead.is_positive();
                    *times = if measure.backward { (*times).max(2) } else { *times };
                }
            }
            opens = measure.backward;
        }
    }
    tune
}

/// Sets the marks of a row above `system` to the notes that stand alone below them.
fn mark(system: &mut System, marks: &[(usize, char)]) {
    for measure in &mut system.measures {
        for (column, sign) in marks {
            let is_below = |mark: &&mut Mark| measure.start + mark.column == *column;
            let mut below: Vec<&mut Mark> = measure.marks.iter_mut().filter(is_below).collect();
            if let [note] = below.as_mut_slice() {
                note.marks.accent |= *sign == '!';
                note.marks.vibrato |= *sign == '~';
                note.marks.choke |= *sign == '^';
            }
        }
    }
}

/// The words and chord symbols in the rows above the systems.
fn labels(systems: &[System], words: &Words, columns: &Columns) -> Vec<Label> {
    let mut labels = Vec::new();
    let mut bar = 0;
    for (at, system) in systems.iter().enumerate() {
        let rows = words.rows.get(&at).map_or(&[][..], Vec::as_slice);
        for measure in &system.measures {
            let mut here: Vec<Label> = Vec::new();
            for row in rows {
                let Row::Labels(kind, entries) = row else { continue };
                let inside =
                    |column: &usize| (measure.start..=measure.start + measure.width).contains(column);
                here.extend(entries.iter().filter(|(column, _)| inside(column)).map(|(column, text)| {
                    Label {
                        bar: BarId(bar),
                        onset: columns.near(measure, column - measure.start),
                        kind: *kind,
                        text: text.clone(),
                    }
                }));
            }
            here.sort_by_key(|label| label.onset);
            labels.append(&mut here);
            bar += 1;
        }
    }
    labels
}

fn fill(tune: &mut Tune, measures: &[&Measure], columns: &Columns, strings: &Strings, mut hands: Hands<'_>) {
    let mut events = Events::default();
    let mut body = None;
    for (number, measure) in measures.iter().enumerate() {
        let place = Place { measure: (number + 1).to_string(), line: measure.line };
        let end = Moment::START + tune.bars[number].length;
        // An ending goes on from its part.
        if measure.ending.is_some() {
            (hands.fingered, events.sounding) = *body.get_or_insert((hands.fingered, events.sounding));
        } else if tune.sections.iter().any(|section| section.is_part() && section.bars.start == number as u32)
        {
            body = None;
        }
        if measure.again {
            let at = tune.events.len() as u32;
            tune.bars[number].events = at..at;
            continue;
        }
        let columns_of = measure.marks.iter().map(|mark| mark.column).chain(measure.silences.iter().copied());
        let mut onsets: Vec<Moment> = columns_of.map(|column| columns.at(measure, column)).collect();
        onsets.sort_unstable();
        let next = |at: Moment| onsets.iter().copied().find(|onset| *onset > at).unwrap_or(end);
        let mut sounds = Vec::new();
        // Dashes at the start of a bar let ring what sounds.
        if events.sounding && onsets.first().is_none_or(|first| *first > Moment::START) {
            let length = onsets.first().map_or(end, |first| *first) - Moment::START;
            sounds.push((sound(Moment::START, length, Some(Pitch(0))), &place));
            if let Some((rung, _)) = sounds.last_mut() {
                rung.tied = true;
            }
        }
        for mark in &measure.marks {
            let onset = columns.at(measure, mark.column);
            let pitch = strings.tuning.sounds(mark.string, mark.fret, strings.capo);
            let mut note = sound(onset, next(onset) - onset, pitch.or(Some(Pitch(0))));
            (note.string, note.fret, note.slur) = (Some(mark.string), Some(mark.fret), mark.slur);
            note.marks = mark.marks;
            note.pluck = mark.stroke.map(String::from);
            sounds.push((note, &place));
        }
        let bar = &tune.bars[number];
        triplets::mark(&mut sounds, tune.frame(bar).unit, bar.lead);
        events.bar(tune, BarId(number as u32), sounds, strings, &mut hands);
    }
    hands.tell(strings);
}

fn sound(onset: Moment, length: Duration, pitch: Option<Pitch>) -> Sound {
    Sound {
        onset,
        length,
        pitch,
        tied: false,
        chord: false,
        string: None,
        fret: None,
        slur: None,
        curve: false,
        pluck: None,
        marks: lope_tune::Marks::default(),
        actual: None,
        tuplet: (false, false),
    }
}

/// The meters that are told from how many slots the bars have.
const METERS: [(usize, Meter); 5] = [
    (6, Meter { beats: 6, unit: 8 }),
    (9, Meter { beats: 9, unit: 8 }),
    (12, Meter { beats: 12, unit: 8 }),
    (8, Meter { beats: 4, unit: 4 }),
    (16, Meter { beats: 4, unit: 4 }),
];

#[cfg(test)]
mod tests;
