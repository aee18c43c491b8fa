//! The groups of five lines in a text, cut into their bars.

use super::bars::{Measure, measure};
use crate::ReadError;

/// Five lines that are read together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct System {
    /// The first of its lines in the text, from 0.
    pub first: usize,
    /// What stands before each line's first bar line, from string 1 to string 5.
    pub labels: [String; 5],
    /// What stands behind the last bar line of any, such as how often it is played.
    pub beside: Vec<String>,
    /// Whether the drone is the highest line.
    pub upside_down: bool,
    /// Whether its lines are of different lengths.
    pub ragged: bool,
    /// Its bars.
    pub measures: Vec<Measure>,
}

/// The systems in `lines`.
///
/// # Errors
/// When there are none, or the lines of one do not go together.
pub fn systems(lines: &[&str]) -> Result<Vec<System>, ReadError> {
    let mut systems = Vec::new();
    let mut at = 0;
    while at < lines.len() {
        let count = lines[at..].iter().take_while(|line| is_tab(line)).count();
        let here = &lines[at..at + count];
        match count {
            0 => {
                at += 1;
                continue;
            }
            // A rule between two paragraphs.
            1..5 if here.iter().all(|line| is_rule(line)) => {}
            _ if count % 5 == 0 => {
                for first in (at..at + count).step_by(5) {
                    systems.push(system(lines, first)?);
                }
            }
            _ => {
                let text = format!(
                    "{count} lines of tablature stand together here, and a banjo has five strings: leave an empty line between systems, and write all five lines of each"
                );
                return Err(ReadError { line: Some(at as u32 + 1), text });
            }
        }
        at += count;
    }
    if systems.is_empty() {
        let text = "there are no five lines of tablature in this text: write a line of dashes for each string, with frets on them".to_owned();
        return Err(ReadError { line: None, text });
    }
    Ok(systems)
}

/// Whether `line` is a string: dashes for the most part, or frets and bar lines among dashes. Words may stand behind
/// its last bar line.
fn is_tab(line: &str) -> bool {
    const KNOWN: &str = "-|0123456789hpstHPST/\\~:*o()=^xX_% ";
    let body = line.trim();
    let body = body.rfind('|').filter(|at| !body[*at..].contains('-')).map_or(body, |at| &body[..=at]);
    let count = |known: &str| body.chars().filter(|letter| known.contains(*letter)).count();
    let letters = body.chars().count();
    count("-") >= 3 && count("-") * 4 >= letters && count(KNOWN) + 4 >= letters && !body.contains("  -- ")
}

/// Whether `line` is dashes and nothing else.
pub fn is_rule(line: &str) -> bool {
    line.trim().chars().all(|letter| matches!(letter, '-' | '=' | '_' | '*' | ' '))
}

fn system(lines: &[&str], first: usize) -> Result<System, ReadError> {
    let cut: Vec<Line> = lines[first..first + 5].iter().map(|line| cut(line)).collect();
    let bars = cut[0].cells.len();
    if let Some((at, line)) = cut.iter().enumerate().find(|(_, line)| line.cells.len() != bars) {
        let text = format!(
            "this line has {} bars and the first of its system {bars}: put the bar lines below each other",
            line.cells.len()
        );
        return Err(ReadError { line: Some((first + at) as u32 + 1), text });
    }
    // The drone is written small, as in gDGBD.
    let is_small =
        |label: &str| label.chars().next().is_some_and(|letter| letter.is_ascii_lowercase() || letter == '5');
    let upside_down = is_small(&cut[0].label) && !is_small(&cut[4].label) && !cut[4].label.is_empty();
    let on_string = |string: usize| if upside_down { 5 - string } else { string - 1 };
    let labels = [1, 2, 3, 4, 5].map(|string| cut[on_string(string)].label.clone());
    let beside = cut.iter().map(|line| line.beside.clone()).filter(|text| !text.is_empty()).collect();
    let mut measures = Vec::new();
    let mut forward = false;
    let mut ragged = false;
    for bar in 0..bars {
        let cells: Vec<&[char]> =
            (1..=5).map(|string| cut[on_string(string)].cells[bar].1.as_slice()).collect();
        if cells.iter().all(|cell| cell.iter().all(|letter| matches!(letter, ':' | '*' | 'o' | ' '))) {
            forward = true;
            continue;
        }
        let mut measure = measure(&cells, first as u32 + 1, cut[0].cells[bar].0);
        ragged |= cells.iter().any(|cell| cell.len() != cells[0].len());
        measure.forward |= std::mem::take(&mut forward);
        measures.push(measure);
    }
    if let Some(last) = measures.last_mut() {
        last.is_open = cut.iter().all(|line| !line.is_closed);
    }
    Ok(System { first, labels, beside, upside_down, ragged, measures })
}

/// A line in pieces.
struct Line {
    /// What it is called.
    label: String,
    /// What stands between its bar lines, and the column of the text at which that begins.
    cells: Vec<(usize, Vec<char>)>,
    /// Whether a bar line ends it.
    is_closed: bool,
    /// Words behind the last bar line.
    beside: String,
}

fn cut(line: &str) -> Line {
    let letters: Vec<char> = line.trim_end().chars().collect();
    let margin = letters.iter().take_while(|letter| **letter == ' ').count();
    let named = label(&letters[margin..]);
    let mut cells = vec![(margin + named, Vec::new())];
    for (column, letter) in letters.iter().enumerate().skip(margin + named) {
        match cells.last_mut() {
            Some((_, cell)) if *letter != '|' => cell.push(*letter),
            _ => cells.push((column + 1, Vec::new())),
        }
    }
    let is_words = |cell: &[char]| !cell.contains(&'-') && cell.iter().any(|letter| letter.is_alphabetic());
    let beside =
        cells.pop_if(|(_, cell)| is_words(cell)).map(|(_, cell)| cell.into_iter().collect::<String>());
    let is_closed = beside.is_some() || letters.last() == Some(&'|');
    // A double bar line has nothing between its two.
    cells.retain(|(_, cell)| !cell.iter().all(|letter| *letter == ' '));
    let label = letters[margin..margin + named].iter().collect::<String>();
    Line {
        label: label.trim_matches([' ', ':']).to_owned(),
        cells,
        is_closed,
        beside: beside.unwrap_or_default().trim().to_owned(),
    }
}

/// How many of `letters` name the line that they are: what stands before a bar line or a colon, or a note before dashes.
fn label(letters: &[char]) -> usize {
    const LONGEST: usize = 4;
    let before = letters.iter().take_while(|letter| !matches!(letter, '|' | '-' | ':')).count();
    match letters.get(before) {
        Some('|' | ':') if before <= LONGEST => before + usize::from(before > 0 && letters[before] == ':'),
        _ => {
            let note = letters.first().is_some_and(|letter| matches!(letter, 'A'..='G' | 'a'..='g'));
            let sign = letters.get(1).is_some_and(|letter| matches!(letter, '#' | 'b'));
            let length = usize::from(note) + usize::from(note && sign);
            length + letters[length..].iter().take_while(|letter| **letter == ' ').count()
        }
    }
}
