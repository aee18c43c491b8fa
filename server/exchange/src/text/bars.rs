//! A bar of a text: its notes by column and string, and its repeats.

use lope_tune::{How, Marks};

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
    /// Whether a part begins with it, by what stands above.
    pub opens: bool,
    /// Whether no bar line ends it.
    pub is_open: bool,
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
    /// The column of what is written before that, of the letter for what the left hand does.
    pub begins: usize,
    pub string: u8,
    pub fret: u8,
    /// What the left hand does to sound it.
    pub slur: Option<How>,
    /// What is written behind it or above it.
    pub marks: Marks,
    /// What the right hand does, where the text says so before the fret or below the music.
    pub stroke: Option<char>,
}

/// The bar whose strings, from 1 to 5, hold `cells`: of the system whose first line is `line`, from the column `start` on.
pub fn measure(cells: &[&[char]], line: u32, start: usize) -> Measure {
    let is_dot = |letter: Option<&char>| matches!(letter, Some(':' | '*' | 'o'));
    let forward = cells.iter().any(|cell| is_dot(cell.first()));
    let backward = cells.iter().any(|cell| is_dot(cell.last()));
    let mut measure = Measure {
        line,
        start,
        width: 0,
        marks: Vec::new(),
        forward,
        backward,
        opens: false,
        is_open: false,
        again: false,
        silences: Vec::new(),
        ending: None,
        unknown: Vec::new(),
    };
    for (string, cell) in (1..).zip(cells) {
        let mut letters = *cell;
        // The dots of a repeat take a column of their own on every line.
        if let Some((_, rest)) = letters.split_first().filter(|(first, _)| forward && !first.is_ascii_digit())
        {
            letters = rest;
        }
        if let Some((_, rest)) = letters.split_last().filter(|(last, _)| backward && !last.is_ascii_digit()) {
            letters = rest;
        }
        measure.width = measure.width.max(letters.len());
        marks(string, letters, &mut measure);
    }
    measure.silences.sort_unstable();
    measure.marks.sort_by_key(|mark| (mark.column, mark.string));
    measure
}

fn marks(string: u8, letters: &[char], measure: &mut Measure) {
    let (mut slur, mut stroke) = (None, None);
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
                let begins = slur.map(|(_, begins)| begins).or(stroke).unwrap_or(at);
                let slur = slur.take().map(|(how, _)| how);
                let stroke = stroke.take().map(|_| 't');
                measure.marks.push(Mark { column: at, begins, string, fret, slur, marks, stroke });
                at += digits;
                continue;
            }
            'h' | 'H' => slur = Some((How::Hammer, at)),
            'p' | 'P' => slur = Some((How::Pull, at)),
            's' | 'S' | '/' | '\\' => slur = Some((How::Slide, at)),
            't' | 'T' => stroke = Some(at),
            // A letter may stand a dash away from its note, but no further.
            '-' if at > 0 && letters[at - 1] == '-' => (slur, stroke) = (None, None),
            '-' => {}
            '_' => measure.silences.push(at),
            '%' => measure.again = true,
            '~' | '(' | ')' | '=' | ' ' => {}
            other => measure.unknown.push(other),
        }
        at += 1;
    }
}
