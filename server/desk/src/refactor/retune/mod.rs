//! Another tuning, or the capo elsewhere, with every fret found anew so that the tune sounds as it did.
//!
//! Every note is sounded as it was: what was struck is struck, what the thumb played the thumb plays, and a
//! slur stays on the string of the note it starts from. So the right hand keeps its gait; [`plan`] finds the
//! strings and frets that ask least of the left.

mod left_hand;
mod plan;

use lope_rules::{Edit, respell_at};
use lope_tune::{NAMED, NoteId, Tuning};

use self::plan::plan;
use super::scene::Scene;
use super::{Offer, Refactoring};

pub static TUNING: Refactoring = Refactoring { kind: "refactor.rewrite.tuning", offers: tunings };
pub static CAPO: Refactoring = Refactoring { kind: "refactor.rewrite.capo", offers: capos };

/// The capos that are offered: further up few players put one (common practice).
const CAPOS: std::ops::RangeInclusive<u8> = 0..=5;

fn tunings(scene: &Scene<'_>) -> Vec<Offer> {
    let header = &scene.music.tune.header;
    if !is_asked(scene, "tuning") {
        return Vec::new();
    }
    let said = scene.field("tuning").and_then(|(_, said)| said).map(|said| said.of(scene.text()));
    let by_name = said.is_some_and(|said| NAMED.iter().any(|(name, _)| *name == said));
    let others = NAMED.iter().filter_map(|(name, notes)| Some((name, notes, Tuning::parse(notes)?)));
    let offers = others.filter(|(.., tuning)| *tuning != header.tuning).map(|(name, notes, tuning)| Offer {
        title: format!("tune to {name}, {notes}, and keep every pitch"),
        edits: retune(scene, tuning, header.capo, "tuning", if by_name { name } else { notes }),
    });
    offers.collect()
}

fn capos(scene: &Scene<'_>) -> Vec<Offer> {
    let header = &scene.music.tune.header;
    if !is_asked(scene, "capo") {
        return Vec::new();
    }
    let others = CAPOS.filter(|capo| *capo != header.capo);
    let offers = others.map(|capo| Offer {
        title: match capo {
            0 => "take the capo off and keep every pitch".to_owned(),
            capo => format!("put the capo at fret {capo} and keep every pitch"),
        },
        edits: retune(scene, header.tuning, capo, "capo", &capo.to_string()),
    });
    offers.collect()
}

/// Whether the selection is at the field called `name`, or at the meter where there is no such field.
fn is_asked(scene: &Scene<'_>, name: &str) -> bool {
    scene.is_at_field(if scene.field(name).is_some() { name } else { "meter" })
}

/// Writes `value` in the field called `name` and every note where it sounds the same with `tuning` and `capo`.
fn retune(scene: &Scene<'_>, tuning: Tuning, capo: u8, name: &str, value: &str) -> Result<Vec<Edit>, String> {
    let music = &scene.music;
    let places = plan(music, tuning, capo)?;
    let mut edits: Vec<Edit> = scene.set_field(name, value, "meter").into_iter().collect();
    for ((id, note), (string, fret)) in (0..).map(NoteId).zip(&music.tune.notes).zip(places) {
        if (note.string, note.fret) != (string, fret) {
            edits.push(respell_at(music, id, string, fret));
        }
    }
    edits.sort_by_key(|edit| edit.span);
    let after = scene.after(&edits);
    let worse = after.findings().len() > scene.reading.findings().len();
    if worse && let Some(new) = after.findings().iter().find(|finding| is_new(scene, finding)) {
        return Err(format!("{}: {}", new.place, new.message));
    }
    scene.same_music(edits, "a pitch could not be kept")
}

/// Whether nothing of the kind of `finding` was found in its place before.
fn is_new(scene: &Scene<'_>, finding: &lope_rules::Finding) -> bool {
    let alike = |before: &lope_rules::Finding| before.rule == finding.rule && before.place == finding.place;
    !scene.reading.findings().iter().any(alike)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, check_none, check_refused};

    const TUNING: &str = "refactor.rewrite.tuning";
    const CAPO: &str = "refactor.rewrite.capo";

    #[test]
    fn every_pitch_is_found_in_another_tuning() {
        check(
            TUNING,
            "tune: T\nmeter: 6/8\ntuning: $0gDGBD\n\npart A\n| 3:0 t 2:1  1:0 t 2:3 | 2:1 h3 2:1  4:2- 4:0 |\n",
            "tune to sawmill",
            "tune: T\nmeter: 6/8\ntuning: gDGCD\n\npart A\n| 3:0 t 2:0  1:0 t 2:2 | 2:0 h2 2:0  4:2- 4:0 |\n",
        );
        check(
            TUNING,
            "tune: T\nmeter: 6/8\ntuning: open$0 G\n\npart A\n| [3:0 2:1 1:2/m]- t  4:2 t 4:0 |\n",
            "tune to double C",
            "tune: T\nmeter: 6/8\ntuning: double C\n\npart A\n| [3:0 2:0 1:2/m]- t  4:4 t 4:2 |\n",
        );
    }

    #[test]
    fn a_slur_stays_on_the_string_it_starts_from() {
        check(
            TUNING,
            "tune: T\nmeter: 6/8\ntuning: $0gDGBD\n\npart A\n| 2:0 h1 2:3  2:0 t h2 |\n",
            "tune to sawmill",
            "tune: T\nmeter: 6/8\ntuning: gDGCD\n\npart A\n| 3:4 h5 2:2  3:4 t h6 |\n",
        );
    }

    #[test]
    fn a_capo_goes_and_comes_without_a_pitch_changing() {
        check(
            CAPO,
            "tune: T\n$0meter: 6/8\ntuning: gDGBD\n\npart A\n| 3:2- 2:3  1:2- 2:2 |\n",
            "put the capo at fret 2",
            "tune: T\nmeter: 6/8\ncapo: 2\ntuning: gDGBD\n\npart A\n| 3:0- 2:1  1:0- 2:0 |\n",
        );
        check(
            CAPO,
            "tune: T\nmeter: 6/8\ncapo: 2$0\ntuning: gDGBD\n\npart A\n| 3:0- 2:1  1:0- 2:0 |\n",
            "take the capo off",
            "tune: T\nmeter: 6/8\ncapo: 0\ntuning: gDGBD\n\npart A\n| 3:2- 2:3  1:2- 2:2 |\n",
        );
    }

    #[test]
    fn a_note_that_nothing_can_sound_is_named() {
        let tune = "tune: T\n$0meter: 6/8\ntuning: gDGBD\npart A\n| 3:0 - 2:1 4:0 - 3:0 |\n";
        check_refused(
            CAPO,
            tune,
            "put the capo at fret 1",
            "part A, bar 1, count 4: no string within reach has D3",
        );
        check_none(TUNING, tune);
    }
}
