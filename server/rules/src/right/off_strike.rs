use lope_hand::Fell;
use lope_tune::{EventId, How, NoteId};

use crate::spell::name;
use crate::{About, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule, restrike};

pub static RULE: Rule = Rule {
    name: "off-strike",
    level: Some(Level::Warning),
    family: Family::RightHand,
    page: Page {
        finds: "A note on a fall of the gait that the hand does not strike.",
        why: "The hand falls by itself, on the first and third of every three and on every beat of a reel, \
              and a strike is what it does there. Where the thumb or the left hand has that note, the hand \
              must not fall: it hangs in the air for two slots, and a thumb waits on its string from the \
              strike before. That is where arrangements of jigs stumble, nearly always on the third note of \
              a group. A fall on air is fine: the hand keeps going. Common practice.",
        example: Example {
            bad: "\
tune: The Third Step
meter: 6/8

part A
| 3:0 t 2:0  2:1 t h3 |
",
            good: "\
tune: The Third Step
meter: 6/8

part A
| 3:0 t 2:0  2:1 t 2:3 |
",
        },
        mend: "Strikes the same string at the same fret. For a note on the drone, which a finger strikes \
               only awkwardly, strikes the same pitch on a long string where there is one within reach. Or \
               leaves the note out, which is heard: the hand falls on air and what sounded rings on.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    for unstruck in &music.hand.unstruck {
        report.note(music, unstruck.note, message(music, unstruck.note, unstruck.event));
    }
}

fn message(music: &Music, note: NoteId, event: EventId) -> String {
    let how = name(music.note(note).how);
    let place = match music.hand.group(music.tune, event) {
        Some(group) => format!("note {} of the group", group.note),
        None => "this note".to_owned(),
    };
    if music.hand.motion(event).fell == Fell::Struck {
        return format!("{place} has {how} in it, but the thumb sounds its string only as the hand rises");
    }
    format!("{place} is {how}, but the hand falls here")
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let About::Note(note) = finding.about else { return Vec::new() };
    restrike::mends(music, note)
}

/// Whether `note` is on a fall that the hand does not strike: then this rule has the mends for it.
pub fn is_off(music: &Music, note: NoteId, event: EventId) -> bool {
    let motion = music.hand.motion(event);
    let on_fall = motion.stroke == lope_tune::Stroke::Fall;
    on_fall && (motion.fell == Fell::Not || music.note(note).how == How::Thumb)
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn says_which_note_of_the_group_is_not_struck() {
        let piece = Piece::jig("| 3:0 t h2  2:0 t t | 1:2- p0  3:0 t t2:1 |");
        assert_eq!(
            piece.says("off-strike"),
            [
                "h2 at part A, bar 1, count 3: note 3 of the group is a hammer-on, but the hand falls here",
                "t at part A, bar 1, count 6: note 3 of the group is a thumb note, but the hand falls here",
                "p0 at part A, bar 2, count 3: note 3 of the group is a pull-off, but the hand falls here",
                "t2:1 at part A, bar 2, count 6: note 3 of the group is a thumb note, but the hand falls here",
            ]
        );
        let reel = Piece::reel("| 3:0 t  t 3:0  {3:0 h2 s4}/2  [t 1:5] t |");
        assert_eq!(
            reel.says("off-strike"),
            [
                "t at part A, bar 1, count 2: note 1 of the group is a thumb note, but the hand falls here",
                "s4 at part A, bar 1, count after 3 &: note 3 of the group is a slide, but the hand falls here",
                "t at part A, bar 1, count 4: note 1 of the group has a thumb note in it, but the thumb \
                 sounds its string only as the hand rises",
            ]
        );
    }

    #[test]
    fn falls_on_air_and_slurs_beside_a_strike_are_fine() {
        let piece = Piece::jig("| 3:0- -  _ t 2:0 | - t 3:0  [3:0 h2:1] t 3:0 |");
        assert_eq!(piece.findings_of("off-strike"), []);
    }

    #[test]
    fn strikes_the_same_string_and_keeps_marks_and_holds() {
        let piece = Piece::jig("| 3:0 t h2!~/m  s4- p2:0 | 3:0 t t2:1- - - |");
        assert_eq!(
            piece.first_mends("off-strike"),
            [
                ("strike string 3 at fret 2".into(), "| 3:0 t 3:2!~/m  s4- p2:0 | 3:0 t t2:1- - - |".into()),
                ("strike string 3 at fret 4".into(), "| 3:0 t h2!~/m  3:4- p2:0 | 3:0 t t2:1- - - |".into()),
                ("strike string 2 open".into(), "| 3:0 t h2!~/m  s4- 2:0 | 3:0 t t2:1- - - |".into()),
                ("strike string 2 at fret 1".into(), "| 3:0 t h2!~/m  s4- p2:0 | 3:0 t 2:1- - - |".into()),
            ]
        );
    }

    #[test]
    fn the_drone_goes_to_a_long_string_within_reach() {
        let low = Piece::jig("| 3:0 h2 t!-  t 3:0 |");
        assert_eq!(
            low.first_mends("off-strike"),
            [("strike string 1 at fret 5: the same pitch".into(), "| 3:0 h2 1:5!-  t 3:0 |".into())]
        );
        let high = Piece::jig("| 2:9 p8 t  2:10 t 2:8 |");
        assert_eq!(high.first_mends("off-strike")[0].1, "| 2:9 p8 2:8  2:10 t 2:8 |");
        let far = Piece::jig("| 1:14 p12 t  1:14 t 1:12 |");
        let titles: Vec<_> =
            far.mends(&far.findings_of("off-strike")[0]).into_iter().map(|m| m.title).collect();
        assert_eq!(
            titles,
            ["strike string 3 at fret 12: the same pitch", "leave the note out and let the hand fall on air"]
        );
    }

    #[test]
    fn a_slur_that_counted_on_the_string_before_is_told_its_name() {
        let piece = Piece::jig("| 3:0 h2 t  h4 t 3:0 | 3:0 t 3:0  3:0 t 3:0 |");
        assert_eq!(piece.first_mends("off-strike")[0].1, "| 3:0 h2 1:5  h3:4 t 3:0 | 3:0 t 3:0  3:0 t 3:0 |");
        assert_eq!(piece.all_mended("off-strike").findings_of("off-strike"), []);
    }

    #[test]
    fn a_note_is_left_out_so_that_the_rest_stays_as_it_was() {
        let left_out = |music: &str| {
            let piece = Piece::jig(music);
            let mends = piece.mends(&piece.findings_of("off-strike")[0]);
            let mend = mends.last().unwrap();
            assert!(!mend.safe);
            piece.mended(mend).lines().last().unwrap().to_owned()
        };
        assert_eq!(left_out("| 3:0 h2 t!-  - t 3:0 |"), "| 3:0 h2 --  - t 3:0 |");
        assert_eq!(left_out("| _ - t-  - t 3:0 |"), "| _ - __  _ t 3:0 |");
        assert_eq!(left_out("| 3:0 t h2  1:0 h2 3:0 |"), "| 3:0 t -  1:0 h2 3:0 |");
        assert_eq!(left_out("| 1:0 t t2:1  - h3 1:0 |"), "| 1:0 t -  - h2:3 1:0 |");
    }

    #[test]
    fn all_mended_at_once_it_sounds_the_same_and_nothing_is_left() {
        let piece =
            Piece::jig("p2:0 t | h2 h3 t  t h5 p0 | t t2:1 h4  s3:4 t t2:0 |\npart B\n| 1:2 t h3  p1 t h2 |");
        assert_eq!(piece.findings_of("off-strike").len(), 12);
        assert_eq!(piece.all_mended("off-strike").findings_of("off-strike"), []);
    }
}
