//! A part joined with the one below it.

use lope_rules::Edit;
use lope_syntax::{Span, TokenKind};
use lope_tune::{Section, SectionId, SectionKind};

use super::scene::Scene;
use super::{Offer, Refactoring, order};

pub static REFACTORING: Refactoring = Refactoring { kind: "refactor.rewrite.join", offers };

fn offers(scene: &Scene<'_>) -> Vec<Offer> {
    let (tune, places) = (scene.music.tune, &scene.music.source.sections);
    let at_heading = |id: &SectionId| scene.touches(places[id.index()].heading);
    let Some((id, part)) = tune.parts().find(|(id, _)| at_heading(id)) else { return Vec::new() };
    let next = SectionId(id.0 + 1 + tune.endings(id).count() as u32);
    match tune.sections.get(next.index()) {
        Some(section) if section.is_part() => {
            let title = format!("join part {} with part {}", part.name, section.name);
            vec![Offer { title, edits: join(scene, id, next) }]
        }
        _ => Vec::new(),
    }
}

fn join(scene: &Scene<'_>, first: SectionId, second: SectionId) -> Result<Vec<Edit>, String> {
    let tune = scene.music.tune;
    let [one, two] = [first, second].map(|id| &tune.sections[id.index()]);
    if tune.endings(first).next().is_some() {
        return Err(format!("part {} has endings", one.name));
    }
    let mut edits = seam(scene, one, two, second)?;
    if tune.header.order.is_empty() {
        let times = |section: &Section| match section.kind {
            SectionKind::Part { times, .. } => times,
            _ => 1,
        };
        if times(one).max(times(two)) > 1 {
            return Err(format!("parts {} and {} are not played in turn", one.name, two.name));
        }
    } else {
        edits.extend(order::set(scene, &without(&order::names(scene), &one.name, &two.name)?));
    }
    scene.same_music(edits, "the parts would sound otherwise as one")
}

/// The edits that take out the heading between two parts; and the bar line, where a pickup completes the bar
/// before it.
fn seam(scene: &Scene<'_>, one: &Section, two: &Section, second: SectionId) -> Result<Vec<Edit>, String> {
    let places = &scene.music.source.bars;
    let (Some(last), false) = (one.bars.clone().last(), two.bars.is_empty()) else {
        return Err("one of the parts has no bars".to_owned());
    };
    let between = Span::new(places[last as usize].span.end, places[two.bars.start as usize].span.start);
    let heading = scene.music.source.sections[second.index()].heading;
    let lines = scene.tokens_in(between).iter().filter(|token| token.kind == TokenKind::BarLine);
    let lines: Vec<Span> = lines.map(|token| token.span).collect();
    if two.has_pickup() {
        let lines = lines.into_iter().map(|line| Edit::replace(line, ""));
        return Ok(lines.chain([Edit::replace(whole_line(scene, heading), "")]).collect());
    }
    Ok(vec![match lines.is_empty() {
        true => Edit::replace(heading, "|"),
        false => Edit::replace(whole_line(scene, heading), ""),
    }])
}

/// The line of `heading` with its line break, where nothing else is on it.
fn whole_line(scene: &Scene<'_>, heading: Span) -> Span {
    let text = scene.text();
    let start = text[..heading.start as usize].trim_end_matches([' ', '\t']).len() as u32;
    match scene.next(heading.end, TokenKind::LineBreak) {
        Some(line) if Span::new(heading.end, line.span.start).of(text).trim().is_empty() => {
            Span::new(start, line.span.end)
        }
        _ => heading,
    }
}

/// `names` without `second`, which must follow every `first` and nothing else.
fn without(names: &[String], first: &str, second: &str) -> Result<Vec<String>, String> {
    let follows = |at: usize| at > 0 && names[at - 1] == first;
    let is_followed = |at: usize| names.get(at + 1).is_some_and(|next| next == second);
    let in_turn = names
        .iter()
        .enumerate()
        .all(|(at, name)| (name != second || follows(at)) && (name != first || is_followed(at)));
    if !in_turn || first == second {
        return Err(format!("parts {first} and {second} are not played in turn"));
    }
    Ok(names.iter().filter(|name| *name != second).cloned().collect())
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, check_none, check_refused};

    const KIND: &str = "refactor.rewrite.join";

    #[test]
    fn two_parts_become_one() {
        check(
            KIND,
            "tune: T\nmeter: 6/8\n\npart $0A\n| 3:0- -  2:0- - |\n\n# the turn\npart B\n| 2:0- -  1:0- - |\n",
            "join part A with part B",
            "tune: T\nmeter: 6/8\n\npart A\n| 3:0- -  2:0- - |\n\n# the turn\n| 2:0- -  1:0- - |\n",
        );
        check(
            KIND,
            "tune: T\nmeter: 6/8\norder: A B C A B\npart $0A\n| 3:0- - 2:0- -\npart B\n2:0- - 1:0- - | 3:0- - - - - |\npart C\n| 3:0- - - - - |\n",
            "join part A with part B",
            "tune: T\nmeter: 6/8\norder: A C A\npart A\n| 3:0- - 2:0- -\n|\n2:0- - 1:0- - | 3:0- - - - - |\npart C\n| 3:0- - - - - |\n",
        );
    }

    #[test]
    fn a_pickup_completes_the_bar_before_it() {
        check(
            KIND,
            "tune: T\nmeter: 6/8\npart $0A\n| 3:0- - 2:0- |  # nearly\npart B\n1:0 | 2:0- - 1:0- - |\n",
            "join part A with part B",
            "tune: T\nmeter: 6/8\npart A\n| 3:0- - 2:0-   # nearly\n1:0 | 2:0- - 1:0- - |\n",
        );
    }

    #[test]
    fn parts_that_are_not_played_in_turn_stay_apart() {
        let tune = |times: &str| {
            format!(
                "tune: T\nmeter: 6/8\npart A$0{times}\n| 3:0- - 2:0- - |\npart B{times}\n| 2:0- - 1:0- - |\n"
            )
        };
        check_refused(KIND, &tune(" x2"), "join", "not played in turn");
        check_refused(
            KIND,
            &tune("").replace("meter: 6/8", "meter: 6/8\norder: A B B"),
            "join",
            "not played in turn",
        );
        check_refused(KIND, &tune("").replace("part B", "ending 1\n| 1:0 |\npart B"), "join", "endings");
        check_none(KIND, &tune("").replace("part B", "phrase B"));
    }
}
