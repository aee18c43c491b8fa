//! Gives everything its place.

mod above;
mod breaks;
mod draw;
mod edges;
mod foot;
mod heading;
mod labels;
mod lane;
mod measure;
mod notes;
mod pages;
mod placed;
mod signs;
mod spread;
mod stems;
mod style;
mod system;

use std::ops::Range;

use lope_hand::Hand;
use lope_tune::Tune;

use breaks::{Box, LOOSEST, lines};
use edges::shows_meter;
use measure::Measure;
use pages::{Block, Ground};
use style::{LARGE, TUNING};
use system::{LineOf, system};

pub use heading::facts;
pub use system::Stage;

use crate::frame::{Page, Sheet};
use crate::reading;
use crate::score::{Content, Contents, Score};
use crate::wishes::Wishes;

/// The narrowest that music is laid out on, in points.
const NARROWEST: f32 = 120.0;

/// Lays `tune` out, which is played as `hand` says.
pub fn lay(tune: &Tune, hand: &Hand, wishes: &Wishes) -> Sheet {
    let score = Score::of(tune, wishes.passage.as_ref());
    let contents = contents(tune, hand, &score);
    let stage = Stage { tune, hand, wishes, score: &score, contents: &contents };
    let scale = if wishes.large { LARGE } else { 1.0 };
    let (width, height) = wishes.paper.size();
    let ground = Ground { width, height, scale, margin: wishes.paper.margin() / scale };
    let mut laid = pages_of(&stage, ground, ROOMY);
    if (2..=FEW).contains(&laid.len()) && height.is_some() {
        // Players want a tune on as few pages as it goes on.
        let dense = pages_of(&stage, ground, DENSE);
        if dense.len() < laid.len() {
            laid = dense;
        }
    }
    let title = tune.header.title.clone();
    Sheet { title, about: reading::about(tune, &score), pages: laid, played: score.played }
}

/// The most pages of which one more or less is worth laying a tune out once more.
const FEW: usize = 8;

/// What a line costs for its paper where there is enough, and where there is too little of it.
const ROOMY: f32 = 0.25;
/// See [`ROOMY`].
const DENSE: f32 = 3.0;

fn pages_of(stage: &Stage<'_>, ground: Ground, paper: f32) -> Vec<Page> {
    let (tune, score) = (stage.tune, stage.score);
    let room = (ground.width / ground.scale - 2.0 * ground.margin).max(NARROWEST);
    let mut blocks = vec![heading::heading(tune, room)];
    blocks.extend(systems(stage, room, paper));
    if score.bars.is_empty() {
        blocks.push(foot::sentence("No music yet.", room));
    }
    if score.cut {
        let words = format!("The sheet ends here: it has {} bars.", score.bars.len());
        blocks.push(foot::sentence(&words, room));
    }
    if stage.wishes.strokes {
        blocks.extend(foot::legend(stage, room));
    }
    if stage.wishes.spelled_out {
        blocks.extend(foot::remarks(stage, room));
    }
    let rights = tune.header.rights.as_deref().unwrap_or_default();
    pages::pages(blocks, ground, &tune.header.title, rights)
}

/// What stands in each written bar that is drawn with its slots.
fn contents(tune: &Tune, hand: &Hand, score: &Score) -> Vec<Option<Contents>> {
    let mut contents = vec![None; tune.bars.len()];
    for drawn in score.bars.iter().filter(|drawn| drawn.content == Content::Slots) {
        let place = &mut contents[drawn.bar.index()];
        if place.is_none() {
            *place = Some(Contents::of(tune, hand, drawn.bar));
        }
    }
    contents
}

/// The systems of a sheet whose lines are `width` wide.
fn systems(stage: &Stage<'_>, width: f32, paper: f32) -> Vec<Block> {
    let nothing = Contents::default();
    let mut measures: Vec<Measure> = Vec::new();
    for (number, drawn) in stage.score.bars.iter().enumerate() {
        let contents = stage.contents[drawn.bar.index()].as_ref().unwrap_or(&nothing);
        let whole = Measure::of(stage.tune, number, drawn, contents, shows_meter(stage, number));
        let first = if number == 0 { TUNING } else { 0.0 };
        measures.extend(whole.pieces(width - first));
    }
    let boxes: Vec<Box> = measures.iter().map(|measure| to_box(stage, measure)).collect();
    let room = |start: usize| width - if start == 0 { TUNING } else { 0.0 };
    let block = |line: Range<usize>| {
        let inside = &boxes[line.clone()];
        let fixed: f32 = inside.iter().map(|one| one.fixed).sum();
        let natural: f32 = inside.iter().map(|one| one.natural).sum();
        let ends_part = boxes.get(line.end).is_none_or(|next| next.begins);
        let full = room(line.start);
        let short = ends_part && natural * LOOSEST < full - fixed;
        let wide = if short { fixed + natural * 1.25 } else { full } + width - full;
        system(
            stage,
            &LineOf { measures: &measures[line.clone()], first: line.start == 0, width: wide, room: width },
        )
    };
    lines(&boxes, paper, room).into_iter().map(block).collect()
}

fn to_box(stage: &Stage<'_>, measure: &Measure) -> Box {
    let drawn = &stage.score.bars[measure.drawn];
    Box {
        fixed: measure.left + measure.right,
        least: measure.gaps.iter().map(|gap| gap.least).sum(),
        natural: measure.gaps.iter().map(|gap| gap.natural).sum(),
        begins: drawn.heading.is_some() && measure.first,
        number: drawn.number,
        parted: !measure.last,
    }
}
