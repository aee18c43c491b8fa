//! The letters of notes, whatever their octave.

use lope_tune::Pitch;

/// The name of the note `class`, 0 for C to 11 for B.
pub const fn spelled(class: u8, flats: bool) -> &'static str {
    const FLATS: [&str; 12] = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"];
    let class = class % 12;
    if flats { FLATS[class as usize] } else { Pitch(class).letter() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_note_between_two_letters_is_spelled_either_way() {
        assert_eq!((spelled(10, true), spelled(10, false)), ("Bb", "A#"));
    }
}
