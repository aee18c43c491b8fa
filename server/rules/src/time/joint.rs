//! Where one time through a part follows another in playing, and what bar is played last before it.

use lope_tune::{BarContent, BarId, DEEPEST, Duration, Pass, SectionId, SectionKind, Tune};

/// Where one time through a part ends and the next begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// The bar played last: a bar of slots, a `%`, or the call of a phrase that is not there.
    pub last: BarId,
    /// The part that follows.
    pub next: SectionId,
    /// How much of a bar its pickup takes: nothing where it has none.
    pub pickup: Duration,
    /// Whether nothing follows, unless the tune or the part is played again.
    pub at_end: bool,
}

/// Every joint of `tune`, in playing order; then those of parts and endings that are never played.
pub fn joints(tune: &Tune) -> Vec<Joint> {
    let passes = tune.passes();
    let mut joints = Vec::with_capacity(passes.len());
    let mut last = None;
    for (at, pass) in passes.iter().enumerate() {
        last = last_bar(tune, *pass).or(last);
        let (next, at_end) = match passes.get(at + 1) {
            Some(next) => (next.part, false),
            None => (passes[0].part, true),
        };
        joints.extend(last.map(|last| Joint { last, next, pickup: pickup(tune, next), at_end }));
    }
    for pass in unplayed(tune, &passes) {
        let (next, last) = (pass.part, last_bar(tune, pass));
        joints.extend(last.map(|last| Joint { last, next, pickup: pickup(tune, next), at_end: true }));
    }
    joints
}

/// The parts and endings that `passes` leave out, each as a pass of its own.
fn unplayed(tune: &Tune, passes: &[Pass]) -> impl Iterator<Item = Pass> {
    let mut played = vec![false; tune.sections.len()];
    for pass in passes {
        played[pass.part.index()] = true;
        if let Some(ending) = pass.ending {
            played[ending.index()] = true;
        }
    }
    let sections = (0..).map(SectionId).zip(&tune.sections);
    sections.filter(move |(id, _)| !played[id.index()]).filter_map(|(id, section)| match section.kind {
        SectionKind::Part { .. } => Some(Pass { part: id, ending: None }),
        SectionKind::Ending { of, .. } => Some(Pass { part: of, ending: Some(id) }),
        SectionKind::Phrase => None,
    })
}

/// How much of a bar the pickup of `part` takes.
fn pickup(tune: &Tune, part: SectionId) -> Duration {
    let section = &tune.sections[part.index()];
    match section.kind {
        SectionKind::Part { pickup: true, .. } => tune.bars[section.bars.start as usize].length,
        _ => Duration::ZERO,
    }
}

fn last_bar(tune: &Tune, pass: Pass) -> Option<BarId> {
    let ending = pass.ending.and_then(|ending| last_bar_of(tune, ending, 0));
    ending.or_else(|| last_bar_of(tune, pass.part, 0))
}

/// The bar of `section` that is played last, `depth` calls deep.
pub fn last_bar_of(tune: &Tune, section: SectionId, depth: u32) -> Option<BarId> {
    let (id, bar) = tune.bars_of(&tune.sections[section.index()]).last()?;
    match bar.content {
        BarContent::Phrase { section: Some(phrase), .. } if depth < DEEPEST => {
            last_bar_of(tune, phrase, depth + 1)
        }
        _ => Some(id),
    }
}

/// Whether the bar of `phrase` that comes last holds music, and is no call of a phrase that is not there.
pub fn ends_in_music(tune: &Tune, phrase: SectionId) -> bool {
    let last = last_bar_of(tune, phrase, 0);
    last.is_some_and(|bar| !matches!(tune.bars[bar.index()].content, BarContent::Phrase { .. }))
}

/// Whether `phrase` is called anywhere but at the very end of a time through a part, so that another bar
/// of the same part follows it.
pub fn is_called_inside(tune: &Tune, phrase: SectionId, depth: u32) -> bool {
    if depth > DEEPEST {
        return false;
    }
    (0..).map(SectionId).zip(&tune.sections).any(|(id, section)| {
        tune.bars_of(section).any(|(bar, written)| {
            matches!(written.content, BarContent::Phrase { section: Some(called), .. } if called == phrase)
                && match section.kind {
                    _ if bar.0 + 1 < section.bars.end => true,
                    SectionKind::Phrase => is_called_inside(tune, id, depth + 1),
                    SectionKind::Part { .. } => tune.endings(id).any(|(ending, _)| has_bars(tune, ending)),
                    SectionKind::Ending { .. } => false,
                }
        })
    })
}

fn has_bars(tune: &Tune, section: SectionId) -> bool {
    !tune.sections[section.index()].bars.is_empty()
}
