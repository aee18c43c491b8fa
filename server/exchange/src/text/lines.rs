//! What one line of text beside the tablature says.

use lope_tune::{Duration, Tuning};

use crate::label::is_chord;

/// A part's heading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Heading {
    /// Its name, where it is one word.
    pub name: Option<String>,
    /// How often it is played.
    pub times: u32,
}

/// Whether `line` is letters that each stand alone, or chords: strokes or harmony above the music, no title.
pub fn is_letters(line: &str) -> bool {
    line.split_whitespace().all(|word| word.chars().count() == 1)
        || line.split_whitespace().count() > 1 && line.split_whitespace().all(is_chord)
}

/// The number that stands before `what` in `lower`.
pub fn before(lower: &str, what: &str) -> Option<u32> {
    lower[..lower.find(what)?].split_whitespace().next_back()?.parse().ok()
}

/// How many letters make how long a note: `2 letters to 1/8`.
pub fn letters_to(lower: &str) -> Option<(usize, Duration)> {
    let (count, rest) = lower.split_once(" letters to ").or_else(|| lower.split_once(" letter to "))?;
    let count =
        count.split_whitespace().next_back()?.parse().ok().filter(|count| (1..=64).contains(count))?;
    let note = rest.split([';', ',', ' ']).next()?.strip_prefix("1/")?.parse().ok()?;
    (1..=64).contains(&note).then(|| (count, Duration::new(1, note)))
}

/// The endings that `line` names, where it names nothing else: the column of each, and its passes.
pub fn endings(line: &str) -> Vec<(usize, Vec<u32>)> {
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
pub fn order(line: &str) -> Option<Vec<String>> {
    let (_, after) = line.split_once("played ")?;
    let names: Vec<&str> = after.split([',', ';']).next()?.split_whitespace().collect();
    let are_names = names.len() > 1 && names.iter().all(|name| name.chars().count() <= 2);
    are_names.then(|| names.into_iter().map(str::to_uppercase).collect())
}

/// Whether `line` says what the right hand does: our letters for it and nothing else.
pub fn is_strokes(line: &str) -> bool {
    line.split_whitespace().all(|word| matches!(word, "x" | "o" | "t" | "l"))
}

/// Whether `line` counts.
pub fn is_count(line: &str) -> bool {
    let counts = |word: &str| word.parse::<u8>().is_ok() || matches!(word, "&" | "e" | "a");
    line.split_whitespace().count() > 1 && line.split_whitespace().all(counts)
}

/// The tuning that `line` names: after the word, or all of it.
pub fn tuning(line: &str) -> Option<Tuning> {
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

/// The part that `line` begins, or how often one is played.
pub fn heading(lower: &str, line: &str) -> Option<Heading> {
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
pub fn short(line: &str) -> String {
    let start: String = line.chars().take(40).collect();
    if start.len() < line.len() { format!("{start}…") } else { start }
}
