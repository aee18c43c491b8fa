//! What the text around the tablature says.

use std::collections::HashMap;

use lope_tune::{Duration, Meter, Tuning};

use super::above::{Row, row};
use super::systems::System;
use crate::Remark;
use crate::label::is_chord;

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
}

/// A part's heading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Heading {
    /// Its name, where it is one word.
    pub name: Option<String>,
    /// How often it is played.
    pub times: u32,
}

impl Words {
    /// What the lines outside `systems` say.
    pub fn of(lines: &[&str], systems: &[System], remarks: &mut Vec<Remark>) -> Self {
        let mut words = Self::default();
        let (mut has_counts, mut in_legend) = (false, false);
        for (at, line) in lines.iter().enumerate() {
            let is_tab = systems.iter().any(|system| (system.first..system.first + 5).contains(&at));
            let whole = *line;
            let line = line.trim();
            in_legend &= !line.is_empty();
            // What the letters mean goes on over lines, and we know it.
            if is_tab || line.is_empty() || in_legend {
                continue;
            }
            let next = systems.iter().position(|system| system.first > at);
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
            let above = systems.iter().rposition(|system| system.first < at);
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
                let place = format!("line {}", at + 1);
                remarks.push(Remark::of_all(format!(
                    "{place}: `{}` is not music, and is left out",
                    short(line)
                )));
            }
        }
        if has_counts {
            remarks.push(Remark::of_all("the counts below the music are not read"));
        }
        if words.title.is_empty() {
            words.title = "Untitled".to_owned();
        }
        words.tuning = words.tuning.or_else(|| labelled(systems.first()?));
        for system in systems {
            let line = system.first + 1;
            if system.ragged {
                remarks.push(Remark::of_all(format!(
                    "line {line}: the five lines here are not of one length: each bar is read from its own bar line, and may be off where dashes are missing"
                )));
            }
            for unknown in system.measures.iter().flat_map(|measure| &measure.unknown) {
                remarks.push(Remark::of_all(format!("line {line}: `{unknown}` among the frets is left out")));
            }
        }
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
        let bare = |word: &str| word.trim_matches([',', ';', '(', ')']).to_owned();
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
            // Below the last system, or right below one, it is about what stands above it.
            let at = match next {
                Some(next) if heading.name.is_some() || next == 0 => next,
                Some(next) => next - 1,
                None => systems.saturating_sub(1),
            };
            let known = self.headings.entry(at).or_insert(Heading { name: None, times: 1 });
            known.times = known.times.max(heading.times);
            known.name = known.name.take().or(heading.name);
            return true;
        }
        // A greeting is no title.
        let may_be_title = self.title.is_empty()
            && next == Some(0)
            && !line.ends_with([':', ',', '.', '!'])
            && !is_letters(line);
        if may_be_title && !said {
            let title = line.strip_prefix("Title:").or_else(|| line.strip_prefix("tune:")).unwrap_or(line);
            let (title, kind) = title
                .trim()
                .split_once("   ")
                .map_or((title.trim(), None), |(title, kind)| (title, Some(kind)));
            (self.title, self.kind) = (title.to_owned(), kind.map(|kind| kind.trim().to_owned()));
            return true;
        }
        // A title may stand before what else the line says.
        if may_be_title && let Some((first, _)) = line.split_once(" - ").or_else(|| line.split_once(", ")) {
            let mut probe = Self { title: "?".to_owned(), ..Self::default() };
            if !probe.take(first, next, systems) {
                first.trim().clone_into(&mut self.title);
            }
        }
        said
    }
}

/// Whether `line` is letters that each stand alone, or chords: strokes or harmony above the music, no title.
fn is_letters(line: &str) -> bool {
    line.split_whitespace().all(|word| word.chars().count() == 1)
        || line.split_whitespace().count() > 1 && line.split_whitespace().all(is_chord)
}

/// The number that stands before `what` in `lower`.
fn before(lower: &str, what: &str) -> Option<u32> {
    lower[..lower.find(what)?].split_whitespace().next_back()?.parse().ok()
}

/// How many letters make how long a note: `2 letters to 1/8`.
fn letters_to(lower: &str) -> Option<(usize, Duration)> {
    let (count, rest) = lower.split_once(" letters to ").or_else(|| lower.split_once(" letter to "))?;
    let count =
        count.split_whitespace().next_back()?.parse().ok().filter(|count| (1..=64).contains(count))?;
    let note = rest.split([';', ',', ' ']).next()?.strip_prefix("1/")?.parse().ok()?;
    (1..=64).contains(&note).then(|| (count, Duration::new(1, note)))
}

/// The endings that `line` names, where it names nothing else: the column of each, and its passes.
fn endings(line: &str) -> Vec<(usize, Vec<u32>)> {
    let mut found = Vec::new();
    let mut rest = line;
    while let Some(at) = rest.find("ending ") {
        let after = &rest[at + "ending ".len()..];
        let numbers: String =
            after.chars().take_while(|letter| letter.is_ascii_digit() || *letter == ',').collect();
        let passes: Vec<u32> = numbers
            .split(',')
            .filter_map(|pass| pass.parse().ok())
            .filter(|pass| (1..=99).contains(pass))
            .collect();
        if passes.is_empty() || !rest[..at].trim().is_empty() {
            return Vec::new();
        }
        found.push((line[..line.len() - rest.len() + at].chars().count(), passes));
        rest = &after[numbers.len()..];
    }
    if rest.trim().is_empty() { found } else { Vec::new() }
}

/// The order that `line` names: `played A B A`.
fn order(line: &str) -> Option<Vec<String>> {
    let (_, after) = line.split_once("played ")?;
    let names: Vec<&str> = after.split([',', ';']).next()?.split_whitespace().collect();
    let are_names = names.len() > 1 && names.iter().all(|name| name.chars().count() <= 2);
    are_names.then(|| names.into_iter().map(str::to_uppercase).collect())
}

/// Whether `line` says what the right hand does: our letters for it and nothing else.
fn is_strokes(line: &str) -> bool {
    line.split_whitespace().all(|word| matches!(word, "x" | "o" | "t" | "l"))
}

/// Whether `line` counts.
fn is_count(line: &str) -> bool {
    let counts = |word: &str| word.parse::<u8>().is_ok() || matches!(word, "&" | "e" | "a");
    line.split_whitespace().count() > 1 && line.split_whitespace().all(counts)
}

/// The tuning that `line` names: after the word, or all of it.
fn tuning(line: &str) -> Option<Tuning> {
    let lower = line.to_lowercase();
    let after = lower.find("tuning").and_then(|at| line.get(at + "tuning".len()..));
    let named = after.map(|after| after.trim_start_matches([':', '=', ' ']));
    let words = |text: &str| {
        let first = text.split([',', '(', ';']).next().unwrap_or_default().trim().to_owned();
        let two: Vec<&str> = first.split_whitespace().take(2).collect();
        [first.clone(), two.join(" "), two.first().copied().unwrap_or_default().to_owned()]
    };
    match named {
        Some(named) => words(named).iter().find_map(|text| Tuning::parse(text)),
        None => Tuning::parse(line.trim_end_matches(" tuning").trim()),
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

/// The part that `line` begins, or how often one is played.
fn heading(lower: &str, line: &str) -> Option<Heading> {
    let words: Vec<&str> =
        lower.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    if words.len() > 6 {
        return None;
    }
    let has = |word: &str| words.contains(&word);
    let counted = words.iter().find_map(|word| {
        let count = word.strip_prefix('x').or_else(|| word.strip_suffix('x'))?;
        count.parse().ok().filter(|count| (2..=99).contains(count))
    });
    let is_twice = has("twice") || has("repeat") || has("repeated") || has("2") && has("times");
    let times = counted.or_else(|| is_twice.then_some(2));
    let written: Vec<&str> =
        line.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let beside = |at: usize| {
        written.get(at).filter(|word| word.chars().count() <= 2 && word.starts_with(char::is_alphabetic))
    };
    let name = match words.iter().position(|word| *word == "part") {
        Some(at) => beside(at + 1).or_else(|| beside(at.checked_sub(1)?)),
        // Away from the margin, a letter is a chord symbol above its note.
        None => written.first().filter(|word| {
            word.len() == 1 && written.len() <= 3 && line.contains([':', '('])
                || written.len() == 1 && word.len() == 1 && line.starts_with(char::is_alphabetic)
        }),
    };
    let name = name.map(|name| name.to_uppercase());
    (name.is_some() || times.is_some()).then(|| Heading { name, times: times.unwrap_or(1) })
}

/// The start of `line`.
fn short(line: &str) -> String {
    let start: String = line.chars().take(40).collect();
    if start.len() < line.len() { format!("{start}…") } else { start }
}
