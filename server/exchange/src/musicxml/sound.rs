//! A note or rest as it is read.

use lope_tune::{Duration, Finger, How, Marks, Moment, Pitch, natural};
use roxmltree::Node;

use super::xml::{child, number, text};
use crate::tab::Sound;

/// The note or rest at `node`, which begins at `onset`, lasts `length`, and sounds `transpose` semitones
/// above what is written.
///
/// # Errors
/// When it sounds nothing that can be played: the reason, as a sentence without a stop.
pub fn sound(
    node: Node<'_, '_>,
    onset: Moment,
    length: Duration,
    transpose: i16,
) -> Result<Sound, &'static str> {
    let pitch = match child(node, "rest") {
        Some(_) => None,
        None => Some(pitch(node, transpose)?),
    };
    let find = |name: &str, kind: &str| {
        node.descendants().any(|node| node.has_tag_name(name) && node.attribute("type") == Some(kind))
    };
    let technical = node.descendants().find(|node| node.has_tag_name("technical"));
    let small = |name| {
        let number = technical.and_then(|technical| number(technical, name))?;
        u8::try_from(number).ok()
    };
    let slur = [("hammer-on", How::Hammer), ("pull-off", How::Pull), ("slide", How::Slide)];
    let slur = slur.into_iter().chain([("glissando", How::Slide)]).find(|(name, _)| find(name, "stop"));
    let actual = child(node, "time-modification").and_then(|ratio| number(ratio, "actual-notes"));
    Ok(Sound {
        onset,
        length,
        pitch,
        tied: find("tie", "stop"),
        chord: child(node, "chord").is_some(),
        string: small("string"),
        fret: small("fret"),
        slur: slur.map(|(_, how)| how),
        curve: find("slur", "stop"),
        pluck: technical.and_then(|technical| text(technical, "pluck")).map(str::to_owned),
        marks: marks(node, technical),
        actual: actual.and_then(|actual| u32::try_from(actual).ok()),
        tuplet: (find("tuplet", "start"), find("tuplet", "stop")),
    })
}

fn pitch(node: Node<'_, '_>, transpose: i16) -> Result<Pitch, &'static str> {
    let pitch = child(node, "pitch").ok_or("a note without a pitch is left out")?;
    let key = || {
        let mut step = text(pitch, "step")?.chars();
        let natural = natural(step.next()?).filter(|_| step.next().is_none())?;
        let octave = number(pitch, "octave").filter(|octave| (0..=9).contains(octave))?;
        Some(12 * (octave as i16 + 1) + i16::from(natural))
    };
    let alter = text(pitch, "alter").map_or(Some(0.0), |alter| alter.parse::<f64>().ok());
    let alter = alter.ok_or("a note whose pitch is not understood is left out")?;
    if alter.fract() != 0.0 {
        return Err("a note between two semitones is left out: no fret sounds it");
    }
    let key = key().map(|key| key + (alter as i16).clamp(-3, 3) + transpose);
    let key = key.and_then(|key| u8::try_from(key).ok()).filter(|key| *key < 128);
    key.map(Pitch).ok_or("a note whose pitch is not understood is left out")
}

fn marks(node: Node<'_, '_>, technical: Option<Node<'_, '_>>) -> Marks {
    let has = |name: &str| node.descendants().any(|node| node.has_tag_name(name));
    let finger = match technical.and_then(|technical| text(technical, "fingering")) {
        Some("1" | "i") => Some(Finger::Index),
        Some("2" | "m") => Some(Finger::Middle),
        Some("3" | "r" | "a") => Some(Finger::Ring),
        Some("4" | "p" | "c") => Some(Finger::Little),
        _ => None,
    };
    Marks {
        accent: has("accent") || has("strong-accent"),
        vibrato: has("wavy-line"),
        choke: has("bend"),
        finger,
    }
}
