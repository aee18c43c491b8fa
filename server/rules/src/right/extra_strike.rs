use lope_hand::Stray;
use lope_tune::{How, Note};

use super::thumb_crosses::can_land;
use crate::slur::slur_to;
use crate::spell::{respell, string_at};
use crate::{About, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "extra-strike",
    level: Some(Level::Hint),
    family: Family::RightHand,
    page: Page {
        finds: "A strike where the gait has no fall.",
        why: "A strike can only happen on the way down. To strike on a rise the hand has to come down again \
              at once, an extra fall that the gait has no time for. At an easy tempo that can be done, so \
              this is a hint. Common practice.",
        example: Example {
            bad: "\
tune: Double Knock
meter: 6/8

part A
| 2:0 2:1 1:0  1:2 t 1:0 |
",
            good: "\
tune: Double Knock
meter: 6/8

part A
| 2:0 h1 1:0  1:2 t 1:0 |
",
        },
        mend: "Sounds the note by a hammer-on, pull-off or slide from the note before on the same string, or \
               by dropping the thumb where it can reach.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    for stray in &music.hand.strays {
        let message = match music.hand.group(music.tune, stray.event) {
            Some(place) => format!("note {} of the group is struck, but the hand rises here", place.note),
            None => "this is struck between a fall and a rise".to_owned(),
        };
        report.event(music, stray.event, message);
    }
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let About::Event(event) = finding.about else { return Vec::new() };
    let Some(stray) = music.hand.stray(event) else { return Vec::new() };
    if music.event(event).notes.len() > 1 || stray.plants {
        return Vec::new();
    }
    slur_to(music, stray.note, stray.sounded).into_iter().chain(thumb(music, stray)).collect()
}

/// The thumb dropped to it, where the fall before plants it on that string.
fn thumb(music: &Music, stray: &Stray) -> Option<Mend> {
    let Note { string, fret, .. } = *music.note(stray.note);
    let plant = stray.plant.filter(|plant| plant.same_bar && plant.back < 2)?;
    let lands = matches!(string, 2..=5) && can_land(Some(plant), string) && fret < u8::MAX;
    lands.then(|| {
        let title = match (string, fret) {
            (5, 0) => "thumb the drone".to_owned(),
            (5, _) => format!("thumb the drone at fret {fret}"),
            _ => format!("drop the thumb to {}", string_at(string, fret)),
        };
        Mend::safe(title, vec![respell(music, stray.note, How::Thumb, Some(string), fret)])
    })
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    fn titles(music: &str) -> Vec<String> {
        let piece = Piece::jig(music);
        let found = piece.findings_of("extra-strike");
        let mends = piece.mends(&found[0]);
        mends.iter().for_each(|mend| drop(piece.mended(mend)));
        mends.into_iter().map(|mend| mend.title).collect()
    }

    #[test]
    fn a_strike_belongs_on_a_fall() {
        let piece = Piece::reel("| 3:0 2:0  {3:0 2:0} t  3:0 [2:0 1:0]  3:0 t |");
        assert_eq!(
            piece.says("extra-strike"),
            [
                "2:0 at part A, bar 1, count 1 &: note 2 of the group is struck, but the hand rises here",
                "2:0 at part A, bar 1, count 2 e: this is struck between a fall and a rise",
                "[2:0 1:0] at part A, bar 1, count 3 &: note 2 of the group is struck, but the hand rises here",
            ]
        );
    }

    #[test]
    fn the_left_hand_or_the_thumb_takes_it() {
        assert_eq!(titles("| 2:0 2:1 1:0  1:0 t 1:0 |"), ["hammer on to fret 1"]);
        assert_eq!(titles("| 2:2 2:4 1:0  1:0 t 1:0 |"), ["hammer on to fret 4", "slide to fret 4"]);
        assert_eq!(titles("| 2:2 2:1 1:0  1:0 t 1:0 |"), ["pull off to fret 1", "slide to fret 1"]);
        assert_eq!(titles("| 2:2 2:0 1:0  1:0 t 1:0 |"), ["pull off to the open string"]);
        assert_eq!(titles("| 1:2 2:1 1:0  1:0 t 1:0 |"), ["drop the thumb to string 2 at fret 1"]);
        assert_eq!(titles("| 1:2 5:0 1:0  1:0 t 1:0 |"), ["thumb the drone"]);
        assert_eq!(titles("| 2:2 1:1 1:0  1:0 t 1:0 |"), [""; 0], "the thumb cannot cross");
        assert_eq!(titles("| 2:2 2:2 1:0  1:0 t 1:0 |"), [""; 0], "there is nowhere to slur");
        assert_eq!(titles("| 2:2 _ _  _ 2:4 1:0 |"), ["drop the thumb to string 2 at fret 4"]);
    }

    #[test]
    fn a_strike_that_plants_the_next_thumb_is_left() {
        let piece = Piece::reel("| {2:0 2:1} t  3:0 t  3:0 t  3:0 t |");
        assert_eq!(piece.first_mends("extra-strike"), []);
    }

    #[test]
    fn mended_all_at_once_it_sounds_the_same() {
        let piece = Piece::jig("| 2:0 2:1! 2:0  2:0 2:3- | 1:2 2:1/i 1:0  3:0 3:2~ t |");
        let mended = piece.all_mended("extra-strike");
        assert!(
            mended.text.ends_with("| 2:0 h1! 2:0  2:0 h3- | 1:2 t2:1/i 1:0  3:0 h2~ t |\n"),
            "{}",
            mended.text
        );
    }
}
