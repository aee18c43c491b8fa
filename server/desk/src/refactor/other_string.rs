//! A note moved to another string, at the same pitch.

use lope_rules::moves;
use lope_tune::NoteId;

use super::scene::Scene;
use super::{Offer, Refactoring};

pub static REFACTORING: Refactoring = Refactoring { kind: "refactor.rewrite.string", offers };

fn offers(scene: &Scene<'_>) -> Vec<Offer> {
    let spans = &scene.music.source.notes;
    let at = spans.partition_point(|span| span.end < scene.selection.start);
    let Some(span) = spans.get(at).filter(|span| scene.touches(**span) && scene.selection.end <= span.end)
    else {
        return Vec::new();
    };
    let moves = moves(&scene.music, NoteId(at as u32));
    if moves.is_empty() {
        let note = span.of(scene.text());
        return vec![Offer {
            title: format!("play {note} on another string"),
            edits: Err(
                "no other string has this pitch within reach, or a slur depends on where it is".to_owned()
            ),
        }];
    }
    moves.into_iter().map(|mend| Offer { title: mend.title, edits: Ok(mend.edits) }).collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, check_none, check_refused};

    const KIND: &str = "refactor.rewrite.string";
    const HEAD: &str = "tune: T\nmeter: 6/8\n\npart A\n";

    #[test]
    fn a_note_goes_where_its_pitch_is_to_be_had() {
        let tune = |music: &str| format!("{HEAD}{music}\n");
        let start = tune("| 3:2 t 2:$00  1:2 t 1:0 |");
        check(KIND, &start, "strike string 3 at fret 4", &tune("| 3:2 t 3:4  1:2 t 1:0 |"));
        let thumb = tune("| 1:0 t$02:0 1:0  1:2 t 1:0 |");
        check(KIND, &thumb, "drop the thumb to string 3 at fret 4", &tune("| 1:0 t3:4 1:0  1:2 t 1:0 |"));
        let slur = tune("| 1:2 $0h5 2:1  1:2 t 1:0 |");
        check(KIND, &slur, "play both on string 2", &tune("| 2:5 h8 2:1  1:2 t 1:0 |"));
        let origin = tune("| $01:2 h5 2:1  1:2 t 1:0 |");
        check(KIND, &origin, "play both on string 2", &tune("| 2:5 h8 2:1  1:2 t 1:0 |"));
    }

    #[test]
    fn a_pitch_that_only_one_string_has_stays() {
        check_refused(KIND, &format!("{HEAD}| 4$0:0 t 2:0  1:2 t 1:0 |\n"), "play 4:0", "no other string");
        check_none(KIND, &format!("{HEAD}| 4:0 $0- 2:0  1:2 t 1:0 |\n"));
    }
}
