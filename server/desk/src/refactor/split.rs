//! A part cut in two at the cursor's bar.

use lope_rules::Edit;
use lope_syntax::{Span, TokenKind};
use lope_tune::{BarId, SectionId, SectionKind};

use super::scene::Scene;
use super::{Offer, Refactoring, order};

pub static REFACTORING: Refactoring = Refactoring { kind: "refactor.rewrite.split", offers };

fn offers(scene: &Scene<'_>) -> Vec<Offer> {
    let Some(bar) = scene.bar() else { return Vec::new() };
    let part = scene.section_of(bar);
    let section = &scene.music.tune.sections[part.index()];
    let first = section.bars.start + u32::from(section.has_pickup());
    if !section.is_part() || bar.0 <= first {
        return Vec::new();
    }
    let number = scene.music.source.bars[bar.index()].number;
    let name = new_name(scene);
    let title = format!("start part {name} at bar {number}");
    vec![Offer { title, edits: split(scene, part, bar, &name) }]
}

/// Cuts `part` before `bar`; what follows, its endings included, is the part called `name`.
fn split(scene: &Scene<'_>, part: SectionId, bar: BarId, name: &str) -> Result<Vec<Edit>, String> {
    let tune = scene.music.tune;
    let section = &tune.sections[part.index()];
    let mut edits = heading(scene, bar, name)?;
    let is_once = matches!(section.kind, SectionKind::Part { times: 1, .. });
    if !(is_once && tune.header.order.is_empty()) {
        let halves = |played: String| {
            let second = (played == section.name).then(|| name.to_owned());
            [Some(played), second].into_iter().flatten()
        };
        let names: Vec<String> = order::names(scene).into_iter().flat_map(halves).collect();
        edits.extend(order::set(scene, &names));
    }
    scene.same_music(
        edits,
        "the two halves cannot be played as the whole is: its endings or phrases depend on it",
    )
}

/// The edits that put the heading of the part called `name` before `bar`.
fn heading(scene: &Scene<'_>, bar: BarId, name: &str) -> Result<Vec<Edit>, String> {
    let places = &scene.music.source.bars;
    let (before, place) = (&places[bar.index() - 1], &places[bar.index()]);
    if before.close == place.close || before.close.is_empty() {
        return Err("no bar line stands between this bar and the one before it".to_owned());
    }
    let line = scene.reading.line_break();
    let between = Span::new(before.close.end, place.span.start);
    let own_line =
        scene.next(between.start, TokenKind::LineBreak).filter(|found| found.span.end <= between.end);
    // Where the bar stands on a line of its own, what is written after the one before it stays there.
    let (at, above) = own_line.map_or((between.start, line), |own_line| (own_line.span.end, ""));
    let mut edits = vec![Edit::insert(at, format!("{above}{line}part {name}{line}"))];
    let opens_with_field = scene.has(place.span, TokenKind::FieldName);
    if !opens_with_field && !scene.has(Span::new(at, between.end), TokenKind::BarLine) {
        edits.push(if own_line.is_some() { Edit::insert(between.end, "| ") } else { Edit::insert(at, "|") });
    }
    Ok(edits)
}

/// The first letter, or letter and number, that no part is called by.
pub fn new_name(scene: &Scene<'_>) -> String {
    let is_free = |name: &String| scene.music.tune.parts().all(|(_, part)| part.name != *name);
    let rounds = (0_u32..).flat_map(|round| {
        ('A'..='Z')
            .map(move |letter| if round == 0 { letter.to_string() } else { format!("{letter}{round}") })
    });
    rounds.into_iter().find(is_free).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, check_none, check_refused};

    const KIND: &str = "refactor.rewrite.split";

    #[test]
    fn a_part_is_cut_before_the_bar_of_the_cursor() {
        check(
            KIND,
            "tune: T\nmeter: 6/8\n\npart A\n| 3:0- -  2:0- - | 2:0- $0-  1:0- - | 1:0- -  1:0- - |\n\npart B\n| 3:0- -  3:0- - |\n",
            "start part C at bar 2",
            "tune: T\nmeter: 6/8\n\npart A\n| 3:0- -  2:0- - |\n\npart C\n| 2:0- -  1:0- - | 1:0- -  1:0- - |\n\npart B\n| 3:0- -  3:0- - |\n",
        );
        check(
            KIND,
            "tune: T\nmeter: 6/8\n\npart A\n1:0 | 3:0- -  2:0- - |  # first\n| 2:0- -  $01:0- |\n",
            "start part B at bar 2",
            "tune: T\nmeter: 6/8\n\npart A\n1:0 | 3:0- -  2:0- - |  # first\n\npart B\n| 2:0- -  1:0- |\n",
        );
    }

    #[test]
    fn a_part_that_is_played_again_is_played_in_order() {
        check(
            KIND,
            "tune: T\nmeter: 6/8\n\npart A x2\n| 3:0- -  2:0- - |\n  2:0- -  1:0- $0- |\n\npart B\n| 3:0- -  3:0- - |\n",
            "start part C",
            "tune: T\nmeter: 6/8\norder: A C A C B\n\npart A x2\n| 3:0- -  2:0- - |\n\npart C\n  | 2:0- -  1:0- - |\n\npart B\n| 3:0- -  3:0- - |\n",
        );
        check(
            KIND,
            "tune: T\nmeter: 6/8\norder: A B A # so\n\npart A\n| 3:0- -  2:0- - | $02:0- -  1:0- - |\n\npart B\n| 3:0- -  3:0- - |\n",
            "start part C",
            "tune: T\nmeter: 6/8\norder: A C B A C # so\n\npart A\n| 3:0- -  2:0- - |\n\npart C\n| 2:0- -  1:0- - |\n\npart B\n| 3:0- -  3:0- - |\n",
        );
    }

    #[test]
    fn endings_that_take_turns_keep_a_part_whole() {
        check_refused(
            KIND,
            "tune: T\nmeter: 6/8\npart A\n| 3:0- - 2:0- - | $02:0- - 1:0- - |\nending 1\n| 3:0- - 3:0- - |\nending 2\n| 2:0- - 2:0- - |\n",
            "start part B",
            "endings",
        );
        let becomes_a_tune = "tune: T\nmeter: 6/8\npart A\n1:0 - - - - - | tune:$01:2\nmeter: 6/8\n1:2";
        check_refused(KIND, becomes_a_tune, "start part B", "cannot be played");
        check_none(KIND, "tune: T\nmeter: 6/8\npart A\n1:0 | $03:0- - 2:0- - | 2:0- - 1:0- |\n");
        check_none(KIND, "tune: T\nmeter: 6/8\nphrase l\n| 3:0- - 2:0- - | $02:0- - 1:0- - |\n");
    }
}
