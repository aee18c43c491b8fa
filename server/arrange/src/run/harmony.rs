//! Which notes fit at a moment.

use lope_tune::{BarId, Key, LabelKind, Moment, Pitch, Tune};

use crate::chord::Chord;

/// The blues scale above its tonic, in semitones: the minor pentatonic with a lowered fifth. Common practice.
pub const BLUES: [u8; 6] = [0, 3, 5, 6, 7, 10];

/// What fits in a tune.
pub struct Harmony<'t> {
    tune: &'t Tune,
    key: Key,
    blues: bool,
}

/// What fits at a moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fit {
    /// One bit for each pitch class that may sound.
    scale: u16,
    /// The chord, where one is written.
    chord: Option<Chord>,
}

impl Fit {
    /// Whether `pitch` may sound.
    pub const fn has(self, pitch: Pitch) -> bool {
        self.scale >> (pitch.0 % 12) & 1 == 1
    }

    /// Whether `pitch` is no tone of the chord that is written.
    pub fn is_off_chord(self, pitch: Pitch) -> bool {
        self.chord.is_some_and(|chord| !chord.has(pitch))
    }
}

impl<'t> Harmony<'t> {
    /// What fits in `tune`, whose key is `key`: the notes of the blues scale on its tonic where `blues`.
    pub const fn new(tune: &'t Tune, key: Key, blues: bool) -> Self {
        Self { tune, key, blues }
    }

    /// What fits at `onset` of `bar`: the scale of the key, bent to the chord in force there.
    pub fn at(&self, bar: BarId, onset: Moment) -> Fit {
        let chord = self.chord(bar, onset);
        let scale = if self.blues { above(self.key.tonic, &BLUES) } else { scale(self.key, chord) };
        Fit { scale, chord }
    }

    /// The chord symbol written last at or before `onset` of `bar` in its section.
    fn chord(&self, bar: BarId, onset: Moment) -> Option<Chord> {
        let section = self.tune.sections.iter().find(|section| section.bars.contains(&bar.0))?;
        let is_before = |label: &&lope_tune::Label| {
            label.kind == LabelKind::Chord
                && section.bars.contains(&label.bar.0)
                && (label.bar, label.onset) <= (bar, onset)
        };
        self.tune.labels.iter().rev().filter(is_before).find_map(|label| Chord::parse(&label.text))
    }
}

/// The classes of `key`, in which each tone of `chord` that is not among them takes the place of its
/// neighbour: of two neighbours, of the one that leaves the scale more even. So E7 in G major has G# for G.
fn scale(key: Key, chord: Option<Chord>) -> u16 {
    let mut scale = above(key.tonic, &key.mode.steps());
    let Some(chord) = chord else { return scale };
    let key = scale;
    for tone in chord.classes().filter(|tone| key >> tone & 1 == 0) {
        let neighbours = [(tone + 11) % 12, (tone + 1) % 12].into_iter();
        let free = neighbours.filter(|class| scale >> class & 1 == 1 && !chord.has(Pitch(*class)));
        let bent = |class: u8| (scale & !(1 << class)) | 1 << tone;
        scale = free.map(bent).min_by_key(|scale| widest_gap(*scale)).unwrap_or(scale | 1 << tone);
    }
    scale
}

fn above(tonic: u8, steps: &[u8]) -> u16 {
    steps.iter().fold(0, |set, step| set | 1 << ((tonic + step) % 12))
}

/// The most semitones from one class of `scale` to the next.
fn widest_gap(scale: u16) -> u32 {
    (0..12).filter(|class| scale >> class & 1 == 1).map(|class| gap_above(scale, class)).max().unwrap_or(12)
}

fn gap_above(scale: u16, class: u32) -> u32 {
    (1..=12).find(|gap| scale >> ((class + gap) % 12) & 1 == 1).unwrap_or(12)
}

#[cfg(test)]
mod tests {
    use lope_tune::Mode;

    use super::*;

    fn letters(scale: u16) -> String {
        let classes = (0..12).filter(|class| scale >> class & 1 == 1);
        classes.map(|class| Pitch(class).letter()).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn a_chord_bends_the_scale() {
        let in_g = |chord: &str| letters(scale(Key { tonic: 7, mode: Mode::Ionian }, Chord::parse(chord)));
        assert_eq!(in_g("D7"), "C D E F# G A B");
        assert_eq!(in_g("E7"), "C D E F# G# A B");
        assert_eq!(in_g("F"), "C D E F G A B");
        assert_eq!(in_g("Gm"), "C D E F# G A A#");
    }

    #[test]
    fn the_blues_scale_has_six_notes() {
        assert_eq!(letters(above(7, &BLUES)), "C C# D F G A#");
    }
}
