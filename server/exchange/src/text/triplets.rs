//! Notes that stand at thirds, made triplets.

use lope_tune::{Duration, Moment};

use crate::Place;
use crate::tab::Sound;

/// How many slots a triplet takes, the most first.
const WIDTHS: [u32; 3] = [4, 2, 1];

/// Marks the triplets of a bar in `sounds`, which are in order: three in the time of one slot of `unit`, of two or of
/// four. The bar begins `lead` after a bar line. What rings into a triplet or out of it goes on in a sound of its own.
pub fn mark(sounds: &mut Vec<(Sound, &Place)>, unit: Duration, lead: Duration) {
    let mut done = Moment::START;
    let mut at = 0;
    while at < sounds.len() {
        let onset = sounds[at].0.onset;
        let found = (onset >= done).then(|| triplet(sounds, onset, unit, lead)).flatten();
        if let Some((start, end)) = found.filter(|(start, _)| *start >= done) {
            fill(sounds, start, end);
            done = end;
            at = sounds.partition_point(|(sound, _)| sound.onset < end);
        } else {
            at += 1;
        }
    }
}

/// Where the widest triplet begins and ends that has a note at `onset` and no other than its thirds; none where that
/// is at a half, a quarter or an eighth of a slot.
fn triplet(
    sounds: &[(Sound, &Place)],
    onset: Moment,
    unit: Duration,
    lead: Duration,
) -> Option<(Moment, Moment)> {
    let place = (onset + lead).since_start();
    if place.is_multiple_of(unit.share(8)) {
        return None;
    }
    let mut widths = WIDTHS.into_iter().map(|slots| unit.times(slots));
    widths.find_map(|width| {
        let (before, rest) = place.divide(width);
        let start = Moment::START + width.times(u32::try_from(before).ok()?);
        let start = Moment::START + (start - (Moment::START + lead));
        let mut inside =
            sounds.iter().map(|(sound, _)| sound.onset).filter(|at| *at >= start && *at < start + width);
        let fits = rest.is_multiple_of(width.share(3))
            && inside.all(|at| (at - start).is_multiple_of(width.share(3)));
        fits.then_some((start, start + width))
    })
}

fn fill(sounds: &mut Vec<(Sound, &Place)>, start: Moment, end: Moment) {
    let first = sounds.partition_point(|(sound, _)| sound.onset < start);
    if sounds[first].0.onset > start {
        // What sounded before rings on in it.
        let Some((before, place)) = sounds[..first].last().cloned() else { return };
        for (sound, _) in sounds[..first].iter_mut().filter(|(sound, _)| sound.end() > start) {
            sound.length = start - sound.onset;
        }
        let length = sounds[first].0.onset - start;
        sounds.insert(first, (Sound { onset: start, length, ..rung(&before) }, place));
    }
    let last = sounds.partition_point(|(sound, _)| sound.onset < end);
    let inside = &mut sounds[first..last];
    let mut over = Duration::ZERO;
    let mut before = None;
    for (at, (sound, _)) in inside.iter_mut().enumerate() {
        sound.chord = before == Some(sound.onset);
        before = Some(sound.onset);
        sound.actual = Some(3);
        sound.tuplet.0 = at == 0;
        if sound.end() > end {
            over = over.max(sound.end() - end);
            sound.length = end - sound.onset;
        }
    }
    if let Some((sound, place)) = inside.iter_mut().rev().find(|(sound, _)| !sound.chord) {
        sound.tuplet.1 = true;
        if over > Duration::ZERO {
            let rings_on = (Sound { onset: end, length: over, ..rung(sound) }, *place);
            sounds.insert(last, rings_on);
        }
    }
}

/// `sound` as it rings on.
fn rung(sound: &Sound) -> Sound {
    Sound { tied: true, chord: false, slur: None, actual: None, tuplet: (false, false), ..sound.clone() }
}
