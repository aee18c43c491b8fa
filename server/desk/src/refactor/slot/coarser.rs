use lope_rules::Edit;
use lope_syntax::{NodeId, NodeKind, Span};

use crate::refactor::row::{Item, is_run, items, over};
use crate::refactor::scene::Scene;

/// Writes the slots of `bar` two by two as one of twice their length: a note that fills both, or braces.
pub fn bar(scene: &Scene<'_>, bar: NodeId) -> Result<Vec<Edit>, String> {
    let items = items(&scene.music, bar);
    let mut edits = Vec::new();
    let mut rest = items.as_slice();
    while !rest.is_empty() {
        let mut width = 0;
        let even = rest.iter().position(|item| {
            width += item.width;
            width.is_multiple_of(2)
        });
        let Some(last) = even else {
            return Err(format!("{} has an odd number of slots", place(scene, bar)));
        };
        let (group, after) = rest.split_at(last + 1);
        edits.extend(join(scene, group, width)?);
        rest = after;
    }
    Ok(edits)
}

/// Writes `group`, which fills `width` slots, in half as many.
fn join(scene: &Scene<'_>, group: &[Item], width: u32) -> Result<Vec<Edit>, String> {
    use NodeKind::{Brace, Brush, Hold, Note, Silence};
    let kinds: Vec<NodeKind> = group.iter().map(|item| item.kind).collect();
    match (kinds.as_slice(), group) {
        ([Brace], [brace]) => {
            Ok(over(&scene.music, brace.node).into_iter().map(|(_, span)| fills(span, width / 2)).collect())
        }
        ([Note | Brush | Hold, Hold] | [Silence, Silence], [first, second]) => {
            let blanks = Span::new(first.span.end, second.span.start);
            let gone = if blanks.of(scene.text()).trim_matches([' ', '\t']).is_empty() {
                blanks.cover(second.span)
            } else {
                second.span
            };
            Ok(vec![Edit::replace(gone, "")])
        }
        (_, [first, .., last]) if !is_run(width) => {
            let end = if width == 2 { "}".to_owned() } else { format!("}}/{}", width / 2) };
            Ok(vec![Edit::insert(first.span.start, "{"), Edit::insert(last.span.end, end)])
        }
        _ => Err(format!("braces of {width} slots would be a run, in the three-note gait")),
    }
}

/// What braces say that fill `slots`, in the place of `span`.
fn fills(span: Span, slots: u32) -> Edit {
    Edit::replace(span, if slots == 1 { String::new() } else { format!("/{slots}") })
}

/// Where `bar` is, as a player says it.
fn place(scene: &Scene<'_>, bar: NodeId) -> String {
    let start = scene.music.tree.span(bar).start;
    let places = &scene.music.source.bars;
    let at = places.partition_point(|place| place.span.end < start);
    places.get(at).map_or_else(
        || "a bar".to_owned(),
        |_| scene.music.place_of_bar(lope_tune::BarId(at as u32)).to_string(),
    )
}
