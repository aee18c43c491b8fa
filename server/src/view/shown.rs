//! What a page shows of a book and of a tune.

use lope_desk::{About, Finding, Level, Reading};
use lope_tune::{Played, play};
use serde::Serialize;

use super::asked::{Refusal, Which};
use super::drawing::{Drawing, draw};
use super::stand::{File, Stand};
use crate::make::remark;

/// The most findings of a tune that are told at once: whoever has more begins with the first.
const MOST: usize = 100;

/// The tunes there are.
#[derive(Serialize)]
pub struct Contents {
    /// What the player named.
    name: String,
    /// Whether that is one file.
    is_file: bool,
    tunes: Vec<Entry>,
    /// What could not be read, in words.
    problems: Vec<String>,
}

#[derive(Serialize)]
struct Entry {
    file: String,
    number: usize,
    title: String,
    /// What it is, as far as it is said: `jig, 6/8, gDGBD`.
    about: String,
    errors: usize,
    warnings: usize,
    hints: usize,
}

impl Contents {
    /// What `stand` has now.
    pub fn of(stand: &Stand) -> Self {
        let name = stand
            .from
            .file_name()
            .map_or_else(|| stand.from.display().to_string(), |name| name.to_string_lossy().into_owned());
        let files = stand.files();
        let tunes = files.iter().flat_map(|(name, file)| {
            let entries = file.page.entries().enumerate();
            entries.map(move |(number, entry)| Entry::of(name, number, entry.reading))
        });
        let problems = stand.problems().iter().map(ToString::to_string).collect();
        Self { name, is_file: stand.is_file, tunes: tunes.collect(), problems }
    }
}

impl Entry {
    fn of(file: &str, number: usize, reading: &Reading) -> Self {
        let tune = reading.tune();
        let count = |level| reading.findings().iter().filter(|finding| finding.level == level).count();
        let meter = tune.frames.first().map(|frame| frame.meter.to_string());
        let about = tune.header.kind.clone().into_iter().chain(meter);
        Self {
            file: file.to_owned(),
            number,
            title: tune.header.title.clone(),
            about: about.chain([tune.header.tuning.to_string()]).collect::<Vec<_>>().join(", "),
            errors: count(Level::Error),
            warnings: count(Level::Warning),
            hints: count(Level::Hint),
        }
    }
}

/// A tune.
#[derive(Serialize)]
pub struct Shown {
    title: String,
    /// What its file goes by.
    stamp: String,
    #[serde(flatten)]
    drawing: Drawing,
    /// Each bar in the order of playing.
    bars: Vec<Bar>,
    /// Beats a minute at the start.
    tempo: u32,
    findings: Vec<Found>,
    /// How many more findings there are.
    more: usize,
}

/// A played bar, as a player says it.
#[derive(Serialize)]
struct Bar {
    part: String,
    number: u32,
}

#[derive(Serialize)]
struct Found {
    rule: &'static str,
    level: &'static str,
    place: String,
    message: String,
    /// What it is about: its number in [`lope_tune::Tune::events`].
    event: Option<u32>,
    /// The number of its mark on the sheet, from 0. What is about no bar has none.
    mark: Option<usize>,
    mends: Vec<Mend>,
}

#[derive(Serialize)]
struct Mend {
    title: String,
    safe: bool,
}

impl Shown {
    /// The tune that is asked for, drawn for a page `width` points wide.
    pub fn of(stand: &Stand, which: &Which, width: u16) -> Result<Self, Refusal> {
        let (file, reading) = which.find(stand)?;
        let File { stamp, .. } = &*file;
        let (tune, played) = (reading.tune(), play(reading.tune()));
        let mut marks = Vec::new();
        let told = |finding: &Finding| {
            let mark = remark(&reading, finding).map(|remark| {
                marks.push(remark);
                marks.len() - 1
            });
            found(&reading, finding, mark)
        };
        let findings: Vec<Found> = reading.findings().iter().take(MOST).map(told).collect();
        Ok(Self {
            title: tune.header.title.clone(),
            stamp: stamp.clone(),
            drawing: draw(&reading, marks, width),
            bars: bars(&reading, &played),
            tempo: tune.frames.first().map_or(0, |frame| frame.tempo),
            more: reading.findings().len() - findings.len(),
            findings,
        })
    }
}

fn bars(reading: &Reading, played: &Played) -> Vec<Bar> {
    let tune = reading.tune();
    let passes = tune.passes();
    let part =
        |pass: u32| passes.get(pass as usize).map(|pass| tune.sections[pass.part.index()].name.clone());
    played
        .bars
        .iter()
        .map(|bar| Bar { part: part(bar.pass).unwrap_or_default(), number: bar.number })
        .collect()
}

fn found(reading: &Reading, finding: &Finding, mark: Option<usize>) -> Found {
    let event = match finding.about {
        About::Note(note) => Some(reading.music().event_of(note)),
        About::Event(event) => Some(event),
        About::Bar(_) | About::Text => None,
    };
    let mends = reading.mends(finding).into_iter();
    Found {
        rule: finding.rule.rule().name,
        level: finding.level.name(),
        place: finding.place.to_string(),
        message: finding.message.clone(),
        event: event.map(|event| event.0),
        mark,
        mends: mends.map(|mend| Mend { title: mend.title, safe: mend.safe }).collect(),
    }
}
