//! Names of notes as a tuning writes them.

use lope_tune::{NAMED, Tuning};

/// The open strings from the first to the drone, whose letter is small: `D`, `B`, `G`, `D`, `g`.
pub fn strings(tuning: &Tuning) -> [String; 5] {
    let mut written = written(tuning);
    written.reverse();
    written
}

/// The name that the trade has for `tuning`.
pub fn name(tuning: &Tuning) -> Option<&'static str> {
    NAMED.iter().find(|(_, notes)| Tuning::parse(notes) == Some(*tuning)).map(|(name, _)| *name)
}

/// `tuning` as it is written, from the drone to the first string: `gDGBD`.
pub fn whole(tuning: &Tuning) -> String {
    written(tuning).concat()
}

fn written(tuning: &Tuning) -> [String; 5] {
    // A tuning with a name is spelled as it is there; others with sharps.
    if let Some((_, notes)) = NAMED.iter().find(|(_, notes)| Tuning::parse(notes) == Some(*tuning)) {
        let mut strings: [String; 5] = Default::default();
        let mut at = 0;
        for letter in notes.chars() {
            // The drone is the one small letter that is no sign: it comes first.
            if letter.is_ascii_uppercase() {
                at += 1;
            }
            if let Some(string) = strings.get_mut(at) {
                string.push(letter);
            }
        }
        return strings;
    }
    let letter = |string: u8| tuning.open(string, 0).map_or("?", |pitch| pitch.letter()).to_owned();
    let mut strings = [5, 4, 3, 2, 1].map(letter);
    strings[0].make_ascii_lowercase();
    strings
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tunings_are_spelled_as_the_trade_does() {
        for (name_of, notes) in NAMED {
            let tuning = Tuning::parse(notes).unwrap();
            assert_eq!((name(&tuning), whole(&tuning).as_str()), (Some(name_of), notes));
        }
        let other = Tuning::parse("gCGBbD").unwrap();
        assert_eq!((name(&other), whole(&other).as_str()), (None, "gCGA#D"));
        assert_eq!(strings(&Tuning::parse("f#DF#AD").unwrap()), ["D", "A", "F#", "D", "f#"]);
    }
}
