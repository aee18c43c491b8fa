use lope_hand::Hand;
use lope_tune::{Duration, How, Moment, Pitch, Stroke, Tune, play};

/// A note as it is heard, and how the right hand comes to it: when it sounds, how long, its pitch, what makes
/// it sound, and whether the hand falls there.
pub type Heard = (Moment, Duration, Option<Pitch>, How, bool);

/// Every note of `tune` as it is heard when the tune is played through, repeats and all, and how long that
/// takes. Two tunes that sound the same to the same strokes of the hand are equal in this.
pub fn heard(tune: &Tune, hand: &Hand) -> (Vec<Heard>, Duration) {
    let played = play(tune);
    let falls = |note: u32| {
        let event = tune.events.partition_point(|event| event.notes.end <= note);
        hand.motions.get(event).is_some_and(|motion| motion.stroke == Stroke::Fall)
    };
    let notes =
        played.notes.iter().map(|note| (note.onset, note.length, note.pitch, note.how, falls(note.note.0)));
    let mut notes: Vec<Heard> = notes.collect();
    // They are nearly in order, of which this sort makes use.
    notes.sort_by_key(|(onset, length, pitch, how, falls)| (*onset, *pitch, *length, *how as u8, *falls));
    (notes, played.length)
}
