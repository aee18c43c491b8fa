//! A tune's parts and endings, found in the bar lines.

use std::ops::Range;

use super::measure::Measure;

/// A part of the tune.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// How often it is played.
    pub times: u32,
    /// Its own measures, without its endings'.
    pub body: Range<usize>,
    /// Its endings: the passes on which each is played, and its measures.
    pub endings: Vec<(Vec<u32>, Range<usize>)>,
}

/// The parts of `measures`.
///
/// A part ends where a repeat ends or begins, and in no repeated stretch also at a double bar line, and
/// where another is named.
/// Endings belong to the part before them.
pub fn parts(measures: &[Measure]) -> Vec<Part> {
    let mut parts = Vec::new();
    let mut at = 0;
    while at < measures.len() {
        let part = part(measures, at);
        at = part.endings.last().map_or(part.body.end, |(_, ending)| ending.end).max(at + 1);
        parts.push(part);
    }
    parts
}

fn part(measures: &[Measure], start: usize) -> Part {
    let repeated = is_repeated(measures, start);
    let ends = |at: usize| {
        let measure = &measures[at];
        let next = measures.get(at + 1);
        measure.backward.is_some()
            || next.is_none_or(|next| next.forward || next.ending.is_some())
            || !repeated && (measure.double || next.is_some_and(|next| next.name.is_some()))
    };
    if measures[start].ending.is_none() {
        let last = (start..measures.len()).find(|at| ends(*at)).unwrap_or(measures.len() - 1);
        let mut part =
            Part { times: measures[last].backward.unwrap_or(1), body: start..last + 1, endings: Vec::new() };
        add_endings(measures, &mut part);
        return part;
    }
    // An ending without a part before it: its part has no measures of its own.
    let mut part = Part { times: 1, body: start..start, endings: Vec::new() };
    add_endings(measures, &mut part);
    part
}

fn add_endings(measures: &[Measure], part: &mut Part) {
    let mut at = part.body.end;
    while let Some(passes) = measures.get(at).and_then(|measure| measure.ending.clone()) {
        let stops = |at: usize| {
            let measure = &measures[at];
            let next = measures.get(at + 1);
            measure.ending_stops
                || measure.backward.is_some()
                || measure.double
                || next.is_none_or(|next| next.forward || next.ending.is_some())
        };
        let last = (at..measures.len()).find(|at| stops(*at)).unwrap_or(measures.len() - 1);
        // Endings are played in their order; one whose passes cannot be read takes the next.
        let next = part.endings.iter().flat_map(|(passes, _)| passes).copied().max().unwrap_or(0) + 1;
        let passes = if passes.is_empty() { vec![next] } else { passes };
        part.times = part.times.max(passes.iter().copied().max().unwrap_or(1)).min(99);
        part.endings.push((passes, at..last + 1));
        at = last + 1;
    }
}

/// Whether the stretch from `start` ends in a repeat.
fn is_repeated(measures: &[Measure], start: usize) -> bool {
    for (at, measure) in measures.iter().enumerate().skip(start) {
        if measure.backward.is_some() {
            return true;
        }
        if measures.get(at + 1).is_some_and(|next| next.forward) {
            return false;
        }
    }
    false
}
