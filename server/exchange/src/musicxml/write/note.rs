//! Notes as elements.

use lope_tune::{Finger, How, Marks, Note, Pitch};

use super::Staff;
use super::rhythm::Piece;
use super::sounding::Struck;
use super::symbol;
use super::xml::Xml;

/// A note, or one of several, for as long as one symbol lasts.
pub struct Symbol<'s> {
    /// How long and in which tuplet.
    pub piece: &'s Piece,
    /// Its length in divisions.
    pub duration: i64,
    /// What sounds; a rest where nothing does.
    pub sounds: Option<(&'s Struck, Pitch)>,
    /// Whether it sounds together with the one before it.
    pub chord: bool,
    /// Whether it goes on from the symbol before, and in the symbol after.
    pub ties: (bool, bool),
}

/// Writes `it` on `staff`.
pub fn write(xml: &mut Xml, it: &Symbol<'_>, staff: Staff) {
    xml.around("note", &[], |xml| {
        match it.sounds {
            Some((_, pitch)) => {
                if it.chord {
                    xml.mark("chord", &[]);
                }
                symbol::pitch(xml, pitch);
            }
            None => xml.mark("rest", &[]),
        }
        xml.number("duration", it.duration);
        let ties = [(it.ties.0, "stop"), (it.ties.1, "start")].into_iter().filter(|(is, _)| *is);
        for (_, kind) in ties.clone() {
            xml.mark("tie", &[("type", kind)]);
        }
        xml.number("voice", 1);
        if let Some(value) = it.piece.value {
            xml.leaf("type", &[], value.name);
            if value.dot {
                xml.mark("dot", &[]);
            }
        }
        if let Some((actual, normal)) = it.piece.ratio {
            xml.around("time-modification", &[], |xml| {
                xml.number("actual-notes", actual);
                xml.number("normal-notes", normal);
            });
        }
        let tuplet = it.piece.tuplet;
        let brackets: Vec<&str> = [(tuplet.0, "start"), (tuplet.1, "stop")]
            .into_iter()
            .filter(|(is, _)| *is && !it.chord)
            .map(|(_, kind)| kind)
            .collect();
        let struck = it.sounds.map(|(struck, _)| struck).filter(|_| staff == Staff::Tablature);
        let begins = struck.filter(|_| !it.ties.0);
        let ends = struck.filter(|_| !it.ties.1);
        if ties.clone().next().is_none() && brackets.is_empty() && struck.is_none() {
            return;
        }
        xml.around("notations", &[], |xml| {
            for (_, kind) in ties {
                xml.mark("tied", &[("type", kind)]);
            }
            for kind in brackets {
                xml.mark("tuplet", &[("type", kind), ("number", "1"), ("bracket", "yes")]);
            }
            if let Some(struck) = struck {
                slides(xml, begins.map(|it| &it.note), ends.map_or(&[], |it| &it.leads));
                marks(xml, begins.map(|it| it.note.marks).unwrap_or_default());
                technical(xml, &struck.note, begins.is_some(), ends.map_or(&[], |it| &it.leads));
            }
        });
    });
}

fn slides(xml: &mut Xml, begins: Option<&Note>, leads: &[(How, u8)]) {
    if let Some(note) = begins.filter(|note| note.how == How::Slide) {
        xml.mark("slide", &[("type", "stop"), ("number", &note.string.to_string())]);
    }
    for (_, string) in leads.iter().filter(|(how, _)| *how == How::Slide) {
        xml.mark("slide", &[("type", "start"), ("number", &string.to_string()), ("line-type", "solid")]);
    }
}

fn marks(xml: &mut Xml, marks: Marks) {
    if marks.vibrato {
        xml.around("ornaments", &[], |xml| {
            xml.mark("wavy-line", &[("type", "start"), ("number", "1")]);
            xml.mark("wavy-line", &[("type", "stop"), ("number", "1")]);
        });
    }
    if marks.accent {
        xml.around("articulations", &[], |xml| xml.mark("accent", &[]));
    }
}

/// Writes what the hands do: string and fret on every symbol, the rest where the note begins.
fn technical(xml: &mut Xml, note: &Note, begins: bool, leads: &[(How, u8)]) {
    xml.around("technical", &[], |xml| {
        if begins {
            if let Some(finger) = note.marks.finger {
                xml.leaf("fingering", &[], finger_number(finger));
            }
            if note.how == How::Thumb {
                xml.leaf("pluck", &[], "p");
            }
        }
        xml.number("fret", note.fret);
        xml.number("string", note.string);
        if let Some(name) = slur_name(note.how).filter(|_| begins) {
            xml.mark(name, &[("type", "stop"), ("number", &note.string.to_string())]);
        }
        for (how, string) in leads {
            if let Some(name) = slur_name(*how) {
                let letter = if *how == How::Hammer { "H" } else { "P" };
                xml.leaf(name, &[("type", "start"), ("number", &string.to_string())], letter);
            }
        }
        if note.marks.choke && begins {
            xml.around("bend", &[], |xml| xml.number("bend-alter", 1));
        }
    });
}

const fn slur_name(how: How) -> Option<&'static str> {
    match how {
        How::Hammer => Some("hammer-on"),
        How::Pull => Some("pull-off"),
        _ => None,
    }
}

const fn finger_number(finger: Finger) -> &'static str {
    match finger {
        Finger::Index => "1",
        Finger::Middle => "2",
        Finger::Ring => "3",
        Finger::Little => "4",
    }
}
