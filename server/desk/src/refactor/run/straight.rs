use lope_arrange::run::{Passage, straight};
use lope_arrange::{Wishes, outline};
use lope_rules::Edit;
use lope_syntax::{NodeId, NodeKind, Span};
use lope_tune::{Note, Pitch, Run, Tune, spell_note};

use super::memory::memories;
use crate::refactor::scene::Scene;
use crate::refactor::{Offer, Refactoring};

pub static REFACTORING: Refactoring =
    Refactoring { kind: "refactor.rewrite.straight", offers: |scene| offer(scene).into_iter().collect() };

/// A run as it is written.
struct Written {
    passage: Passage,
    /// Its braces.
    span: Span,
    /// Its melody's first and last note.
    ends: (Option<Pitch>, Option<Pitch>),
}

/// The run that the selection touches taken back: to what a comment remembers of it, or to its outline.
pub fn offer(scene: &Scene<'_>) -> Option<Offer> {
    let run = Written::at(scene)?;
    if let Some((straight, edits)) = remembered(scene, &run) {
        return Some(Offer { title: format!("take the run back: {straight}"), edits: Ok(edits) });
    }
    let title = "take the run back to its outline".to_owned();
    Some(Offer { title, edits: outlined(scene, &run) })
}

impl Written {
    /// The run in braces straight below a bar that the selection touches first.
    fn at(scene: &Scene<'_>) -> Option<Self> {
        let (tree, tune) = (scene.music.tree, scene.music.tune);
        let is_asked = |id: &NodeId| tree.node(*id).kind == NodeKind::Brace && scene.touches(tree.span(*id));
        let node = (0..tree.nodes().len() as u32).map(NodeId).find(is_asked)?;
        let span = tree.span(node);
        let slot = scene.music.source.slots.iter().find(|slot| slot.span.start >= span.start)?;
        let bar = scene.music.bar_of(slot.event);
        let is_it = |run: &&Run| run.bar == bar && run.start == slot.onset;
        let run = tune.runs.iter().find(is_it)?;
        let passage = Passage { bar, start: run.start, length: run.slot.times(run.slots) };
        Some(Self { passage, span, ends: ends(tune, &passage) })
    }
}

/// The melody's first and last note in `passage`.
fn ends(tune: &Tune, passage: &Passage) -> (Option<Pitch>, Option<Pitch>) {
    let sung: Vec<Pitch> = outline(tune, passage.bar)
        .into_iter()
        .filter(|sung| passage.has(sung.onset))
        .map(|sung| sung.pitch)
        .collect();
    (sung.first().copied(), sung.last().copied())
}

/// What a comment above `run` remembers of it, and the edits that put it back. A memory fits where it takes
/// the same time and has the same first and last note.
fn remembered(scene: &Scene<'_>, run: &Written) -> Option<(String, Vec<Edit>)> {
    memories(scene, run.span.start).into_iter().rev().find_map(|memory| {
        let edits = vec![Edit::replace(memory.line, ""), Edit::replace(run.span, memory.straight.as_str())];
        let after = scene.after(&edits);
        let fits = scene.is_same_around(&after, &run.passage) && ends(after.tune(), &run.passage) == run.ends;
        fits.then(|| (memory.straight, scene.as_tidy(edits, after)))
    })
}

/// The edits that take `run` back to its outline.
fn outlined(scene: &Scene<'_>, run: &Written) -> Result<Vec<Edit>, String> {
    let wishes = Wishes { neck: scene.music.neck, ..Wishes::default() };
    let strokes = straight(scene.music.tune, &run.passage, &wishes)
        .ok_or("the gait here does not go in twos, or no hand gets through the run's outline")?;
    let slots = super::over(scene, &run.passage).unwrap_or_default() / strokes.len().max(1) as u32;
    if slots == 0 {
        return Err("a slot here is longer than a stroke of the gait".to_owned());
    }
    let edits = vec![Edit::replace(run.span, spell(&strokes, slots as usize))];
    let after = scene.after(&edits);
    if !scene.is_same_around(&after, &run.passage) {
        return Err("a note after it goes on from one that would change".to_owned());
    }
    if !scene.is_no_worse(&after) {
        return Err("the hands could not play its outline as it stands".to_owned());
    }
    Ok(scene.as_tidy(edits, after))
}

/// Each stroke's note over so many slots, or the last one ringing on.
fn spell(strokes: &[Option<Note>], slots: usize) -> String {
    let stroke = |note: &Option<Note>| {
        let head = note.as_ref().map_or_else(|| "-".to_owned(), spell_note);
        format!("{head}{}", " -".repeat(slots - 1))
    };
    strokes.iter().map(stroke).collect::<Vec<_>>().join(" ")
}
