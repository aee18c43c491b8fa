//! Plain five-line tablature, as people paste it into mail.
//!
//! [`systems`] finds the groups of five lines and their [`bars`], [`words`] what the text around them says, by what each
//! of its [`lines`] says, and [`above`] what stands over single notes; [`columns`] turns columns into time, by the places
//! that [`fit`]. What is guessed is said.

mod above;
mod bars;
mod columns;
mod fit;
mod lines;
mod systems;
mod triplets;
mod words;

use lope_tune::{
    Bar, BarContent, BarId, Duration, Frame, Gait, Header, Moment, Pitch, Section, SectionId, SectionKind,
    Tune, Tuning,
};

use crate::tab::{Events, Hands, Sound, Strings};
use crate::{Place, ReadError, Remark, Tab};
use bars::Measure;
use columns::Columns;
use systems::{System, systems};
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
    // What is said to be played again ends there.
    let after = words.times.keys().map(|at| at + 1).filter(|at| *at < systems.len());
    let opening: Vec<usize> = words.headings.keys().copied().chain(after).collect();
    for at in opening {
        systems[at].measures.iter_mut().take(1).for_each(|measure| measure.opens = true);
    }
    for (at, letters) in &words.strokes {
        for measure in &mut systems[*at].measures {
            let start = measure.start;
            for mark in &mut measure.marks {
                let below = letters.iter().find(|(column, _)| *column == start + mark.column);
                mark.stroke = below.map(|(_, letter)| *letter).or(mark.stroke);
            }
        }
    }
    for (at, rows) in &words.rows {
        above::mark(&mut systems[*at], rows);
    }
    let measures: Vec<&Measure> = systems.iter().flat_map(|system| &system.measures).collect();
    let columns = Columns::of(&measures, words.meter, words.letters, &mut remarks);
    let strings = Strings { tuning, capo: words.capo, short_drone: false };
    let mut tune = skeleton(&systems, &words, &columns);
    (tune.header.tuning, tune.header.capo) = (tuning, words.capo);
    tune.labels = above::labels(&systems, &words, &columns);
    let says_thumb = words.strokes.len() == systems.len();
    if !says_thumb && !words.strokes.is_empty() {
        remarks.push(Remark::of_all("strokes stand below some systems only, and are not read"));
    }
    fill(&mut tune, &measures, &columns, &strings, Hands::new(says_thumb, &mut remarks));
    Ok(Tab { tune, remarks })
}

/// `text` without the signs of a quotation before its lines, and with blanks for its tabs, of which there is one at
/// every eighth column, as terminals have them.
fn in_columns(text: &str) -> String {
    const TAB: usize = 8;
    let mut spread = String::with_capacity(text.len());
    let mut column = 0;
    let lines = text.split_inclusive('\n').map(|line| {
        let mut line = line;
        while let Some(quoted) = line.strip_prefix('>') {
            line = quoted.strip_prefix(' ').unwrap_or(quoted);
        }
        line
    });
    for letter in lines.flat_map(str::chars) {
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
        for measure in &system.measures {
            let heading = words.headings.get(&at).filter(|_| measure.opens);
            if opens || measure.forward || measure.opens {
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
            let length = columns.length(tune.bars.len());
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
        let part = tune.sections.iter_mut().rev().find(|section| section.is_part());
        if let (Some(told), Some(SectionKind::Part { times, .. })) =
            (words.times.get(&at), part.map(|section| &mut section.kind))
        {
            *times = (*times).max(*told);
        }
    }
    tune
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
        let mut onsets: Vec<Moment> = columns_of.map(|column| columns.at(number, column)).collect();
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
            let onset = columns.at(number, mark.column);
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

#[cfg(test)]
mod tests;
