use lope_hand::{Grip, Slur};
use lope_tune::{EventId, How, NoteId};

use crate::elsewhere::{is_easy, move_note, move_slur, origin};
use crate::{About, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "hard-reach",
    level: Some(Level::Warning),
    family: Family::LeftHand,
    page: Page {
        finds: "Frets held together that are further apart than a hand reaches with ease, or take five fingers.",
        why: "A brush holds all its frets at once, and a hammer-on or pull-off both of its own. Beyond about \
              110 mm between the lowest and the highest, or the reach the book sets, that is a hard \
              stretch; the limit is from memory, and hands differ. Frets lie closer together up the neck, \
              so the same step may be easy there. Do not force a stretch: warm up, rest, stop at pain, \
              numbness or tingling and see a clinician.",
        example: Example {
            bad: "\
tune: The Long Arm of the Crane
meter: 6/8

part A
| 3:0 t 2:0  [2:1 1:6]- - |
",
            good: "\
tune: The Long Arm of the Crane
meter: 6/8

part A
| 3:0 t 2:0  [3:5 1:6]- - |
",
        },
        mend: "Plays one of the notes, or both notes of the slur, at the same pitch on another string where \
               the hand holds them with ease.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    let widest = widest_easy(music);
    for slur in &music.hand.slurs {
        if let Some(grip) = grip_of_slur(music, slur)
            && let Some(complaint) = complaint(music, &grip, widest)
        {
            report.note(music, slur.note, complaint);
        }
    }
    for event in &music.hand.brushes {
        if let Some(grip) = Grip::of(music.tune.notes_of(music.event(*event)))
            && let Some(complaint) = complaint(music, &grip, widest)
        {
            report.event(music, *event, complaint);
        }
    }
}

/// How many frets from the lowest to the highest are an easy reach at the nut, where frets lie widest.
fn widest_easy(music: &Music) -> u8 {
    let easy = |frets: &u8| music.neck.reach_mm(0, *frets) <= music.neck.widest_mm;
    (1..=music.neck.frets).take_while(easy).last().unwrap_or(0)
}

/// What is held through a slur by the finger it starts from and the one it goes to. A slide takes its
/// finger along, and a note pulled or hammered on another string has nothing to start from.
fn grip_of_slur(music: &Music, slur: &Slur) -> Option<Grip> {
    let note = music.note(slur.note);
    if note.how == How::Slide || note.alternate {
        return None;
    }
    Grip::of_slur(slur.from?, note.fret)
}

/// What is hard about `grip`; frets no further apart than `widest` are easy anywhere on the neck.
fn complaint(music: &Music, grip: &Grip, widest: u8) -> Option<String> {
    let Grip { low, high, fingers } = *grip;
    if fingers > 4 {
        return Some(format!("this takes {fingers} fingers, and a hand has four for the frets"));
    }
    if high - low <= widest || high > music.last_fret() || is_easy(music, grip) {
        return None;
    }
    let reach = grip.reach_mm(&music.neck, music.tune.header.capo);
    Some(format!("frets {low} and {high} are {reach:.0} mm apart, a hard reach to hold together"))
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    match finding.about {
        About::Note(note) => {
            origin(music, note).and_then(|from| move_slur(music, from, note)).into_iter().collect()
        }
        About::Event(event) => mends_of_brush(music, event),
        About::Text | About::Bar(_) => Vec::new(),
    }
}

/// Each note of a brush moved to another string, where that makes the brush easy to hold.
fn mends_of_brush(music: &Music, event: EventId) -> Vec<Mend> {
    let mut notes: Vec<NoteId> = music.event(event).notes.clone().map(NoteId).collect();
    // Up the neck frets lie closer together, so the lowest is the first to move.
    notes.sort_by_key(|note| music.note(*note).fret);
    let fretted = notes.into_iter().filter(|note| music.note(*note).fret > 0);
    fretted
        .filter_map(|note| {
            let how = music.note(note).how;
            let strings = move |string: u8| string < 5 || how == How::Thumb;
            (!how.is_slur()).then(|| move_note(music, note, how, strings))?
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::Settings;
    use crate::testing::Piece;

    #[test]
    fn what_is_held_together_has_to_be_in_reach() {
        let piece =
            Piece::jig("| 1:2 h7 p1  1:12 h17 1:0 | [4:1 3:0 1:5]- -  1:0 s9 1:2 | 1:0 h9 p0  1:2 1:9 2:1 |");
        assert_eq!(
            piece.says("hard-reach"),
            [
                "h7 at part A, bar 1, count 2: frets 2 and 7 are 149 mm apart, a hard reach to hold together",
                "p1 at part A, bar 1, count 3: frets 1 and 7 are 184 mm apart, a hard reach to hold together",
                "[4:1 3:0 1:5] at part A, bar 2, count 1: frets 1 and 5 are 130 mm apart, a hard reach to hold together",
            ]
        );
    }

    #[test]
    fn a_capo_and_a_short_neck_bring_frets_together() {
        let music = "part A\n| 1:1 h5 1:0  1:0 t 1:0 |\n";
        let capo = Piece::new(&format!("tune: Capo\nmeter: 6/8\ncapo: 5\n\n{music}"));
        assert_eq!(capo.findings_of("hard-reach"), []);
        let mut settings = Settings::default();
        settings.neck.scale_mm = 560.0;
        let short = Piece::with(&format!("tune: Short\nmeter: 6/8\n\n{music}"), settings);
        assert_eq!(short.findings_of("hard-reach"), []);
    }

    #[test]
    fn five_fingers_are_too_many() {
        let piece = Piece::jig("| [5:10 4:9 3:8 2:7 1:6]- -  [4:7 3:7 2:7 1:7]- - |");
        assert_eq!(
            piece.says("hard-reach"),
            [
                "[5:10 4:9 3:8 2:7 1:6] at part A, bar 1, count 1: this takes 5 fingers, and a hand has four for the frets"
            ]
        );
    }

    #[test]
    fn both_notes_of_a_slur_move_together() {
        let piece = Piece::jig("| 1:2!- h7~  p0 h1:2 1:0 | 1:2 h7 1:0  h5 t 1:0 |");
        let mended = piece.first_mends("hard-reach");
        assert_eq!(mended.len(), 1, "a slur that goes on from it keeps the first where it is");
        assert_eq!(mended[0].0, "play both on string 3, at frets 9 and 14: the same pitches");
        assert_eq!(mended[0].1, "| 1:2!- h7~  p0 h1:2 1:0 | 3:9 h14 1:0  h5 t 1:0 |");
        let in_a_brush = Piece::jig("| 1:2 [h7 2:0 s9] 1:0  1:0 t 1:0 |");
        assert_eq!(in_a_brush.first_mends("hard-reach"), [], "the slide starts from the same note");
    }
}
