//! The slot halved or doubled, and everything written in the new one: the same music to the same strokes.

mod coarser;
mod finer;

use lope_rules::Edit;
use lope_syntax::{NodeId, NodeKind, TokenKind};
use lope_tune::{Duration, Frame, Gait, Stroke};

use super::row::bars;
use super::scene::Scene;
use super::{Offer, Refactoring};

pub static REFACTORING: Refactoring = Refactoring { kind: "refactor.rewrite.slot", offers };

/// The finest slot that the notation has, as a part of a whole note.
const FINEST: i64 = 64;

/// Writes the bar of a node in another slot.
type Rewrite = fn(&Scene<'_>, NodeId) -> Result<Vec<Edit>, String>;

fn offers(scene: &Scene<'_>) -> Vec<Offer> {
    let Some(frame) = scene.music.tune.frames.first() else { return Vec::new() };
    if !scene.is_at_field("unit") && !scene.is_at_field("meter") {
        return Vec::new();
    }
    let finer = Some(frame.unit.share(2)).filter(|unit| unit.denominator() <= FINEST);
    let coarser = Some(frame.unit.times(2)).filter(|unit| unit.numerator() == 1);
    let offer = |unit: Duration, row: Rewrite| Offer {
        title: format!("write in slots of {}: the same music", value(unit)),
        edits: rewrite(scene, frame, unit, row),
    };
    let finer = finer.map(|unit| offer(unit, finer::bar));
    finer.into_iter().chain(coarser.map(|unit| offer(unit, coarser::bar))).collect()
}

/// A slot as its field says it: `1/8`.
fn value(unit: Duration) -> String {
    format!("{}/{}", unit.numerator(), unit.denominator())
}

fn rewrite(scene: &Scene<'_>, frame: &Frame, unit: Duration, row: Rewrite) -> Result<Vec<Edit>, String> {
    if scene.music.tune.frames.iter().any(|other| other.unit != frame.unit) {
        return Err("the slot changes in mid-tune".to_owned());
    }
    let mut edits = Vec::new();
    for bar in bars(&scene.music) {
        edits.extend(row(scene, bar)?);
    }
    let below = if scene.field("meter").is_some() { "meter" } else { "tune" };
    edits.extend(scene.set_field("unit", &value(unit), below));
    edits.extend(changes(scene, unit));
    if let Some(gait) = gait(scene, frame, unit)? {
        edits.extend(scene.set_field("gait", &gait, below));
    }
    scene.same_music(
        edits,
        "the hand would not fall where it falls now: the time or the gait changes in mid-tune",
    )
}

/// The edits that say `unit` in the fields within parts that say the slot.
fn changes(scene: &Scene<'_>, unit: Duration) -> Vec<Edit> {
    let tree = scene.music.tree;
    let header = scene.field("unit").map(|(node, _)| node);
    let nodes = (0..).map(NodeId).zip(tree.nodes());
    let fields = nodes.filter(|(id, node)| node.kind == NodeKind::Field && Some(*id) != header);
    let units = fields.filter_map(|(id, _)| {
        let name = tree.token_of(id, TokenKind::FieldName)?;
        let said = tree.token_of(id, TokenKind::FieldText)?;
        (name.span.of(scene.text()) == "unit").then(|| Edit::replace(said.span, value(unit)))
    });
    units.collect()
}

/// The gait to write so that the hand falls as it does now where a slot is `unit`; none where it does so by
/// itself.
fn gait(scene: &Scene<'_>, frame: &Frame, unit: Duration) -> Result<Option<String>, String> {
    let gait = frame.gait;
    let is_written = scene.music.source.frames.first().is_some_and(|place| place.gait.is_some());
    if !is_written && Gait::of(frame.meter, unit) == gait {
        return Ok(None);
    }
    let strokes = gait.to_string();
    let (slots, rest) = gait.step().divide(unit);
    if slots > 0 && rest == Duration::ZERO {
        let rises = ".".repeat(slots.unsigned_abs() as usize - 1);
        return Ok(Some(strokes.chars().map(|stroke| format!("{stroke}{rises}")).collect()));
    }
    // Strokes twice as fast as the new slot: every other one has to be a rise at which nothing begins.
    let falls = |stroke: u32| gait.stroke(u64::from(stroke)) == Stroke::Fall;
    let uneven =
        gait.strokes() % 2 == 1 || (0..gait.strokes()).any(|stroke| stroke % 2 == 1 && falls(stroke));
    let mut begun = scene.music.hand.motions.iter().zip(&scene.music.tune.events);
    let between = begun.any(|(motion, event)| {
        event.run.is_none() && motion.stroke != Stroke::Between && motion.number % 2 == 1
    });
    if uneven || between {
        return Err("the hand has strokes between two of the larger slots".to_owned());
    }
    Ok(Some(strokes.chars().step_by(2).collect()))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, check_none, check_refused};

    const KIND: &str = "refactor.rewrite.slot";

    #[test]
    fn half_as_long_slots_are_twice_as_many() {
        check(
            KIND,
            "tune: T\n$0meter: 6/8\n\npart A\n| 3:0!- t  _ 1:0 [2:0 1:0] | {3:0 2:0 1:0}/2 {1:0 t}- _ -- | % |\n",
            "write in slots of 1/16",
            "tune: T\nmeter: 6/8\nunit: 1/16\n\npart A\n| 3:0!--- t-  _ _ 1:0- [2:0 1:0]- | {3:0 2:0 1:0}/4 {1:0 t}/2-- _ _ ---- | % |\n",
        );
    }

    #[test]
    fn twice_as_long_slots_are_half_as_many() {
        check(
            KIND,
            "tune: T\nmeter: 4/4\nunit: $01/8\npart A\n| 3:0- t - _ _ 2:0 t | {3:0 2:0 1:0}/2 1:0 {1:0 t}/2 1:0 {2:0 t}/2 |\n",
            "write in slots of 1/4",
            "tune: T\nmeter: 4/4\nunit: 1/4\npart A\n| 3:0 t _ {2:0 t} | {3:0 2:0 1:0} {1:0 {1:0 t}/2 1:0}/2 {2:0 t} |\n",
        );
    }

    #[test]
    fn the_hand_keeps_its_gait() {
        check(
            KIND,
            "tune: T\nmeter: 4/4 # common\n$0unit: 1/8\npart A\n| 3:0 t 3:0 t 3:0 t 3:0 t |\n",
            "write in slots of 1/16",
            "tune: T\nmeter: 4/4 # common\ngait: x...\nunit: 1/16\npart A\n| 3:0- t- 3:0- t- 3:0- t- 3:0- t- |\n",
        );
        check(
            KIND,
            "tune: T\nmeter: 5/8\n$0unit: 1/16\ngait: x...x.x...\npart A\n| 3:0- t- 3:0- 2:0- t- |\n",
            "write in slots of 1/8",
            "tune: T\nmeter: 5/8\nunit: 1/8\ngait: x.xx.\npart A\n| 3:0 t 3:0 2:0 t |\n",
        );
    }

    #[test]
    fn what_the_new_slot_cannot_say_is_refused() {
        check_refused(
            KIND,
            "tune: T\nmeter: 9$0/8\npart A\n| 3:0 t 3:0 3:0 t 3:0 3:0 t 3:0 |\n",
            "write in slots of 1/4",
            "odd number",
        );
        check_refused(
            KIND,
            "tune: T\nmeter: 6$0/8\npart A\n| 3:0 - - - - - |\nunit: 1/16\n| 3:0 |\n",
            "write in",
            "changes in mid-tune",
        );
        check_refused(
            KIND,
            "tune: T\nmeter: 4/4\nunit:$0 1/16\npart A\n| 3:0-- 2:0 |\n",
            "write in slots of 1/8",
            "strokes between",
        );
        check_none(KIND, "tune$0: T\nmeter: 6/8\npart A\n| 3:0 |\n");
    }
}
