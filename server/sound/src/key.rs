//! The key signature of a tune, which its text does not say.

use lope_tune::{Key, Mode};

use crate::Sound;

/// The signature whose scale has most of the sounds, as sharps, or flats below zero, from -5 to 6; and whether
/// its minor is meant. Of signatures that fit as well the one is taken in which the last note is at home, then
/// the one with fewest sharps or flats. A guess, for programs that show notes: it changes no sound.
pub fn signature(sounds: &[Sound]) -> (i8, bool) {
    let mut counts = [0_u32; 12];
    for sound in sounds {
        counts[usize::from(sound.pitch.0 % 12)] += 1;
    }
    let Some(home) = sounds.last().map(|sound| sound.pitch.0 % 12) else { return (0, false) };
    let fits = |fifths: i8| {
        let key = Key::of_signature(fifths, Mode::Ionian);
        let inside: u32 = (0..12)
            .filter(|class| key.has(lope_tune::Pitch(*class)))
            .map(|class| counts[usize::from(class)])
            .sum();
        let minor = Key::of_signature(fifths, Mode::Aeolian).tonic == home;
        let at_home = key.tonic == home || minor;
        (inside, at_home, -fifths.abs(), fifths, minor)
    };
    let (.., fifths, minor) = (-5..=6).map(fits).max().unwrap_or_default();
    (fifths, minor)
}
