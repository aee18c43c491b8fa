//! The strings of a tablature staff.

use lope_tune::{Pitch, Tuning, natural};
use roxmltree::Node;

use super::{child, is_fretted, number, text};
use crate::musicxml::xml::line;
use crate::tab::Strings;
use crate::{ReadError, Remark};

/// The strings of `part`.
///
/// # Errors
/// When they are not five.
pub fn strings(part: Node<'_, '_>, remarks: &mut Vec<Remark>) -> Result<Strings, ReadError> {
    let details = || part.descendants().filter(|node| node.has_tag_name("staff-details"));
    let tuned = details().find(|node| child(*node, "staff-tuning").is_some());
    if let Some(node) = tuned.filter(|node| number(*node, "staff-lines").is_some_and(|lines| lines != 5)) {
        let lines = number(node, "staff-lines").unwrap_or(0);
        let text = format!(
            "this is tablature for {lines} strings, and a banjo has five: without --as-written it is read as a melody"
        );
        return Err(ReadError { line: Some(line(node)), text });
    }
    let capo = details().find_map(|node| number(node, "capo")).unwrap_or(0);
    let capo = u8::try_from(capo.clamp(0, 12)).unwrap_or(0);
    let tuning = match tuned {
        Some(node) => told(node, remarks),
        None => guessed(part, capo, remarks),
    };
    let mut strings = Strings { tuning, capo, short_drone: false };
    strings.short_drone = fretted(part).any(|(string, fret, pitch)| {
        string == 5
            && (1..=5).contains(&fret)
            && tuning.open(5, capo).and_then(|open| open.up(fret)) == Some(pitch)
    });
    if strings.short_drone {
        let text = "the drone's frets are counted from its own peg in the file, and from the nut in the tune";
        remarks.push(Remark { place: None, text: text.to_owned() });
    }
    Ok(strings)
}

/// The tuning that `details` say.
fn told(details: Node<'_, '_>, remarks: &mut Vec<Remark>) -> Tuning {
    let open = |string: i64| {
        let is_its = |node: &Node<'_, '_>| {
            node.attribute("line").and_then(|line| line.parse().ok()) == Some(6 - string)
        };
        let node = details.children().find(|node| node.has_tag_name("staff-tuning") && is_its(node))?;
        let step = text(node, "tuning-step")?.chars().next().and_then(natural)?;
        let alter = number(node, "tuning-alter").unwrap_or(0).clamp(-2, 2);
        let octave = number(node, "tuning-octave")?.clamp(0, 8);
        u8::try_from(12 * (octave + 1) + i64::from(step) + alter).ok().map(Pitch)
    };
    settle([1, 2, 3, 4, 5].map(open), remarks)
}

/// The tuning in which the notes of `part` sound what they say.
fn guessed(part: Node<'_, '_>, capo: u8, remarks: &mut Vec<Remark>) -> Tuning {
    let mut open = [None; 5];
    for (string, fret, pitch) in fretted(part) {
        let above = capo + if string == 5 && fret > 5 { fret - 5 } else { fret };
        if let Some(open) = open.get_mut(usize::from(string).wrapping_sub(1)) {
            *open = open.or(pitch.0.checked_sub(above).map(Pitch));
        }
    }
    let tuning = settle(open, remarks);
    let text = format!("the file names no tuning; by its notes it is {tuning}");
    remarks.push(Remark { place: None, text });
    tuning
}

/// The tuning with these open strings, from 1 to 5; those of open G where one is not known.
fn settle(open: [Option<Pitch>; 5], remarks: &mut Vec<Remark>) -> Tuning {
    let usual = Tuning::default();
    let of = |string: u8| open[usize::from(string) - 1].or(usual.open(string, 0)).map_or("G", Pitch::letter);
    let tuning = Tuning::parse(&[5, 4, 3, 2, 1].map(of).concat()).unwrap_or_default();
    let is_elsewhere = (1..=5).any(|string| {
        open[usize::from(string) - 1].is_some_and(|pitch| tuning.open(string, 0) != Some(pitch))
    });
    if is_elsewhere {
        let text = format!(
            "the strings are written in other octaves than a banjo's; {tuning} is taken where it usually sounds"
        );
        remarks.push(Remark { place: None, text });
    }
    tuning
}

/// The string, fret and pitch of every note of `part` that has them.
fn fretted<'a>(part: Node<'a, 'a>) -> impl Iterator<Item = (u8, u8, Pitch)> + use<'a> {
    part.descendants().filter(|node| is_fretted(*node)).filter_map(|technical| {
        let note = technical.ancestors().find(|node| node.has_tag_name("note"))?;
        let small = |name| number(technical, name).and_then(|number| u8::try_from(number).ok());
        let pitch = child(note, "pitch")?;
        let step = text(pitch, "step")?.chars().next().and_then(natural)?;
        let key = 12 * (number(pitch, "octave")? + 1) + i64::from(step) + number(pitch, "alter").unwrap_or(0);
        Some((small("string")?, small("fret")?, Pitch(u8::try_from(key).ok().filter(|key| *key < 128)?)))
    })
}
