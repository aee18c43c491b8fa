//! The selected bars made a phrase that is called where they stood.

use std::ops::RangeInclusive;

use lope_rules::{Edit, Music, apply, is_unnamed, respell};
use lope_syntax::{Span, TokenKind};
use lope_tune::{BarContent, BarId, NoteId, SectionKind};

use super::scene::Scene;
use super::{Offer, Refactoring};

pub static REFACTORING: Refactoring = Refactoring { kind: "refactor.extract.phrase", offers };

fn offers(scene: &Scene<'_>) -> Vec<Offer> {
    let bars = scene.selected_bars();
    if scene.selection.is_empty() || bars.is_empty() {
        return Vec::new();
    }
    let title = format!("make {} a phrase", scene.name_of(&bars));
    let (first, last) = (bars.start, bars.end - 1);
    let excerpt = match Excerpt::of(scene, first, last) {
        Ok(excerpt) => excerpt,
        Err(reason) => return vec![Offer { title, edits: Err(reason) }],
    };
    let others = others(scene, first..=last, &excerpt);
    let everywhere = (!others.is_empty()).then(|| {
        let places = if others.len() == 1 { "place" } else { "places" };
        let title = format!("{title}, and call it in {} other {places} too", others.len());
        Offer { title, edits: extract(scene, &excerpt, &others) }
    });
    let here = Offer { title, edits: extract(scene, &excerpt, &[]) };
    std::iter::once(here).chain(everywhere).collect()
}

/// Some bars in a row, as a phrase would have them.
struct Excerpt {
    /// Where they are written, without the bar lines around them.
    span: Span,
    /// What they say where nothing sounded before.
    body: String,
}

impl Excerpt {
    /// The bars from `first` to `last`; else why they cannot be a phrase.
    fn of(scene: &Scene<'_>, first: u32, last: u32) -> Result<Self, String> {
        let music = &scene.music;
        let places = &music.source.bars;
        let (from, to) = (&places[first as usize], &places[last as usize]);
        if from.section != to.section {
            return Err("the selected bars are in more than one part".to_owned());
        }
        let section = &music.tune.sections[from.section.index()];
        if section.has_pickup() && section.bars.start == first {
            return Err("a phrase has no pickup, and the selection begins with one".to_owned());
        }
        let span = from.span.cover(to.span);
        if music.tree.faults().iter().any(|fault| fault.span.overlaps(span)) {
            return Err("there is something in the selection that is no notation".to_owned());
        }
        // The phrase is written at the end, and is in the time that holds there.
        let same_time =
            |bar: u32| Some(music.tune.frame(&music.tune.bars[bar as usize])) == music.tune.frames.last();
        if scene.has(span, TokenKind::FieldName) || !(first..=last).all(same_time) {
            return Err("the time changes in the selection or below it, and a phrase is written at the end"
                .to_owned());
        }
        let names = name_slurs(music, first, last).ok_or("a slur in the selection has no string")?;
        let names = names.into_iter().map(|edit| {
            let Span { start, end } = edit.span;
            Edit { span: Span::new(start - span.start, end - span.start), ..edit }
        });
        let body = apply(span.of(scene.text()), &names.collect::<Vec<_>>());
        Ok(Self { span, body })
    }
}

/// Where else in the parts the same bars stand as those that are `chosen`, from first to last, none of them twice.
/// What has a comment in it is left as it is.
fn others(scene: &Scene<'_>, chosen: RangeInclusive<u32>, excerpt: &Excerpt) -> Vec<Span> {
    let (music, length) = (&scene.music, chosen.end() - chosen.start());
    let (mut found, mut next) = (Vec::new(), 0);
    let is_part = |bar: u32| {
        let section = music.source.bars[bar as usize].section;
        music.tune.sections[section.index()].kind != SectionKind::Phrase
    };
    let is_excerpt = |other: &Excerpt| {
        let is_bare = !scene.has(other.span, TokenKind::Comment);
        is_bare && other.body.split_whitespace().eq(excerpt.body.split_whitespace())
    };
    while next as usize + (length as usize) < music.source.bars.len() {
        let last = next + length;
        let is_apart = last < *chosen.start() || next > *chosen.end();
        let other = (is_apart && is_part(next)).then(|| Excerpt::of(scene, next, last));
        match other {
            Some(Ok(other)) if is_excerpt(&other) => {
                found.push(other.span);
                next = last + 1;
            }
            _ => next += 1,
        }
    }
    found
}

/// Makes a phrase of the excerpt, and calls it there and in the `other` places.
fn extract(scene: &Scene<'_>, excerpt: &Excerpt, others: &[Span]) -> Result<Vec<Edit>, String> {
    let music = &scene.music;
    let (name, line) = (new_name(music), scene.reading.line_break());
    let end =
        music.tree.tokens().iter().rfind(|token| !is_blank(token.kind)).map_or(0, |token| token.span.end);
    let places = std::iter::once(&excerpt.span).chain(others);
    let calls = places.map(|span| Edit::replace(*span, format!("@{name}")));
    let phrase = Edit::insert(end, format!("{line}{line}phrase {name}{line}| {} |", excerpt.body));
    let edits = calls.chain([phrase]).collect();
    scene.same_music(edits, "what is selected would sound otherwise as a phrase")
}

const fn is_blank(kind: TokenKind) -> bool {
    matches!(kind, TokenKind::Blank | TokenKind::LineBreak)
}

/// The edits that give slurs the string that they take from what is before the bars from `first` to `last`: a
/// phrase starts anew. None where such a slur has no string.
fn name_slurs(music: &Music<'_>, first: u32, last: u32) -> Option<Vec<Edit>> {
    for bar in first..=last {
        let bar = &music.tune.bars[BarId(bar).index()];
        for event in music.tune.events_of(bar) {
            let fingered =
                |note: &NoteId| matches!(music.note(*note).string, 1..=4) || is_unnamed(music, *note);
            let notes: Vec<NoteId> = event.notes.clone().map(NoteId).filter(fingered).collect();
            if !notes.is_empty() {
                let unnamed = notes.into_iter().filter(|note| is_unnamed(music, *note));
                let named = unnamed.map(|id| {
                    let note = music.note(id);
                    let exists = note.string != 0 && note.fret < u8::MAX;
                    exists.then(|| respell(music, id, note.how, Some(note.string), note.fret))
                });
                return named.collect();
            }
        }
        if matches!(bar.content, BarContent::Phrase { .. }) {
            return Some(Vec::new());
        }
    }
    Some(Vec::new())
}

/// A name that no phrase has and no call uses.
fn new_name(music: &Music<'_>) -> String {
    let is_called = |name: &str| {
        music
            .tune
            .bars
            .iter()
            .any(|bar| matches!(&bar.content, BarContent::Phrase { name: called, .. } if called == name))
    };
    let has = |name: &str| {
        music.tune.sections.iter().any(|section| section.kind == SectionKind::Phrase && section.name == name)
    };
    let mut names =
        (1_u32..).map(|number| if number == 1 { "lick".to_owned() } else { format!("lick{number}") });
    names.find(|name| !is_called(name) && !has(name)).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, check_none, check_refused, offers};

    const KIND: &str = "refactor.extract.phrase";

    #[test]
    fn selected_bars_become_a_phrase() {
        check(
            KIND,
            "tune: T\nmeter: 6/8\n\npart A\n| 3:0 t 2:0  1:0 t 2:0 | 2$0:0- -  1:0- - |\n| 1:2 p0 2:1  1:0- - | 3:0- -  3:0- - |$0\n\npart B\n| 3:0- -  3:0- - |\n",
            "make bars 2 to 4 a phrase",
            "tune: T\nmeter: 6/8\n\npart A\n| 3:0 t 2:0  1:0 t 2:0 | @lick |\n\npart B\n| 3:0- -  3:0- - |\n\nphrase lick\n| 2:0- -  1:0- - |\n| 1:2 p0 2:1  1:0- - | 3:0- -  3:0- - |\n",
        );
    }

    #[test]
    fn the_same_bars_elsewhere_can_call_the_phrase_too() {
        let lick = "1:2 p0 2:1  1:0- -";
        check(
            KIND,
            &format!(
                "tune: T\nmeter: 6/8\n\npart A\n| {lick} | $0{lick} |$0\n\npart B\n| 1:2 p0 2:1 1:0- - | {lick} # mine\n| 3:0- -  3:0- - |\n"
            ),
            "make bar 2 a phrase, and call it in 3 other places too",
            &format!(
                "tune: T\nmeter: 6/8\n\npart A\n| @lick | @lick |\n\npart B\n| @lick | @lick # mine\n| 3:0- -  3:0- - |\n\nphrase lick\n| {lick} |\n"
            ),
        );
        let (_, offers) =
            offers(KIND, "tune: T\npart A\n| $03:0 t 2:0$0 | 3:0 t 2:0 # mine\n 1:0 | 3:0 t 2:1 |\n");
        assert_eq!(offers.len(), 1, "{offers:?}");
    }

    #[test]
    fn a_slur_that_went_on_from_before_is_told_its_string() {
        check(
            KIND,
            "tune: T\nmeter: 6/8\npart A\n| 3:0 t 2:0 1:0 t - | $0t h2 2:0$0 1:0 t 2:0 |\nphrase lick\n|1:0 - - 1:0 - -|",
            "make bar 2 a phrase",
            "tune: T\nmeter: 6/8\npart A\n| 3:0 t 2:0 1:0 t - | @lick2 |\nphrase lick\n|1:0 - - 1:0 - -|\n\nphrase lick2\n| t h1:2 2:0 1:0 t 2:0 |",
        );
    }

    #[test]
    fn what_a_phrase_cannot_be_is_refused_with_the_reason() {
        let tune = |music: &str| format!("tune: T\nmeter: 6/8\npart A\n{music}\n");
        check_refused(KIND, &tune("$01:0 | 3:0- - 2:0-$0 - |"), "make", "pickup");
        check_refused(
            KIND,
            &tune("| $03:0- - 2:0- - |\npart B\n| 3:0- -$0 1:0- - |"),
            "make",
            "more than one part",
        );
        check_refused(
            KIND,
            &tune("| $03:0- - 2:0- - |$0\nmeter: 9/8\n| 3:0- - 1:0- - 1:0- - |"),
            "make",
            "time changes",
        );
        check_refused(KIND, &tune("| $03:0- ? 2:0- - |$0"), "make", "no notation");
        check_none(KIND, &tune("| $03:0- - 2:0- - |"));
    }
}
