//! The key a tune is likely in, told from its notes and its tuning.

use lope_tune::{Key, Mode, NAMED, Pitch, Tune, Tuning};

use crate::letter::spelled;

/// Seven notes and the one they come home to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Scale {
    /// The home note, 0 for C to 11 for B.
    tonic: u8,
    /// The major key with the same notes.
    major: u8,
}

/// The major scale in semitones.
const MAJOR: [u8; 7] = [0, 2, 4, 5, 7, 9, 11];

/// The home note of each of [`NAMED`], and the major key whose notes go with it: sawmill and G minor are for
/// tunes with a low third. Common practice.
const HOMES: [(u8, u8); 7] = [(7, 7), (7, 5), (0, 0), (0, 0), (2, 2), (2, 2), (7, 10)];

/// How many notes of a tune it takes to outweigh what its tuning says. A judgement, from memory.
const TUNING_COUNTS: u32 = 6;

/// From how many notes on the last one is where a tune comes home to: two bars or so.
const A_TUNE: u32 = 8;

impl Scale {
    /// The scale that has most of the notes of `tune`, and of those with as many the one its tuning is for.
    pub fn of(tune: &Tune) -> Self {
        let (header, mut counts) = (&tune.header, [0_u32; 12]);
        let pitch = |string, fret| header.tuning.sounds(string, fret, header.capo);
        // The drone sounds whatever the key is.
        let notes = || tune.notes.iter().filter(|note| note.string != 5);
        for pitch in notes().filter_map(|note| pitch(note.string, note.fret)) {
            counts[usize::from(pitch.0 % 12)] += 1;
        }
        let home = Self::of_tuning(&header.tuning, header.capo);
        let covered =
            |major: u8| MAJOR.iter().map(|step| counts[usize::from((major + step) % 12)]).sum::<u32>();
        let fit = |major: u8| {
            let near = TUNING_COUNTS - u32::from(fifths_between(major, home.major));
            (covered(major) + near) * 2 + u32::from(major == home.major)
        };
        let major = (0..12).max_by_key(|major| (fit(*major), *major == home.major)).unwrap_or(home.major);
        let last =
            notes().next_back().and_then(|note| pitch(note.string, note.fret)).map(|pitch| pitch.0 % 12);
        let last = last.filter(|_| counts.iter().sum::<u32>() >= A_TUNE);
        let tonics = last.into_iter().chain([home.tonic]);
        let tonic = tonics.into_iter().find(|tonic| is_home(*tonic, major)).unwrap_or(major);
        Self { tonic, major }
    }

    /// The scale that `tuning` is for, with a capo at fret `capo`.
    pub fn of_tuning(tuning: &Tuning, capo: u8) -> Self {
        let named = NAMED.iter().position(|(_, notes)| Tuning::parse(notes).as_ref() == Some(tuning));
        let (tonic, major) = match named {
            Some(at) => HOMES[at],
            None => {
                let open: Vec<u8> =
                    (1..=5).filter_map(|string| tuning.open(string, 0)).map(|p| p.0 % 12).collect();
                let drone = open.last().copied().unwrap_or_default();
                let covers = |major: &u8| open.iter().filter(|note| has(*major, **note)).count();
                let major = (0..12).max_by_key(|major| (covers(major), *major == drone)).unwrap_or(drone);
                (if is_home(drone, major) { drone } else { major }, major)
            }
        };
        Self { tonic: (tonic + capo) % 12, major: (major + capo) % 12 }
    }

    /// It as a key.
    pub fn key(&self) -> Key {
        let home = (self.tonic + 12 - self.major) % 12;
        let degree = MAJOR.iter().position(|step| *step == home).unwrap_or_default();
        Key { tonic: self.tonic, mode: Mode::ALL[degree] }
    }

    /// Whether `pitch` is one of its notes.
    pub fn has(&self, pitch: Pitch) -> bool {
        has(self.major, pitch.0 % 12)
    }

    /// Whether `pitch` is its home note.
    pub const fn is_home(&self, pitch: Pitch) -> bool {
        pitch.0 % 12 == self.tonic
    }

    /// The name of `pitch` with its octave, with a flat where the key has flats: `Bb3`.
    pub fn pitch_name(&self, pitch: Pitch) -> String {
        format!("{}{}", spelled(pitch.0, self.has_flats()), pitch.octave())
    }

    /// The name of `pitch` without its octave: `Bb`.
    pub fn letter(&self, pitch: Pitch) -> &'static str {
        spelled(pitch.0, self.has_flats())
    }

    /// `G`, or `Em` where the third is low.
    pub fn name(&self) -> String {
        format!("{}{}", self.spelled(0), if self.is_low(0) { "m" } else { "" })
    }

    /// The symbols of its chords, those that tunes use most first: the first, fourth and fifth of a major key,
    /// with a seventh on the fifth; the first, seventh and fourth where the third is low. Common practice.
    pub fn chords(&self) -> Vec<String> {
        let symbol =
            |degree: usize| format!("{}{}", self.spelled(degree), if self.is_low(degree) { "m" } else { "" });
        let order: [usize; 7] = if self.is_low(0) { [0, 6, 3, 4, 2, 5, 1] } else { [0, 3, 4, 5, 1, 2, 6] };
        let whole = order.into_iter().filter(|degree| !self.is_diminished(*degree));
        let mut chords: Vec<String> = whole.map(symbol).collect();
        if !self.is_low(0) && !self.is_low(4) {
            chords.insert(3.min(chords.len()), format!("{}7", self.spelled(4)));
        }
        chords
    }

    /// The note `degree` steps up the scale from home.
    fn note(&self, degree: usize) -> u8 {
        let home = (self.tonic + 12 - self.major) % 12;
        let first = MAJOR.iter().position(|step| *step == home).unwrap_or_default();
        (self.major + MAJOR[(first + degree) % 7]) % 12
    }

    fn above(&self, degree: usize, steps: usize) -> u8 {
        (self.note(degree + steps) + 12 - self.note(degree)) % 12
    }

    fn is_low(&self, degree: usize) -> bool {
        self.above(degree, 2) == 3
    }

    fn is_diminished(&self, degree: usize) -> bool {
        self.above(degree, 4) == 6
    }

    fn spelled(&self, degree: usize) -> &'static str {
        spelled(self.note(degree), self.has_flats())
    }

    /// Whether its major key is written with flats.
    const fn has_flats(&self) -> bool {
        matches!(self.major, 5 | 10 | 3 | 8 | 1)
    }
}

fn has(major: u8, note: u8) -> bool {
    MAJOR.contains(&((note + 12 - major) % 12))
}

/// Whether tunes with the notes of `major` come home to `note`: in the major key itself, or in the modes that
/// start on its second, fifth and sixth. Common practice.
fn is_home(note: u8, major: u8) -> bool {
    [0, 2, 7, 9].contains(&((note + 12 - major) % 12))
}

/// How far apart two keys are round the circle of fifths: 0 to 6.
const fn fifths_between(a: u8, b: u8) -> u8 {
    let up = (a + 12 - b) % 12 * 7 % 12;
    if up > 6 { 12 - up } else { up }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::{Reading, Settings};

    fn scale(tuning: &str, music: &str) -> Scale {
        let text = format!("tune: T\nmeter: 6/8\ntuning: {tuning}\npart A\n{music}\n");
        Scale::of(Reading::new(text, &Arc::new(Settings::default())).tune())
    }

    #[test]
    fn without_notes_the_tuning_tells_the_key() {
        let name = |tuning: &str| scale(tuning, "").name();
        assert_eq!(["gDGBD", "gDGCD", "gCGCD", "aDADE", "gDGBbD"].map(name), ["G", "Gm", "C", "D", "Gm"]);
        assert_eq!(name("aEAC#E"), "A");
        assert_eq!(scale("double C\ncapo: 2", "").name(), "D");
    }

    #[test]
    fn the_notes_of_the_tune_decide() {
        let e_minor = scale("gDGBD", "| 4:2 t 4:2  3:0 t 3:2 | 2:0 t 3:2  3:0 t 4:4 | 4:2 t 4:2  4:2-- |");
        assert_eq!(e_minor.name(), "Em");
        assert_eq!(e_minor.chords()[..3], ["Em", "D", "Am"]);
        let in_d = "| 1:0 t 1:2  1:4 t 1:5 | 3:2 t 2:2  2:2 t 1:0 | 4:4 t 3:2  2:2 t 1:0 |";
        let d = scale("gDGBD", &in_d.repeat(3));
        assert_eq!((d.name().as_str(), d.has(Pitch(61)), d.has(Pitch(60))), ("D", true, false));
    }

    #[test]
    fn chords_are_spelled_as_players_write_them() {
        assert_eq!(scale("gDGBD", "").chords(), ["G", "C", "D", "D7", "Em", "Am", "Bm"]);
        assert_eq!(scale("gDGBbD", "").pitch_name(Pitch(58)), "Bb3");
        assert_eq!(scale("gDGBbD", "").chords(), ["Gm", "F", "Cm", "Dm", "Bb", "Eb"]);
    }
}
