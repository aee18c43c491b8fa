use lope_hand::Slur;
use lope_tune::{How, Note};

use crate::spell::{is_unnamed, respell, strike};
use crate::{About, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "wrong-way",
    level: Some(Level::Error),
    family: Family::LeftHand,
    page: Page {
        finds: "A hammer-on that does not go up, a pull-off that does not go down, or a slide that stays.",
        why: "A hammer-on sounds because a finger comes down on a higher fret than the string has, and a \
              pull-off because it leaves for a lower one. The other way round there is nothing to hear. \
              Common practice.",
        example: Example {
            bad: "\
tune: Up Is Down
meter: 6/8

part A
| 1:2 h0 2:0  3:0 t 2:0 |
",
            good: "\
tune: Up Is Down
meter: 6/8

part A
| 1:2 p0 2:0  3:0 t 2:0 |
",
        },
        mend: "Writes the slur that fits: a hammer-on up, a pull-off down. Where the string has that fret \
               already, strikes it.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    for slur in &music.hand.slurs {
        let note = music.note(slur.note);
        if goes_wrong(note, slur.from) {
            report.note(music, slur.note, message(note, slur.from));
        }
    }
}

/// Whether the slur `note`, on a string that sounds at fret `from`, goes the wrong way. A hammer-on or
/// pull-off on another string than the one fingered before sounds it from nothing: common practice.
const fn goes_wrong(note: &Note, from: Option<u8>) -> bool {
    if note.alternate && matches!(note.how, How::Hammer | How::Pull) {
        return matches!(note.how, How::Hammer) && note.fret == 0;
    }
    match (note.how, from) {
        (How::Hammer, Some(from)) => note.fret <= from,
        (How::Pull, Some(from)) => note.fret >= from,
        (How::Slide, Some(from)) => note.fret == from,
        _ => false,
    }
}

fn message(note: &Note, from: Option<u8>) -> String {
    let rule = match note.how {
        How::Hammer if note.alternate => return "a hammer-on needs a fret to come down on".to_owned(),
        How::Hammer => "a hammer-on goes to a higher fret",
        How::Pull => "a pull-off goes to a lower fret",
        _ => "a slide goes to another fret",
    };
    match from.unwrap_or_default() {
        0 => format!("{rule}, and string {} is sounding open", note.string),
        from => format!("{rule}, and string {} is sounding at fret {from}", note.string),
    }
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let About::Note(id) = finding.about else { return Vec::new() };
    let Some(Slur { from, .. }) = music.hand.slur(id) else {
        return Vec::new();
    };
    let Note { string, fret, .. } = *music.note(id);
    let named = (!is_unnamed(music, id)).then_some(string);
    let slur = |how, title: String| Mend::safe(title, vec![respell(music, id, how, named, fret)]);
    let to = if fret == 0 { "the open string".to_owned() } else { format!("fret {fret}") };
    match from {
        _ if fret == u8::MAX => Vec::new(),
        Some(from) if fret > *from => vec![slur(How::Hammer, format!("hammer on to {to}"))],
        Some(from) if fret == *from => strike(music, id).into_iter().collect(),
        _ => vec![slur(How::Pull, format!("pull off to {to}"))],
    }
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn slurs_go_the_way_of_their_name() {
        let piece = Piece::jig("| 1:2 h2 p4  s4 t h0 | 2:0 p1 1:0  h1:3 p1:3 s1:3 |");
        assert_eq!(
            piece.says("wrong-way"),
            [
                "h2 at part A, bar 1, count 2: a hammer-on goes to a higher fret, and string 1 is sounding at fret 2",
                "p4 at part A, bar 1, count 3: a pull-off goes to a lower fret, and string 1 is sounding at fret 2",
                "s4 at part A, bar 1, count 4: a slide goes to another fret, and string 1 is sounding at fret 4",
                "h0 at part A, bar 1, count 6: a hammer-on goes to a higher fret, and string 1 is sounding at fret 4",
                "p1 at part A, bar 2, count 2: a pull-off goes to a lower fret, and string 2 is sounding open",
                "p1:3 at part A, bar 2, count 5: a pull-off goes to a lower fret, and string 1 is sounding at fret 3",
                "s1:3 at part A, bar 2, count 6: a slide goes to another fret, and string 1 is sounding at fret 3",
            ]
        );
        let mended: Vec<_> = piece.first_mends("wrong-way").into_iter().map(|(title, _)| title).collect();
        assert_eq!(
            mended,
            [
                "strike string 1 at fret 2",
                "hammer on to fret 4",
                "strike string 1 at fret 4",
                "pull off to the open string",
                "hammer on to fret 1",
                "strike string 1 at fret 3",
                "strike string 1 at fret 3",
            ]
        );
        assert_eq!(piece.all_mended("wrong-way").findings_of("wrong-way"), []);
    }

    #[test]
    fn another_string_is_pulled_or_hammered_from_nothing() {
        let piece = Piece::jig("| 1:2 p2:3 h3:2  1:0 h2:0 1:0 |");
        assert_eq!(
            piece.says("wrong-way"),
            ["h2:0 at part A, bar 1, count 5: a hammer-on needs a fret to come down on"]
        );
        assert_eq!(piece.first_mends("wrong-way")[0].1, "| 1:2 p2:3 h3:2  1:0 p2:0 1:0 |");
    }
}
