//! What sounds each note of a tablature: as the score says, or else as the gait has it.

use lope_tune::{Gait, How, Moment, Note, Run, Stroke};

use super::{Sound, Strings};
use crate::{Place, Remark};

/// The two hands as they go through the tablature.
pub struct Hands<'r> {
    /// The string and fret last fingered; nothing where there is none.
    pub fingered: Option<(u8, u8)>,
    /// The string last struck.
    struck: Option<u8>,
    /// Whether the score says what the thumb plays.
    says_thumb: bool,
    /// How many notes were given to the thumb, were guessed to be slurs, and sound other than they say.
    thumbs: usize,
    curves: usize,
    other: usize,
    remarks: &'r mut Vec<Remark>,
}

impl<'r> Hands<'r> {
    /// Hands that play a score, which marks what the thumb plays where it `says_thumb`.
    pub const fn new(says_thumb: bool, remarks: &'r mut Vec<Remark>) -> Self {
        Self { fingered: None, struck: None, says_thumb, thumbs: 0, curves: 0, other: 0, remarks }
    }

    /// The note that `sound` is, at a moment when the right hand does `stroke`; none where it has no place on
    /// the neck. `before` is what was fingered before the notes that sound together with it.
    pub fn note(
        &mut self,
        sound: &Sound,
        place: &Place,
        stroke: Stroke,
        before: Option<(u8, u8)>,
        strings: &Strings,
    ) -> Option<Note> {
        let pitch = sound.pitch?;
        let (Some(string @ 1..=5), Some(fret)) = (sound.string, sound.fret) else {
            self.say(place, "a note without a string and a fret is left out");
            return None;
        };
        let fret = strings.fret(string, fret);
        self.other += usize::from(strings.tuning.sounds(string, fret, strings.capo) != Some(pitch));
        let how = self.how(sound, string, fret, stroke, before);
        let alternate = how.is_slur() && before.map(|(string, _)| string) != Some(string);
        if string < 5 {
            self.fingered = Some((string, fret));
        }
        if how == How::Strike {
            self.struck = Some(string);
        }
        Some(Note { string, fret, how, alternate, marks: sound.marks })
    }

    fn how(&mut self, sound: &Sound, string: u8, fret: u8, stroke: Stroke, before: Option<(u8, u8)>) -> How {
        if let Some(slur) = sound.slur {
            return slur;
        }
        if let Some((_, from)) = before.filter(|before| sound.curve && before.0 == string && before.1 != fret)
        {
            self.curves += 1;
            return if fret > from { How::Hammer } else { How::Pull };
        }
        if sound.pluck.as_deref().is_some_and(|finger| matches!(finger, "p" | "P" | "t" | "T")) {
            return How::Thumb;
        }
        // A thumb drops to a string nearer the player's face than the one struck.
        let drops = stroke == Stroke::Rise && string > 1 && self.struck.is_some_and(|struck| string > struck);
        if self.says_thumb || string < 5 && !drops {
            return How::Strike;
        }
        self.thumbs += 1;
        How::Thumb
    }

    /// Says at `place` what was done.
    pub fn say(&mut self, place: &Place, text: &str) {
        let remark = Remark { place: Some(place.clone()), text: text.to_owned() };
        if self.remarks.last() != Some(&remark) {
            self.remarks.push(remark);
        }
    }

    /// Says what was guessed.
    pub fn tell(self, strings: &Strings) {
        let mut say = |text: String| self.remarks.push(Remark { place: None, text });
        if !self.says_thumb {
            let thumbs =
                if self.thumbs == 1 { "1 note".to_owned() } else { format!("{} notes", self.thumbs) };
            say(format!(
                "the file does not say what the thumb plays; by the gait it plays {thumbs}: the drone, and on a rise a string nearer the player's face than the one struck"
            ));
        }
        if self.curves > 0 {
            say(format!("{} notes under a curve are taken for hammer-ons and pull-offs", self.curves));
        }
        if self.other > 0 {
            say(format!(
                "{} notes sound other than the file says in {}: their strings and frets are kept",
                self.other, strings.tuning
            ));
        }
    }
}

/// What the right hand does at `onset`: by the run it is in, or else by `gait`.
pub fn stroke(gait: Gait, lead: lope_tune::Duration, runs: &[Run], onset: Moment) -> Stroke {
    let is_in = |run: &&Run| onset >= run.start && onset < run.start + run.slot.times(run.slots);
    match runs.iter().rev().find(is_in) {
        Some(run) => Gait::three(run.slot).at(Moment::START + (onset - run.start)).0,
        None => gait.at(onset + lead).0,
    }
}
