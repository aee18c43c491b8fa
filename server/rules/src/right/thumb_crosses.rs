use lope_hand::{Plant, Thumb};
use lope_tune::{EventId, EventKind, How, Note};

use super::off_strike::is_off;
use crate::elsewhere::move_note;
use crate::slur::slur_to;
use crate::{About, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule, restrike};

pub static RULE: Rule = Rule {
    name: "thumb-crosses",
    level: Some(Level::Warning),
    family: Family::RightHand,
    page: Page {
        finds: "A dropped thumb that lands on the string just struck, or on the floor side of it.",
        why: "When the hand falls, the thumb comes down on a string nearer the player's face than the one \
              the finger strikes. To land on that string, or beyond it, the thumb would have to pass \
              through the finger. Common practice.",
        example: Example {
            bad: "\
tune: Crossed Oars
meter: 6/8

part A
| 3:9 t3:7 1:0  1:2 t 1:0 |
",
            good: "\
tune: Crossed Oars
meter: 6/8

part A
| 3:9 p7 1:0  1:2 t 1:0 |
",
        },
        mend: "Gives the note to the left hand where its string was just struck at another fret. Else drops \
               the thumb to the same pitch on a string beyond the one struck, where there is one within \
               reach; on a fall, strikes the note instead.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    for thumb in &music.hand.thumbs {
        let Note { string, .. } = *music.note(thumb.note);
        let Some(plant) = thumb.plant else { continue };
        let Some(struck) = plant.struck.highest_numbered() else { continue };
        if !(2..=4).contains(&string) || string > struck {
            continue;
        }
        let message = if string == struck {
            format!("the thumb cannot land on string {string}, which was just struck")
        } else {
            format!("the thumb cannot drop to string {string} past string {struck}, which was just struck")
        };
        let finding = report.note(music, thumb.note, message);
        if let Some(strike) = plant.strike {
            finding.relate(music.event_span(strike), format!("string {struck} is struck here"));
        }
    }
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let About::Note(note) = finding.about else { return Vec::new() };
    let Some(thumb) = music.hand.thumb(note) else { return Vec::new() };
    let elsewhere = drop_elsewhere(music, thumb);
    if is_off(music, thumb.note, thumb.event) {
        return elsewhere;
    }
    slur_to(music, thumb.note, struck_before(music, thumb)).into_iter().chain(elsewhere).collect()
}

/// The fret at which the string of `thumb` was struck just before it, if that still sounds.
fn struck_before(music: &Music, thumb: &Thumb) -> Option<u8> {
    let plant = thumb.plant.filter(|plant| plant.back < 2)?;
    let strike = plant.strike?;
    let alone = music.event(thumb.event).notes.len() == 1;
    let mut between = (strike.0 + 1..thumb.event.0).map(|at| music.event(EventId(at)).kind);
    let string = music.note(thumb.note).string;
    let struck = music.tune.notes_of(music.event(strike)).iter().find(|note| note.string == string)?;
    (alone && plant.same_bar && between.all(|kind| kind != EventKind::Silence)).then_some(struck.fret)
}

/// The mends of a thumb note that the thumb cannot reach: the same pitch where it can, or a strike where
/// the hand should fall anyway.
pub fn drop_elsewhere(music: &Music, thumb: &Thumb) -> Vec<Mend> {
    if is_off(music, thumb.note, thumb.event) {
        return restrike::mends(music, thumb.note);
    }
    let reaches = |string| string > 1 && can_land(thumb.plant, string);
    move_note(music, thumb.note, How::Thumb, reaches).into_iter().collect()
}

/// Whether a thumb planted at `plant` can be on `string`: it lies beyond all that was struck there.
pub fn can_land(plant: Option<Plant>, string: u8) -> bool {
    let struck = plant.and_then(|plant| plant.struck.highest_numbered());
    struck.is_none_or(|struck| string > struck)
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn the_thumb_lands_beyond_the_string_struck() {
        let piece = Piece::jig("| 3:0 t3:2 1:0  3:0 t2:1 1:0 | 3:0 t4:0 1:0  [4:0 3:0] t3:0 1:0 |");
        assert_eq!(
            piece.says("thumb-crosses"),
            [
                "t3:2 at part A, bar 1, count 2: the thumb cannot land on string 3, which was just struck",
                "t2:1 at part A, bar 1, count 5: the thumb cannot drop to string 2 past string 3, which was just struck",
                "t3:0 at part A, bar 2, count 5: the thumb cannot drop to string 3 past string 4, which was just struck",
            ]
        );
        let related = &piece.findings_of("thumb-crosses")[2].related[0];
        assert_eq!(related.span.of(&piece.text), "[4:0 3:0]");
    }

    #[test]
    fn after_a_fall_on_air_it_lands_anywhere() {
        assert_eq!(Piece::jig("| _ t2:1 1:0  - t3:0 1:0 |").findings_of("thumb-crosses"), []);
    }

    #[test]
    fn the_same_pitch_has_to_be_within_reach() {
        let piece = Piece::jig("| 3:4 t2:4! 1:4  1:0 t 1:0 |");
        assert_eq!(piece.first_mends("thumb-crosses"), [], "string 4 has it at fret 13, the hand is at 4");
        let high = Piece::jig("| 3:9 t3:9~- 1:0 t 1:0 |");
        assert_eq!(high.first_mends("thumb-crosses")[0].1, "| 3:9 t4:14~- 1:0 t 1:0 |");
        let drone = Piece::jig("| 3:0 t2:8! 1:0  1:0 t 1:0 |");
        assert_eq!(drone.first_mends("thumb-crosses")[0].1, "| 3:0 t! 1:0  1:0 t 1:0 |");
    }

    #[test]
    fn the_left_hand_takes_a_note_of_the_string_just_struck() {
        let up = Piece::jig("| 3:0 t3:2/m! 1:0  1:0 t 1:0 |");
        assert_eq!(up.first_mends("thumb-crosses")[0].1, "| 3:0 h2/m! 1:0  1:0 t 1:0 |");
        let down = Piece::jig("| 3:9 t3:7 1:0  1:0 t 1:0 |");
        let titles: Vec<_> =
            down.mends(&down.findings_of("thumb-crosses")[0]).into_iter().map(|m| m.title).collect();
        assert_eq!(
            titles,
            [
                "pull off to fret 7",
                "slide to fret 7",
                "drop the thumb to string 4 at fret 12: the same pitch"
            ]
        );
        let fallen_silent = Piece::reel("| 3:0  {_ t3:7} t  3:0 t  3:0 t |");
        assert!(
            fallen_silent.first_mends("thumb-crosses").iter().all(|(title, _)| !title.contains("hammer"))
        );
    }

    #[test]
    fn a_slur_from_it_keeps_it_where_it_is() {
        assert_eq!(Piece::jig("| 3:0 t2:8 h10  1:0 t 1:0 |").first_mends("thumb-crosses"), []);
    }
}
