use lope_rules::Edit;

use super::scene::Scene;

/// The names of the parts in the order in which they are played.
pub fn names(scene: &Scene<'_>) -> Vec<String> {
    let tune = scene.music.tune;
    if !tune.header.order.is_empty() {
        return tune.header.order.clone();
    }
    tune.passes().iter().map(|pass| tune.sections[pass.part.index()].name.clone()).collect()
}

/// The edit that has the parts called `names` played in this order.
pub fn set(scene: &Scene<'_>, names: &[String]) -> Option<Edit> {
    let (last, _) = scene.music.source.fields.last()?;
    scene.set_field("order", &names.join(" "), last)
}
