use lope_hand::Grip;
use lope_rules::Music;
use lope_tune::{How, Note};

/// A string and a fret.
pub type Spot = (u8, u8);

/// What the left hand can hold on the neck with the capo at another fret.
pub struct LeftHand<'m> {
    music: &'m Music<'m>,
    capo: u8,
}

impl<'m> LeftHand<'m> {
    pub const fn new(music: &'m Music<'m>, capo: u8) -> Self {
        Self { music, capo }
    }

    /// The last fret, counted from the capo.
    pub fn last_fret(&self) -> u8 {
        self.music.neck.frets.saturating_sub(self.capo)
    }

    /// Whether `notes` at `spots` are no harder to hold at once than they were.
    pub fn holds(&self, notes: &[Note], spots: &[Spot]) -> bool {
        let moved = notes.iter().zip(spots).map(|(note, (string, fret))| Note {
            string: *string,
            fret: *fret,
            ..*note
        });
        self.is_easy(Grip::of(&moved.collect::<Vec<_>>()), self.capo)
            || !self.is_easy(Grip::of(notes), self.music.tune.header.capo)
    }

    /// Whether going from `from` to `to` on one string, by a slur sounded as `how`, is within reach.
    pub fn reaches(&self, how: How, from: u8, to: u8) -> bool {
        how == How::Slide || self.is_easy(Grip::of_slur(from, to), self.capo)
    }

    fn is_easy(&self, grip: Option<Grip>, capo: u8) -> bool {
        grip.is_none_or(|grip| {
            grip.fingers <= 4 && grip.reach_mm(&self.music.neck, capo) <= self.music.neck.widest_mm
        })
    }
}
