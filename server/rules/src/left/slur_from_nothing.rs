use lope_tune::{How, Note};

use crate::spell::{name, strike};
use crate::{About, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "slur-from-nothing",
    level: Some(Level::Error),
    family: Family::LeftHand,
    page: Page {
        finds: "A hammer-on, pull-off or slide on a string that does not sound.",
        why: "A slur bends what is sounding to another fret; from silence it makes no note. A hammer-on or \
              pull-off that names another string than the one fingered before is well: it sounds that string \
              by the left hand alone. Common practice.",
        example: Example {
            bad: "\
tune: Out of Nothing
meter: 6/8

part A
| 3:0- 3:0  _ - h2 |
",
            good: "\
tune: Out of Nothing
meter: 6/8

part A
| 3:0- 3:0  _ - 3:2 |
",
        },
        mend: "Strikes the string at that fret.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    for slur in music.hand.slurs.iter().filter(|slur| slur.from.is_none()) {
        let note = music.note(slur.note);
        if note.alternate && note.how != How::Slide {
            continue;
        }
        let Note { how, string, .. } = *note;
        let message = match string {
            0 => format!("{} that names no string, and none is fingered before it", name(how)),
            _ => format!("{} cannot start from silence, and string {string} does not sound", name(how)),
        };
        report.note(music, slur.note, message);
    }
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let About::Note(note) = finding.about else { return Vec::new() };
    strike(music, note).into_iter().collect()
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn a_slur_needs_a_sounding_string() {
        let piece = Piece::jig("h2 | 1:2 _ p0  1:0 s2:4 h2:5 | 1:0 _ h3:4  _ p4:0 3:0 |");
        assert_eq!(
            piece.says("slur-from-nothing"),
            [
                "h2 at part A, pickup, count 6: a hammer-on that names no string, and none is fingered before it",
                "p0 at part A, bar 1, count 3: a pull-off cannot start from silence, and string 1 does not sound",
                "s2:4 at part A, bar 1, count 5: a slide cannot start from silence, and string 2 does not sound",
            ]
        );
        let mended = piece.first_mends("slur-from-nothing");
        assert_eq!(mended[0].1, "h2 | 1:2 _ 1:0  1:0 s2:4 h2:5 | 1:0 _ h3:4  _ p4:0 3:0 |");
        assert_eq!(mended[1].0, "strike string 2 at fret 4");
        assert_eq!(piece.all_mended("slur-from-nothing").findings_of("slur-from-nothing").len(), 1);
    }
}
