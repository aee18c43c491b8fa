//! Selected notes played in the three-note gait, in braces; and such a run played straight.

use lope_rules::Edit;
use lope_syntax::{NodeId, NodeKind, Span, TokenKind};
use lope_tune::{Duration, Gait, Note};

use super::row::{Item, bars, is_run, items};
use super::scene::Scene;
use super::{Offer, Refactoring};
use crate::Reading;

pub static REFACTORING: Refactoring = Refactoring { kind: "refactor.rewrite.gait", offers };

fn offers(scene: &Scene<'_>) -> Vec<Offer> {
    let touches = |bar: &NodeId| scene.touches(scene.music.tree.span(*bar));
    let Some(bar) = bars(&scene.music).find(touches) else { return Vec::new() };
    let items = items(&scene.music, bar);
    let inside = |item: &&Item| match scene.selection.is_empty() {
        true => item.kind == NodeKind::Brace && scene.touches(item.span),
        false => item.span.overlaps(scene.selection),
    };
    let selected: Vec<Item> = items.iter().filter(inside).copied().collect();
    match selected.as_slice() {
        [run] if run.kind == NodeKind::Brace && is_run(width(scene, run.node)) => straight(scene, *run),
        [_, _, ..] => threes(scene, &selected).into_iter().collect(),
        _ => Vec::new(),
    }
}

/// How many slots the braces `node` hold.
fn width(scene: &Scene<'_>, node: NodeId) -> u32 {
    items(&scene.music, node).iter().map(|item| item.width).sum()
}

/// The `selected` slots as a run; none where they are not as many notes as a run has.
fn threes(scene: &Scene<'_>, selected: &[Item]) -> Option<Offer> {
    let mut notes = Vec::new();
    selected.iter().for_each(|item| flatten(scene, *item, &mut notes));
    let count = u32::try_from(notes.len()).ok().filter(|count| is_run(*count))?;
    let span = selected.first()?.span.cover(selected.last()?.span);
    let slots: u32 = selected.iter().map(|item| item.width).sum();
    if count == slots && is_in_threes(scene) {
        return None;
    }
    let text = format!("{{{}}}{}", notes.join(" "), fills(slots));
    let title = format!("play these {count} notes in threes, in the time of {slots} slots");
    let begins_inside = selected.first()?.kind == NodeKind::Hold;
    let edits = match begins_inside || scene.has(span, TokenKind::LineBreak) {
        true => Err("a run begins with a note, and stands on one line".to_owned()),
        false => in_time(scene, span, text),
    };
    Some(Offer { title, edits })
}

/// Whether the hand goes in threes, a slot each, where the selection is.
fn is_in_threes(scene: &Scene<'_>) -> bool {
    let bar = scene.music.tune.bars.get(scene.selected_bars().start as usize);
    bar.map(|bar| scene.music.tune.frame(bar)).is_some_and(|frame| frame.gait == Gait::three(frame.unit))
}

/// Adds the text of each note or silence in `item` to `notes`.
fn flatten(scene: &Scene<'_>, item: Item, notes: &mut Vec<String>) {
    match item.kind {
        NodeKind::Hold => {}
        NodeKind::Brace => {
            items(&scene.music, item.node).into_iter().for_each(|inner| flatten(scene, inner, notes))
        }
        _ => notes.push(item.span.of(scene.text()).to_owned()),
    }
}

/// What stands after braces that fill `slots`.
fn fills(slots: u32) -> String {
    if slots == 1 { String::new() } else { format!("/{slots}") }
}

/// The `run` with a note a slot where there are slots enough; else two notes in the first slot of each three.
fn straight(scene: &Scene<'_>, run: Item) -> Vec<Offer> {
    let inner = items(&scene.music, run.node);
    let count = width(scene, run.node);
    let texts: Vec<&str> = inner.iter().map(|item| item.span.of(scene.text())).collect();
    let even = inner.iter().all(|item| item.width == 1);
    let text = if count <= run.width {
        let silent = inner.last().is_some_and(|item| item.kind == NodeKind::Silence);
        let rest = if silent { " _" } else { " -" }.repeat((run.width - count) as usize);
        Some(texts.join(" ") + &rest)
    } else if even && count * 2 == run.width * 3 {
        let threes = texts.chunks(3).map(|three| format!("{{{}}} {}", three[..2].join(" "), three[2]));
        Some(threes.collect::<Vec<_>>().join(" "))
    } else {
        None
    };
    let title = format!("play this run of {count} straight");
    let edits = match text {
        Some(_) if has_words(scene, run.span) => Err("words or chord symbols stand in the run".to_owned()),
        Some(text) => in_time(scene, run.span, text),
        None => Err(format!("{} slots are too few for {count} notes", run.width)),
    };
    vec![Offer { title, edits }]
}

fn has_words(scene: &Scene<'_>, span: Span) -> bool {
    scene.has(span, TokenKind::Words) || scene.has(span, TokenKind::Chord)
}

/// The edit that puts `text` in the place of `span`, where the tempo leaves the hand time for it.
fn in_time(scene: &Scene<'_>, span: Span, text: String) -> Result<Vec<Edit>, String> {
    if has_words(scene, span) {
        return Err("words or chord symbols stand among the notes".to_owned());
    }
    let edits = vec![Edit::replace(span, text)];
    let after = scene.after(&edits);
    if notes(&after) != notes(scene.reading) {
        return Err("text stands beside the notes that they would run into".to_owned());
    }
    let fast = |reading: &Reading| {
        reading.findings().iter().filter(|finding| finding.rule.rule().name == "fast-falls").count()
    };
    if fast(&after) > fast(scene.reading) {
        return Err("at this tempo the hand has no time to fall so fast".to_owned());
    }
    Ok(scene.as_tidy(edits, after))
}

/// Every note in order, and the time of each bar.
fn notes(reading: &Reading) -> (Vec<Note>, Vec<Duration>) {
    let tune = reading.tune();
    (tune.notes.clone(), tune.bars.iter().map(|bar| bar.length).collect())
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, check_none, check_refused};

    const KIND: &str = "refactor.rewrite.gait";
    const SLOW: &str = "tune: T\nmeter: 4/4\ntempo: 80\npart A\n";

    #[test]
    fn three_notes_go_into_braces_and_out_again() {
        let tune = |music: &str| format!("{SLOW}| {music} 2:0 t 2:0 t |\n");
        let threes = "play these 3 notes in threes, in the time of 4 slots";
        check(KIND, &tune("$03:0 h2 2:0 -$0"), threes, &tune("{3:0 h2 2:0}/4"));
        check(KIND, &tune("{3:0 $0h2 2:0}/4"), "play this run of 3 straight", &tune("3:0 h2 2:0 -"));
        let tune = |music: &str| format!("{SLOW}| {music} t 2:0 t 2:0 t 2:0 |\n");
        check(
            KIND,
            &tune("$0{3:0 h2} 2:0$0"),
            "play these 3 notes in threes, in the time of 2",
            &tune("{3:0 h2 2:0}/2"),
        );
        check(KIND, &tune("{3:0 h2 2:0}$0/2"), "play this run of 3 straight", &tune("{3:0 h2} 2:0"));
        check(
            KIND,
            &format!("{SLOW}| {{3:0 h2 2:0 2:1 h3 1:2}}$0/4 2:0 t 2:0 t |\n"),
            "play this run of 6 straight",
            &format!("{SLOW}| {{3:0 h2}} 2:0 {{2:1 h3}} 1:2 2:0 t 2:0 t |\n"),
        );
    }

    #[test]
    fn where_the_time_is_too_short_the_reason_is_told() {
        let fast = SLOW.replace("80", "200");
        check_refused(
            KIND,
            &format!("{fast}| $0{{3:0 h2}} 2:0$0 3:0 t 2:0 t 2:0 t |\n"),
            "play these 3",
            "no time",
        );
        check_refused(
            KIND,
            &format!("{SLOW}| {{3:0 h2 2:0}}$0 t 2:0 t 2:0 t 2:0 t |\n"),
            "play this run",
            "too few",
        );
        check_refused(KIND, &format!("{SLOW}| $03:0 h2\n2:0$0 t 2:0 t 2:0 t |\n"), "play these", "one line");
        check_none(KIND, &format!("{SLOW}| $03:0 h2$0 2:0 t 2:0 t 2:0 t |\n"));
        check_none(KIND, &format!("{SLOW}| 3:0 $0h2 2:0 t 2:0 t 2:0 t |\n"));
    }
}
