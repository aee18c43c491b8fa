//! The selected bars set again: the same melody, played another way.

use std::cmp::Ordering;
use std::collections::HashMap;
use std::ops::Range;

use lope_arrange::again::{Again, NoOther, Otherwise, again};
use lope_arrange::{Tally, Wishes};
use lope_rules::{Edit, is_unnamed, respell};
use lope_tune::{BarContent, BarId, Duration, Moment, NoteId, Pitch, Place, Tune, play};

use super::scene::Scene;
use super::{Offer, Refactoring};

pub static REFACTORING: Refactoring = Refactoring { kind: "refactor.rewrite.again", offers };

/// The most bars that are set again at once: a long part.
const MOST: usize = 32;

fn offers(scene: &Scene<'_>) -> Vec<Offer> {
    let bars = scene.selected_bars();
    let tune = scene.music.tune;
    let is_tab = |bar: u32| tune.bars[bar as usize].content == BarContent::Slots;
    if scene.selection.is_empty() || bars.is_empty() || bars.len() > MOST || !bars.clone().all(is_tab) {
        return Vec::new();
    }
    let refused =
        |title: &str, reason: &str| vec![Offer { title: title.to_owned(), edits: Err(reason.to_owned()) }];
    if scene.section_of(BarId(bars.start)) != scene.section_of(BarId(bars.end - 1)) {
        return refused("arrange these bars again", "they are in more than one part");
    }
    let title = format!("arrange {} again", scene.name_of(&bars));
    let Again { written, found } =
        match again(tune, bars.clone(), &Wishes { neck: scene.music.neck, ..Wishes::default() }) {
            Ok(again) => again,
            Err(NoOther::Empty) => return Vec::new(),
            Err(NoOther::TooFine) => return refused(&title, "a note there is too quick for the gait"),
            Err(NoOther::NoWay) => {
                return refused(&title, "no hand that keeps the gait plays these bars otherwise");
            }
        };
    let offers = found.iter().filter_map(|other| {
        let edits = edits(scene, &bars, other)?;
        let title = format!("{title}{}", described(scene, written.as_ref(), other));
        Some(Offer { title, edits: Ok(edits) })
    });
    let offers: Vec<Offer> = offers.collect();
    if offers.is_empty() {
        refused(&title, "what is around these bars would have to change too")
    } else {
        offers
    }
}

/// How `other` compares with what is written: `, easier: 1 slur fewer (h2 for t2:1)`.
fn described(scene: &Scene<'_>, written: Option<&(u32, Tally)>, other: &Otherwise) -> String {
    let how = match written.map(|(effort, _)| other.effort.cmp(effort)) {
        None => ", in the gait",
        Some(Ordering::Less) => ", easier",
        Some(Ordering::Equal) => ", as easily",
        Some(Ordering::Greater) => ", less easily",
    };
    let counted = written.map_or_else(Vec::new, |(_, was)| differences(was, &other.tally));
    let counted = if counted.is_empty() { String::new() } else { format!(": {}", counted.join(", ")) };
    let mut changes = other.changes.iter().map(|(id, place)| {
        let stays = place.how.is_slur() && scene.music.note(*id).string == place.string;
        let edit = respell(&scene.music, *id, place.how, (!stays).then_some(place.string), place.fret);
        let was = edit.span.of(scene.text());
        format!("{} for {was}", edit.text.trim())
    });
    let first = changes.next().unwrap_or_default();
    let more = match changes.len() {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    format!("{how}{counted} ({first}{more})")
}

/// What `now` has more or fewer of than `was`.
fn differences(was: &Tally, now: &Tally) -> Vec<String> {
    let counts = [
        ("strike", "strikes", was.strikes, now.strikes),
        ("note on the drone", "notes on the drone", was.drones, now.drones),
        ("dropped thumb", "dropped thumbs", was.drops, now.drops),
        ("slur", "slurs", was.slurs, now.slurs),
        ("move of the left hand", "moves of the left hand", was.shifts, now.shifts),
    ];
    let different = counts.into_iter().filter(|(_, _, was, now)| was != now);
    let told = different.map(|(one, many, was, now)| {
        let count = was.abs_diff(now);
        let name = if count == 1 { one } else { many };
        format!("{count} {name} {}", if now < was { "fewer" } else { "more" })
    });
    told.collect()
}

/// The edits that play `bars` as `other` does, where everything is heard as it was, nothing else is played
/// otherwise, and nothing is found that was not.
fn edits(scene: &Scene<'_>, bars: &Range<u32>, other: &Otherwise) -> Option<Vec<Edit>> {
    let edits = respelled(scene, bars, &other.changes.iter().copied().collect());
    let after = scene.after(&edits);
    let changed = |id: usize| other.changes.iter().any(|(changed, _)| changed.index() == id);
    let (before, now) = (scene.music.tune, after.tune());
    let same_around = before.notes.len() == now.notes.len()
        && before.notes.iter().zip(&now.notes).enumerate().all(|(id, (was, is))| was == is || changed(id));
    let same_sounds = sounds(before) == sounds(now);
    (same_around && same_sounds && scene.is_no_worse(&after)).then(|| scene.as_tidy(edits, after))
}

/// The edits that write `changes`. A slur names its string where that is not the one last fingered.
fn respelled(scene: &Scene<'_>, bars: &Range<u32>, changes: &HashMap<NoteId, Place>) -> Vec<Edit> {
    let (music, tune) = (&scene.music, scene.music.tune);
    let section = &tune.sections[scene.section_of(BarId(bars.start)).index()];
    let mut fingered = 0;
    let mut edits = Vec::new();
    for bar in section.bars.start..(bars.end + 1).min(section.bars.end) {
        let notes = tune.events_of(&tune.bars[bar as usize]).iter().flat_map(|event| event.notes.clone());
        for id in notes.map(NoteId) {
            let note = music.note(id);
            let change = changes.get(&id);
            let Place { string, fret, how } =
                change.copied().unwrap_or(Place { string: note.string, fret: note.fret, how: note.how });
            let goes_on = how.is_slur() && string == fingered;
            if change.is_some() || (is_unnamed(music, id) && !goes_on && fingered != 0) {
                edits.push(respell(music, id, how, (!goes_on).then_some(string), fret));
            }
            if (1..=4).contains(&string) {
                fingered = string;
            }
        }
    }
    edits
}

/// What is heard, whatever sounds it: when, for how long, and at which pitch.
fn sounds(tune: &Tune) -> (Vec<(Moment, Duration, Option<Pitch>)>, Duration) {
    let played = play(tune);
    let notes = played.notes.iter().map(|note| (note.onset, note.length, note.pitch));
    let mut notes: Vec<_> = notes.collect();
    notes.sort();
    (notes, played.length)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, check_none, check_refused, offers};

    const KIND: &str = "refactor.rewrite.again";
    const HEAD: &str = "tune: T\nmeter: 6/8\n\npart A\n";

    fn tune(music: &str) -> String {
        format!("{HEAD}{music}\n")
    }

    /// The titles of what is offered for `music`.
    fn titles(music: &str) -> Vec<String> {
        offers(KIND, &tune(music)).1.into_iter().map(|offer| offer.title).collect()
    }

    #[test]
    fn bars_are_set_again_the_easiest_first() {
        let before = "| 3:0- 2:0  $01:0 t2:0 3:0 |$0 1:2 p0 2:0  3:0- 1:0 |  # mine";
        assert_eq!(
            titles(before),
            [
                "arrange bar 1 again, easier: 1 dropped thumb fewer, 1 slur more (2:3 for 1:0 and 1 more)",
                "arrange bar 1 again, easier: 1 dropped thumb fewer, 1 slur more (3:4 for 2:0 and 2 more)",
                "arrange bar 1 again, less easily (t3:4 for t2:0)",
            ]
        );
        let after = "| 3:0- 2:0  2:3 p0 3:0 | 1:2 p0 2:0  3:0- 1:0 |  # mine";
        check(KIND, &tune(before), "arrange bar 1 again, easier", &tune(after));
    }

    #[test]
    fn what_goes_against_the_gait_comes_into_it() {
        check(
            KIND,
            &tune("| $04:2 t 4:2  3:0 t h2 | 2:0 t$0 1:0  2:0- 3:2 |"),
            "arrange bars 1 to 2 again, in the gait (3:2 for h2)",
            &tune("| 4:2 t 4:2  3:0 t 3:2 | 2:0 t 1:0  2:0- 3:2 |"),
        );
    }

    #[test]
    fn a_slur_after_the_bars_still_has_its_string() {
        // The pull-off goes on from string 1, so the last note stays there, and only the others move.
        for title in titles("| 2:0- 2:0  $01:0 t 1:2 |$0 p0 t 2:0  3:0- 1:0 |") {
            assert!(!title.contains("for 1:2"), "{title}");
        }
    }

    #[test]
    fn brushes_and_fingers_stay() {
        let titles = titles("| $0[2:0 1:0]- 2:0^m  2:0 t 2:0 |$0");
        assert!(!titles.is_empty() && titles.iter().all(|title| !title.contains("for [")), "{titles:?}");
        check_refused(KIND, &tune("| $0[3:0 2:0 1:0]- -  [3:0 2:0]- - |$0"), "arrange bar 1", "otherwise");
    }

    #[test]
    fn what_cannot_be_set_is_said() {
        check_refused(KIND, &tune("| $04:0- -  4:0- - |$0"), "arrange bar 1", "plays these bars otherwise");
        check_refused(
            KIND,
            &tune("| $03:0- -  3:0- - |\n\npart B\n| 3:0- -  3:0- - |$0"),
            "arrange these bars again",
            "more than one part",
        );
        check_none(KIND, &tune("| $0- - -  t - - |$0"));
        check_none(KIND, &tune("| 3:0 $0t 3:0  3:0- - |"));
    }
}
