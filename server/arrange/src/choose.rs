//! Which tuning, capo and octave suit a melody.

use lope_tune::{Key, Melody, MelodyNote, Mode, NAMED, Pitch, Stroke, Tune, Tuning};

use crate::graces::timed;
use crate::search::{Route, Stuck, easiest};
use crate::steps::{Step, Steps};
use crate::ways::{Way, Ways};
use crate::{LeftOut, Tally, Trouble, Why, Wishes, dress, settled};

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
    let timed = timed(melody);
    let steps = Steps::of(&timed);
    if steps.steps.is_empty() {
        return Err(Trouble::Empty);
    }
    let key = key_of(melody);
    let mut found: Vec<(u32, Choice, Route)> = Vec::new();
    let mut furthest: Option<(Stuck, Choice)> = None;
    for choice in choices(&steps, key, wishes) {
        match easiest(&steps.steps, &Ways::new(&choice, wishes)) {
            Ok(route) => {
                found.push((route.effort + own_effort(&choice, key, steps.steps.len()), choice, route))
            }
            Err(stuck) if furthest.is_none_or(|(before, _)| before < stuck) => {
                furthest = Some((stuck, choice));
            }
            Err(_) => {}
        }
    }
    if found.is_empty() {
        return Err(trouble(&steps.steps, furthest, wishes));
    }
    // The sort is stable: of choices as easy, the first in the order of trying stays first.
    found.sort_by_key(|(effort, ..)| *effort);
    found.truncate(MOST);
    let settings = found.into_iter().map(|(effort, choice, route)| {
        let key = Key { tonic: (i16::from(key.tonic) + i16::from(choice.up)).rem_euclid(12) as u8, ..key };
        let tune = dress::dress(&timed, &steps, &route, &choice, key, wishes);
        let (tally, left_out) = (Tally::of(&route), left_out(melody, &steps, &route));
        Setting { tune, choice, key, effort, melody_effort: route.effort, tally, left_out }
    });
    Ok(settings.collect())
}

/// The pitch classes that `melody` could be moved to, its tonic where `wishes` name none, and have a setting.
pub fn tonics(melody: &Melody, wishes: &Wishes) -> Vec<u8> {
    let steps = Steps::of(&timed(melody));
    let key = key_of(melody);
    let has_setting = |tonic: &u8| {
        let wishes = Wishes { tonic: Some(*tonic), ..wishes.clone() };
        let mut choices = choices(&steps, key, &wishes).into_iter();
        choices.any(|choice| easiest(&steps.steps, &Ways::new(&choice, &wishes)).is_ok())
    };
    (0..12).filter(has_setting).collect()
}

fn trouble(steps: &[Step], furthest: Option<(Stuck, Choice)>, wishes: &Wishes) -> Trouble {
    let Some((stuck, choice)) = furthest else {
        return settled::off_the_neck(steps, wishes).unwrap_or(Trouble::OffTheNeck);
    };
    let step = &steps[stuck.0];
    let no_way = Trouble::NoWay { bar: step.bar, onset: step.onset };
    settled::to_blame(steps, stuck, &choice, wishes).unwrap_or(no_way)
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
                let is_there = |step: &Step| {
                    (step.stroke == Stroke::Between && step.fixed.is_none())
                        || ways.places(step).next().is_some()
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

/// The key that `melody` says, or else the one its notes make likely.
fn key_of(melody: &Melody) -> Key {
    melody.key.unwrap_or_else(|| guess(&melody.notes.iter().map(|note| note.pitch).collect::<Vec<_>>()))
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

/// What is left out of `melody`, where it is written in it.
fn left_out(melody: &Melody, steps: &Steps, route: &Route) -> Vec<LeftOut> {
    let skipped = steps.steps.iter().zip(&route.ways).filter(|(_, way)| **way == Way::LeaveOut);
    let skipped = skipped.map(|(step, _)| {
        let MelodyNote { bar, onset, grace, .. } = melody.notes[step.note];
        LeftOut { note: step.note, bar, onset, why: if grace { Why::Costly } else { Why::OutOfReach } }
    });
    let mut all: Vec<LeftOut> = steps.left_out.iter().copied().chain(skipped).collect();
    all.sort_by_key(|left| left.note);
    all
}
