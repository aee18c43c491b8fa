//! The groups of five lines in a text, and their bars.

use lope_tune::{How, Marks};

use crate::ReadError;

/// Five lines that are read together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct System {
    /// The first of its lines in the text, from 0.
    pub first: usize,
    /// What stands before each line's first bar line, from string 1 to string 5.
    pub labels: [String; 5],
    /// Whether the drone is the highest line.
    pub upside_down: bool,
    /// Whether its lines are of different lengths.
    pub ragged: bool,
    /// Its bars.
    pub measures: Vec<Measure>,
}

/// A bar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Measure {
    /// The first line of its system in the text, from 1.
    pub line: u32,
    /// The column of the text at which it begins.
    pub start: usize,
    /// How many columns it has.
    pub width: usize,
    /// The notes in it, by column and then from string 1 to string 5.
    pub marks: Vec<Mark>,
    /// Whether a repeat begins with it, and whether one ends.
    pub forward: bool,
    pub backward: bool,
    /// Whether it says again what the bar before it says.
    pub again: bool,
    /// The columns from which nothing sounds.
    pub silences: Vec<usize>,
    /// The passes of the ending that begins with it.
    pub ending: Option<Vec<u32>>,
    /// Letters and marks in it that mean nothing known.
    pub unknown: Vec<char>,
}

/// A note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mark {
    /// The column of its first digit, from the start of the bar.
    pub column: usize,
    pub string: u8,
    pub fret: u8,
    /// What the left hand does to sound it.
    pub slur: Option<How>,
    /// What is written behind it or above it.
    pub marks: Marks,
    /// What the right hand does, where the text says so below the music.
    pub stroke: Option<char>,
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
        match count {
            0 => at += 1,
            5 => systems.push(system(lines, at)?),
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

/// Whether `line` is a string: dashes for the most part, or frets and bar lines among dashes.
fn is_tab(line: &str) -> bool {
    let body = line.trim();
    let dashes = body.chars().filter(|letter| *letter == '-').count();
    let known = body.chars().filter(|letter| "-|0123456789hpsHPS/\\~:*o()=^xX_% ".contains(*letter)).count();
    let letters = body.chars().count();
    dashes >= 3
        && dashes * 4 >= letters
        && known + 4 >= letters
        && body.contains(['|', '-'])
        && !body.contains("  -- ")
}

fn system(lines: &[&str], first: usize) -> Result<System, ReadError> {
    let cut: Vec<(String, Vec<String>, usize)> =
        lines[first..first + 5].iter().map(|line| cut(line)).collect();
    let bars = cut[0].1.len();
    for (at, (_, cells, _)) in cut.iter().enumerate() {
        if cells.len() != bars {
            let text = format!(
                "this line has {} bars and the first of its system {bars}: put the bar lines below each other",
                cells.len()
            );
            return Err(ReadError { line: Some((first + at) as u32 + 1), text });
        }
    }
    // The drone is written small, as in gDGBD.
    let is_small =
        |label: &str| label.chars().next().is_some_and(|letter| letter.is_ascii_lowercase() || letter == '5');
    let upside_down = is_small(&cut[0].0) && !is_small(&cut[4].0) && !cut[4].0.is_empty();
    let on_string = |string: usize| if upside_down { 5 - string } else { string - 1 };
    let labels = [1, 2, 3, 4, 5].map(|string| cut[on_string(string)].0.clone());
    let mut measures = Vec::new();
    let mut forward = false;
    let mut column = cut[0].2;
    let mut ragged = false;
    for bar in 0..bars {
        let start = column;
        column += cut[0].1[bar].chars().count() + 1;
        let cells: Vec<&str> = (1..=5).map(|string| cut[on_string(string)].1[bar].as_str()).collect();
        if cells.iter().all(|cell| cell.chars().all(|letter| matches!(letter, ':' | '*' | 'o' | ' '))) {
            let is_repeat = cells.iter().any(|cell| cell.contains([':', '*', 'o']));
            forward |= is_repeat;
            continue;
        }
        let mut measure = measure(&cells, first as u32 + 1);
        measure.start = start;
        ragged |= cells.iter().any(|cell| cell.chars().count() != cells[0].chars().count());
        measure.forward |= std::mem::take(&mut forward);
        measures.push(measure);
    }
    Ok(System { first, labels, upside_down, ragged, measures })
}

/// A line's label, its bars, and the column at which the first begins.
fn cut(line: &str) -> (String, Vec<String>, usize) {
    let body = line.trim();
    let label: String = body.chars().take_while(|letter| !matches!(letter, '|' | '-' | ':')).collect();
    let label = if label.chars().count() <= 4 { label } else { String::new() };
    let rest = body[label.len()..].trim_start_matches(':').trim_start();
    let rest = if label.contains(|letter: char| letter.is_ascii_digit()) && !rest.starts_with('|') {
        body
    } else {
        rest
    };
    let opened = rest.trim_start_matches('|');
    let closed = opened.trim_end_matches('|');
    let cells = closed.split('|').map(str::to_owned).collect();
    let begins = line.chars().count() - line.trim_start().chars().count() + body.chars().count()
        - opened.chars().count();
    (label.trim().to_owned(), cells, begins)
}

fn measure(cells: &[&str], line: u32) -> Measure {
    let starts = |mark: char| cells.iter().filter(|cell| cell.starts_with(mark)).count() > 0;
    let ends = |mark: char| cells.iter().filter(|cell| cell.trim_end().ends_with(mark)).count() > 0;
    let is_dot = [':', '*', 'o'];
    let forward = is_dot.iter().any(|mark| starts(*mark));
    let backward = is_dot.iter().any(|mark| ends(*mark));
    let mut measure = Measure {
        line,
        start: 0,
        width: 0,
        marks: Vec::new(),
        forward,
        backward,
        again: false,
        silences: Vec::new(),
        ending: None,
        unknown: Vec::new(),
    };
    for (string, cell) in (1..).zip(cells) {
        let mut letters: Vec<char> = cell.trim_end().chars().collect();
        // The dots of a repeat take a column of their own on every line.
        if forward && !letters.is_empty() {
            letters.remove(0);
        }
        if backward {
            letters.pop();
        }
        measure.width = measure.width.max(letters.len());
        marks(string, &letters, &mut measure);
    }
    measure.silences.sort_unstable();
    measure.marks.sort_by_key(|mark| (mark.column, mark.string));
    measure
}

fn marks(string: u8, letters: &[char], measure: &mut Measure) {
    let mut slur = None;
    let mut at = 0;
    while at < letters.len() {
        let letter = letters[at];
        match letter {
            '0'..='9' => {
                let digits =
                    letters[at..].iter().take(2).take_while(|letter| letter.is_ascii_digit()).count();
                let fret =
                    letters[at..at + digits].iter().fold(0, |fret, digit| fret * 10 + *digit as u8 - b'0');
                // No neck has 30 frets: those are two notes.
                let (fret, digits) = if fret > 29 { (letter as u8 - b'0', 1) } else { (fret, digits) };
                let marks = Marks { vibrato: letters.get(at + digits) == Some(&'~'), ..Marks::default() };
                measure.marks.push(Mark { column: at, string, fret, slur: slur.take(), marks, stroke: None });
                at += digits;
                continue;
            }
            'h' | 'H' => slur = Some(How::Hammer),
            'p' | 'P' => slur = Some(How::Pull),
            's' | 'S' | '/' | '\\' => slur = Some(How::Slide),
            // A letter may stand a dash away from its note, but no further.
            '-' => slur = slur.filter(|_| at > 0 && letters[at - 1] != '-'),
            '_' => measure.silences.push(at),
            '%' => measure.again = true,
            '~' | '(' | ')' | '=' | ' ' => {}
            other => measure.unknown.push(other),
        }
        at += 1;
    }
}
