//! What the text around the tablature says.

use std::collections::{BTreeMap, HashMap};

use lope_tune::{Duration, Meter, Tuning};

use super::above::{Row, row};
use super::lines::{
    Heading, before, endings, heading, is_count, is_letters, is_strokes, letters_to, order, short, tuning,
};
use super::systems::{System, is_rule};
use crate::Remark;
use crate::label::is_chord;
use crate::remark::counted;

/// What is said of the tune.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Words {
    /// The title.
    pub title: String,
    /// The tuning, by name, by its notes, or at the lines.
    pub tuning: Option<Tuning>,
    /// The fret of the capo.
    pub capo: u8,
    /// The meter.
    pub meter: Option<Meter>,
    /// Beats a minute.
    pub tempo: Option<u32>,
    /// What kind of tune it is.
    pub kind: Option<String>,
    /// How many columns make how long a note, where the text says so.
    pub letters: Option<(usize, Duration)>,
    /// The endings, by the line above which system they stand: the column, and the passes.
    pub endings: HashMap<usize, Vec<(usize, Vec<u32>)>>,
    /// The names of the parts as they are played, where the text says so.
    pub order: Vec<String>,
    /// What the right hand does, by the place of the system it stands below: columns and their letters.
    pub strokes: HashMap<usize, Vec<(usize, char)>>,
    /// The rows of our own text above a system, by its place.
    pub rows: HashMap<usize, Vec<Row>>,
    /// The parts that begin, by the place of their first system.
    pub headings: HashMap<usize, Heading>,
    /// How often the part is played that a system ends, by its place.
    pub times: HashMap<usize, u32>,
}

impl Words {
    /// What the lines outside `systems` say.
    pub fn of(lines: &[&str], systems: &[System], remarks: &mut Vec<Remark>) -> Self {
        let mut words = Self::default();
        let (mut has_counts, mut in_legend) = (false, false);
        let mut others = Vec::new();
        for (at, line) in lines.iter().enumerate() {
            let passed = systems.partition_point(|system| system.first <= at);
            let above = passed.checked_sub(1);
            let is_tab = above.is_some_and(|above| at < systems[above].first + 5);
            let whole = *line;
            let line = line.trim();
            in_legend &= !line.is_empty();
            // What the letters mean goes on over lines, and we know it.
            if is_tab || is_rule(line) || in_legend {
                continue;
            }
            let next = Some(passed).filter(|passed| *passed < systems.len());
            let endings = endings(whole);
            if let Some(next) = next.filter(|_| !endings.is_empty()) {
                words.endings.entry(next).or_default().extend(endings);
                continue;
            }
            // In text that is not ours only chords are told from whatever else is written there.
            let is_row = |next: &usize| {
                let until = &lines[at..systems[*next].first];
                let is_known = words.letters.is_some() || line.split_whitespace().all(is_chord);
                is_known && whole.starts_with(' ') && until.iter().all(|line| !line.trim().is_empty())
            };
            if let Some(next) = next.filter(is_row) {
                words.rows.entry(next).or_default().push(row(whole));
                continue;
            }
            if let Some(above) = above.filter(|_| is_strokes(line)) {
                let letters = whole.chars().enumerate().filter(|(_, letter)| *letter != ' ');
                words.strokes.insert(above, letters.collect());
                continue;
            }
            if is_count(line) {
                has_counts = true;
                continue;
            }
            let had_legend = words.letters.is_some();
            let is_taken = words.take(whole, next, systems.len());
            in_legend = !had_legend && words.letters.is_some();
            if !is_taken {
                others.push((at + 1, line));
            }
        }
        left_out(&others, remarks);
        if has_counts {
            remarks.push(Remark::of_all("the counts below the music are not read"));
        }
        if words.title.is_empty() {
            words.title = "Untitled".to_owned();
        }
        words.tuning = words.tuning.or_else(|| labelled(systems.first()?));
        for (at, system) in systems.iter().enumerate() {
            let line = system.first + 1;
            for text in &system.beside {
                match heading(&text.to_lowercase(), text) {
                    Some(heading) if heading.name.is_none() => {
                        words.times.insert(at, heading.times);
                    }
                    _ => remarks.push(Remark::of_all(format!(
                        "line {line}: `{}` beside it is left out",
                        short(text)
                    ))),
                }
            }
        }
        misread(systems, remarks);
        words
    }

    /// Takes what `line`, which stands before the system numbered `next`, says; answers whether it says
    /// anything.
    fn take(&mut self, whole: &str, next: Option<usize>, systems: usize) -> bool {
        let line = whole.trim();
        let lower = line.to_lowercase();
        let value = |name: &str| {
            let after =
                lower.find(name).map(|at| lower[at + name.len()..].trim_start_matches([':', '=', ' ']))?;
            let digits: String = after.chars().take_while(char::is_ascii_digit).collect();
            digits.parse::<u32>().ok()
        };
        let mut said = false;
        if let Some((letters, length)) = letters_to(&lower) {
            (self.letters, said) = (Some((letters, length)), true);
        }
        let bare = |word: &str| word.trim_matches([',', ';', ':', '.', '(', ')']).to_owned();
        let is_legend = self.letters.is_some() && said;
        if let Some(meter) =
            line.split_whitespace().filter(|_| !is_legend).find_map(|word| Meter::parse(&bare(word)))
        {
            said |= self.meter.is_none();
            self.meter = self.meter.or(Some(meter));
        }
        if let Some(capo) = value("capo").filter(|capo| *capo <= 12) {
            (self.capo, said) = (capo as u8, true);
        }
        if let Some(tempo) = value("tempo")
            .or_else(|| value("bpm"))
            .or_else(|| before(&lower, "beats a minute"))
            .filter(|tempo| (20..=400).contains(tempo))
        {
            (self.tempo, said) = (Some(tempo), true);
        }
        if let Some(tuning) = tuning(line) {
            said = self.tuning.is_none() || said;
            self.tuning = self.tuning.or(Some(tuning));
        }
        if let Some(order) = order(line) {
            (self.order, said) = (order, true);
        }
        if let Some(heading) = heading(&lower, whole) {
            match next {
                Some(next) if heading.name.is_some() || next == 0 => {
                    let known = self.headings.entry(next).or_insert(Heading { name: None, times: 1 });
                    known.times = known.times.max(heading.times);
                    known.name = known.name.take().or(heading.name);
                }
                // Below a system it is about what stands above it.
                next => {
                    let above = next.unwrap_or(systems).saturating_sub(1);
                    self.times.insert(above, heading.times);
                }
            }
            return true;
        }
        if self.title.is_empty() && next == Some(0) {
            said |= self.take_title(line, said);
        }
        said
    }

    /// Takes the title that `line`, which stands before all systems, may be, or which may stand before what else it
    /// has `said`; answers whether it is one.
    fn take_title(&mut self, line: &str, said: bool) -> bool {
        const MOST_WORDS: usize = 8;
        if let Some((title, _)) = line.split_once('"').and_then(|(_, rest)| rest.split_once('"')) {
            title.trim().clone_into(&mut self.title);
            return true;
        }
        // A greeting is no title, and neither is a sentence.
        if line.ends_with([':', ',', '.', '!']) || is_letters(line) {
            return false;
        }
        if said {
            let end = [" - ", ", ", " ("].iter().filter_map(|mark| line.find(mark)).min();
            let before = end.map_or("", |end| line[..end].trim());
            let mut probe = Self { title: "?".to_owned(), ..Self::default() };
            if !before.is_empty() && !probe.take(before, Some(0), 1) {
                before.clone_into(&mut self.title);
            }
            return true;
        }
        let title = line.strip_prefix("Title:").or_else(|| line.strip_prefix("tune:"));
        if title.is_none() && line.split_whitespace().count() > MOST_WORDS {
            return false;
        }
        let title = title.unwrap_or(line).trim();
        let (title, kind) =
            title.split_once("   ").map_or((title, None), |(title, kind)| (title, Some(kind)));
        (self.title, self.kind) = (title.to_owned(), kind.map(|kind| kind.trim().to_owned()));
        true
    }
}

/// The tuning at the lines of `system`.
fn labelled(system: &System) -> Option<Tuning> {
    let labels: Vec<&str> = system.labels.iter().rev().map(String::as_str).collect();
    let notes = labels.concat();
    labels
        .iter()
        .all(|label| label.starts_with(|letter: char| letter.is_ascii_alphabetic()))
        .then(|| Tuning::parse(&notes))?
}

/// Says that `lines` are no music: the first by their numbers and texts, and how many more there are.
fn left_out(lines: &[(usize, &str)], remarks: &mut Vec<Remark>) {
    const MOST: usize = 8;
    for (number, line) in lines.iter().take(MOST) {
        remarks
            .push(Remark::of_all(format!("line {number}: `{}` is not music, and is left out", short(line))));
    }
    if let more @ 1.. = lines.len().saturating_sub(MOST) {
        remarks.push(Remark::of_all(format!("{} left out that are not music", counted(more, "more line"))));
    }
}

/// Says what in `systems` may be read other than it is meant: each thing once, with its first line.
fn misread(systems: &[System], remarks: &mut Vec<Remark>) {
    let mut ragged = systems.iter().filter(|system| system.ragged).map(|system| system.first + 1);
    if let Some(line) = ragged.next() {
        let more = match ragged.count() {
            0 => String::new(),
            more => format!(", nor those of {}", counted(more, "more system")),
        };
        remarks.push(Remark::of_all(format!(
            "line {line}: the five lines here are not of one length{more}: each bar is read from its own bar line, and may be off where dashes are missing"
        )));
    }
    let mut unknown: BTreeMap<char, (usize, u32)> = BTreeMap::new();
    for measure in systems.iter().flat_map(|system| &system.measures) {
        for letter in &measure.unknown {
            unknown.entry(*letter).or_insert((0, measure.line)).0 += 1;
        }
    }
    for (letter, (count, line)) in unknown {
        let times =
            if count > 1 { format!(", here and {}", counted(count - 1, "more time")) } else { String::new() };
        remarks.push(Remark::of_all(format!("line {line}: `{letter}` among the frets is left out{times}")));
    }
}
