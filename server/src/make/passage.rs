//! Bars of a part, as a player names them.

use std::ops::Range;

use lope_sheet::Passage;
use lope_tune::{Played, Tune};

/// Where `played` first has `passage`, or what to say where it has not.
pub fn find(tune: &Tune, played: &Played, passage: &Passage) -> Result<Range<usize>, String> {
    let Passage { part, bars } = passage;
    lope_sound::passage(tune, played, part, bars.clone()).ok_or_else(|| missing(tune, played, part))
}

/// What to say of a passage that is not there.
fn missing(tune: &Tune, played: &Played, part: &str) -> String {
    let name = |pass: u32| {
        let pass = tune.passes().get(pass as usize).copied();
        pass.map_or("", |pass| tune.sections[pass.part.index()].name.as_str())
    };
    let mut bars = played.bars.iter().filter(|bar| name(bar.pass) == part).map(|bar| bar.number);
    if let Some(first) = bars.next() {
        let (first, last) = bars.fold((first, first), |(low, high), bar| (low.min(bar), high.max(bar)));
        return format!("part {part} has no such bars in a row: it is played from bar {first} to bar {last}");
    }
    let mut parts: Vec<&str> = tune.parts().map(|(_, part)| part.name.as_str()).collect();
    parts.dedup();
    format!("plays no part {part}; its parts are: {}", parts.join(", "))
}
