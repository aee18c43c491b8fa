//! Words into stretches that one font sets in one direction.

use std::ops::Range;

use unicode_bidi::{BidiClass, BidiInfo, bidi_class};

/// A stretch of words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// The font that has its characters.
    pub font: Option<usize>,
    /// Its bytes.
    pub range: Range<usize>,
    /// Whether it runs from right to left.
    pub leftward: bool,
}

/// The stretches of `words` from left to right. `has` says whether a font has a character; the first of `fonts`
/// that has it is taken.
pub fn stretches(words: &str, fonts: &[usize], has: impl Fn(usize, char) -> bool) -> Vec<Stretch> {
    if words.is_ascii() {
        return by_font(words, 0..words.len(), false, fonts, &has);
    }
    let directions = BidiInfo::new(words, None);
    let lines = directions.paragraphs.iter().flat_map(|line| {
        let (levels, runs) = directions.visual_runs(line, line.range.clone());
        runs.into_iter().map(move |run| (levels[run.start].is_rtl(), run)).collect::<Vec<_>>()
    });
    lines.flat_map(|(leftward, run)| by_font(words, run, leftward, fonts, &has)).collect()
}

/// Whether a character that no font has would leave a gap: it is neither blank nor only tells of others.
pub fn is_drawn(letter: char) -> bool {
    !letter.is_whitespace() && !letter.is_control() && bidi_class(letter) != BidiClass::BN
}

fn by_font(
    words: &str,
    range: Range<usize>,
    leftward: bool,
    fonts: &[usize],
    has: &impl Fn(usize, char) -> bool,
) -> Vec<Stretch> {
    let mut stretches: Vec<Stretch> = Vec::new();
    for (at, letter) in words[range.clone()].char_indices() {
        let at = range.start + at;
        let end = at + letter.len_utf8();
        // Marks are set with the letter before them where its font has them, joiners and blanks in any.
        let follows = |font: usize| {
            let unseen = letter.is_whitespace() || !is_drawn(letter);
            unseen || bidi_class(letter) == BidiClass::NSM && has(font, letter)
        };
        let font = match stretches.last() {
            Some(Stretch { font: Some(font), .. }) if follows(*font) => Some(*font),
            _ => fonts.iter().copied().find(|font| has(*font, letter)),
        };
        match stretches.last_mut() {
            Some(last) if last.font == font => last.range.end = end,
            _ => stretches.push(Stretch { font, range: at..end, leftward }),
        }
    }
    if leftward {
        stretches.reverse();
    }
    stretches
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Font 0 has what Latin needs, font 1 Hebrew.
    fn has(font: usize, letter: char) -> bool {
        match letter {
            '\0'..='\u{36f}' => font == 0,
            '\u{590}'..='\u{5ff}' => font == 1,
            _ => false,
        }
    }

    fn split(words: &str) -> Vec<(Option<usize>, &str, bool)> {
        let told = |stretch: Stretch| (stretch.font, &words[stretch.range], stretch.leftward);
        stretches(words, &[0, 1], has).into_iter().map(told).collect()
    }

    #[test]
    fn each_stretch_has_one_font_and_one_direction() {
        assert_eq!(split("2"), [(Some(0), "2", false)]);
        assert_eq!(split("Über die Mole"), [(Some(0), "Über die Mole", false)]);
        assert_eq!(
            split("a 漢字 b"),
            [(Some(0), "a ", false), (None, "漢字", false), (Some(0), " b", false),]
        );
    }

    #[test]
    fn what_runs_leftward_is_turned_round() {
        // Unicode Standard Annex 9: a line that starts with a letter of Hebrew runs leftward as a whole.
        assert_eq!(split("שיר jig"), [(Some(0), "jig", false), (Some(1), "שיר ", true)]);
        assert_eq!(split("jig שיר"), [(Some(0), "jig ", false), (Some(1), "שיר", true)]);
    }

    #[test]
    fn marks_stay_with_their_letter() {
        assert_eq!(split("\u{5d0}\u{5b8}"), [(Some(1), "\u{5d0}\u{5b8}", true)]);
        assert_eq!(split("e\u{301}\u{200d}"), [(Some(0), "e\u{301}\u{200d}", false)]);
        assert_eq!(split("e\u{1ab0}"), [(Some(0), "e", false), (None, "\u{1ab0}", false)]);
    }
}
