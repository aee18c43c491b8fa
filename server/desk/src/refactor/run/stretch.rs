use lope_arrange::run::{Passage, is_straight};
use lope_syntax::{NodeId, NodeKind, Span, TokenKind};
use lope_tune::{BarContent, BarId, Duration, Moment};

use crate::refactor::scene::Scene;

/// Slots in a row of one bar, whole braces among them, that begin and end with a pair of the gait.
pub struct Stretch {
    /// What time they take.
    pub passage: Passage,
    /// From the first to the last of them, what stands between included.
    pub span: Span,
}

/// A slot or brace that stands straight below a bar.
struct Item {
    span: Span,
    onset: Moment,
}

impl Stretch {
    /// What `selection` has of slots, out to whole pairs of the gait; why not, where it has some that make no
    /// stretch, and nothing where it has none.
    pub fn of(scene: &Scene<'_>, selection: Span) -> Option<Result<Self, String>> {
        let selected = |place: &lope_tune::BarPlace| place.span.overlaps(selection);
        let places = &scene.music.source.bars;
        let first = places.iter().position(selected)?;
        if places[first + 1..].iter().any(selected) {
            return Some(Err("a run stays within one bar: select notes of one bar only".to_owned()));
        }
        let bar = BarId(first as u32);
        let written = &scene.music.tune.bars[first];
        if written.content != BarContent::Slots {
            return None;
        }
        let items = items(scene, bar);
        let from = items.iter().position(|item| item.span.overlaps(selection))?;
        let to = items.iter().rposition(|item| item.span.overlaps(selection))? + 1;
        if !is_straight(scene.music.tune.frame(written).gait) {
            return Some(Err("the gait here goes in threes already, or in a way of its own".to_owned()));
        }
        Some(Self::grown(scene, bar, &items, from, to))
    }

    /// The items from `from` and before `to`, with as many before and after them as it takes to whole pairs.
    fn grown(scene: &Scene<'_>, bar: BarId, items: &[Item], from: usize, to: usize) -> Result<Self, String> {
        let written = &scene.music.tune.bars[bar.index()];
        let pair = scene.music.tune.frame(written).gait.period();
        let end = Moment::START + written.length;
        let is_pair = |at: Moment| (at + written.lead).since_start().is_multiple_of(pair);
        let reason = || "a run takes whole beats, and these notes do not go out to any".to_owned();
        let from = (0..=from).rev().find(|at| is_pair(items[*at].onset)).ok_or_else(reason)?;
        let onset = |at: usize| items.get(at).map_or(end, |item| item.onset);
        let to = (to..=items.len()).find(|at| is_pair(onset(*at))).ok_or_else(reason)?;
        let passage = Passage { bar, start: onset(from), length: onset(to) - onset(from) };
        let runs = scene.music.tune.runs.iter();
        if runs.filter(|run| run.bar == bar).any(|run| passage.has(run.start)) {
            return Err("there is a run among these notes already: take it back first".to_owned());
        }
        let span = items[from].span.cover(items[to - 1].span);
        if scene.has(span, TokenKind::FieldName) {
            return Err("a field stands among these notes".to_owned());
        }
        Ok(Self { passage, span })
    }
}

/// What stands straight below `bar` and takes time, each with when it begins.
fn items(scene: &Scene<'_>, bar: BarId) -> Vec<Item> {
    let (tree, source) = (scene.music.tree, scene.music.source);
    let place = &source.bars[bar.index()];
    let is_bar = |id: &NodeId| tree.node(*id).kind == NodeKind::Bar && tree.span(*id).overlaps(place.span);
    let Some(node) = (0..tree.nodes().len() as u32).map(NodeId).find(is_bar) else { return Vec::new() };
    let slots = &source.slots[place.slots.start as usize..place.slots.end as usize];
    let items = tree.children(node).filter_map(|child| {
        let span = tree.span(child);
        // What is no slot, such as a label, has no slot in it; a brace begins with its first.
        let slot = slots.get(slots.partition_point(|slot| slot.span.start < span.start))?;
        (slot.span.end <= span.end).then_some(Item { span, onset: slot.onset })
    });
    items.collect()
}

/// How many slots of the bar `passage` takes; none where it takes no whole number.
pub fn over(scene: &Scene<'_>, passage: &Passage) -> Option<u32> {
    let unit = scene.music.tune.frame(&scene.music.tune.bars[passage.bar.index()]).unit;
    let (over, rest) = passage.length.divide(unit);
    u32::try_from(over).ok().filter(|_| rest == Duration::ZERO)
}
