//! Which tuning, capo and octave suit a melody.

use lope_tune::{Key, Melody, Mode, NAMED, Pitch, Stroke, Tune, Tuning};

use crate::search::{Route, Stuck, easiest};
use crate::steps::Steps;
use crate::ways::Ways;
use crate::{LeftOut, Tally, Trouble, Why, Wishes, dress};

/// How the instrument is tuned, and how far the melody moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Choice {
    /// The tuning.
    pub tuning: Tuning,
    /// The fret of the capo, 0 for none.
    pub capo: u8,
    /// The semitones by which the melody is moved up.
    pub up: i8,
}

/// A melody as a hand plays it.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// The tune.
    pub tune: Tune,
    /// How the instrument is tuned for it.
    pub choice: Choice,
    /// Its key there; guessed from the notes where the melody says none.
    pub key: Key,
    /// The effort of the melody's notes and of the choice, in the units of [`crate::effort`].
    pub effort: u32,
    /// The effort of the melody's notes alone.
    pub melody_effort: u32,
    /// What the hands do.
    pub tally: Tally,
    /// The notes it leaves out, in the order of the melody.
    pub left_out: Vec<LeftOut>,
}

/// The most settings that are offered.
const MOST: usize = 8;
/// The furthest fret for a capo that is not asked for. Common practice.
const HIGHEST_CAPO: u8 = 5;
/// The effort of a capo, for each fret of it.
const CAPO: u32 = 12;
/// The effort of another tuning than open G.
const RETUNE: u32 = 60;
/// The effort of each note over a drone that is in the key but not in its home chord.
const ODD_DRONE: u32 = 4;
/// The effort of each note over a drone that is not in the key.
const WRONG_DRONE: u32 = 12;

/// The easiest settings of `melody`, the best first and each in another choice.
///
/// # Errors
/// When there is none.
pub fn arrange(melody: &Melody, wishes: &Wishes) -> Result<Vec<Setting>, Trouble> {
    let steps = Steps::of(melody);
    if steps.steps.is_empty() {
        return Err(Trouble::Empty);
    }
    let key =
        melody.key.unwrap_or_else(|| guess(&melody.notes.iter().map(|note| note.pitch).collect::<Vec<_>>()));
    let mut found: Vec<(u32, Choice, Route)> = Vec::new();
    let mut furthest = None;
    for choice in choices(&steps, key, wishes) {
        match easiest(&steps.steps, &Ways::new(&choice, wishes)) {
            Ok(route) => {
                found.push((route.effort + own_effort(&choice, key, steps.steps.len()), choice, route))
            }
            Err(Stuck(at)) => furthest = furthest.max(Some(at)),
        }
    }
    if found.is_empty() {
        let stuck = furthest.map(|at| &steps.steps[at]);
        return Err(
            stuck.map_or(Trouble::OffTheNeck, |step| Trouble::NoWay { bar: step.bar, onset: step.onset })
        );
    }
    // The sort is stable: of choices as easy, the first in the order of trying stays first.
    found.sort_by_key(|(effort, ..)| *effort);
    found.truncate(MOST);
    let settings = found.into_iter().map(|(effort, choice, route)| {
        let key = Key { tonic: (i16::from(key.tonic) + i16::from(choice.up)).rem_euclid(12) as u8, ..key };
        let tune = dress::dress(melody, &steps, &route, &choice, key, wishes);
        let (tally, left_out) = (Tally::of(&route), left_out(&steps, &route));
        Setting { tune, choice, key, effort, melody_effort: route.effort, tally, left_out }
    });
    Ok(settings.collect())
}

/// Every choice that `wishes` leave open and that has all notes on the neck.
fn choices(steps: &Steps, key: Key, wishes: &Wishes) -> Vec<Choice> {
    let named = NAMED.iter().filter_map(|(_, notes)| Tuning::parse(notes));
    let tunings: Vec<Tuning> = match wishes.tuning {
        Some(tuning) => vec![tuning],
        // What a capo makes of another is the same choice.
        None => {
            let mut tunings: Vec<Tuning> = Vec::new();
            tunings.extend(named.filter(|tuning| *tuning != double_d()));
            tunings
        }
    };
    let capos = wishes.capo.map_or(0..=HIGHEST_CAPO, |capo| capo..=capo);
    let moved = wishes.tonic.map_or(0, |tonic| i16::from(tonic) - i16::from(key.tonic));
    let mut choices = Vec::new();
    for tuning in tunings {
        for capo in capos.clone() {
            for octave in -4..=2 {
                let Ok(up) = i8::try_from(moved + 12 * octave) else { continue };
                let choice = Choice { tuning, capo, up };
                let ways = Ways::new(&choice, wishes);
                let is_there = |step: &crate::steps::Step| {
                    step.stroke == Stroke::Between || ways.places(step.pitch).next().is_some()
                };
                if steps.steps.iter().all(is_there) {
                    choices.push(choice);
                }
            }
        }
    }
    choices
}

/// Double D is double C with a capo at the second fret. Common practice.
fn double_d() -> Tuning {
    Tuning::parse("aDADE").unwrap_or_default()
}

/// What `choice` itself costs over `notes` notes.
fn own_effort(choice: &Choice, key: Key, notes: usize) -> u32 {
    let retune = if choice.tuning == Tuning::default() { 0 } else { RETUNE };
    let tonic = (i16::from(key.tonic) + i16::from(choice.up)).rem_euclid(12) as u8;
    let drone = choice.tuning.open(5, choice.capo).map_or(0, |drone| {
        let key = Key { tonic, ..key };
        let home = [tonic, (tonic + 7) % 12].contains(&(drone.0 % 12));
        if home {
            0
        } else if key.has(drone) {
            ODD_DRONE
        } else {
            WRONG_DRONE
        }
    });
    retune + CAPO * u32::from(choice.capo) + drone * notes as u32
}

/// The key of `pitches`, which comes home to the last of them: of the modes players use, the first that has
/// most of them.
fn guess(pitches: &[Pitch]) -> Key {
    let tonic = pitches.last().map_or(0, |last| last.0 % 12);
    let has = |mode: &Mode| {
        let key = Key { tonic, mode: *mode };
        pitches.iter().filter(|pitch| key.has(**pitch)).count()
    };
    let modes = [Mode::Aeolian, Mode::Dorian, Mode::Mixolydian, Mode::Ionian];
    Key { tonic, mode: modes.into_iter().max_by_key(has).unwrap_or(Mode::Ionian) }
}

fn left_out(steps: &Steps, route: &Route) -> Vec<LeftOut> {
    let skipped = steps.steps.iter().zip(&route.ways).filter(|(_, way)| **way == crate::ways::Way::LeaveOut);
    let skipped = skipped.map(|(step, _)| LeftOut {
        note: step.note,
        bar: step.bar,
        onset: step.onset,
        why: Why::OutOfReach,
    });
    let mut all: Vec<LeftOut> = steps.left_out.iter().copied().chain(skipped).collect();
    all.sort_by_key(|left| left.note);
    all
}
