//! A straight stretch made a run of triplets, and a run taken back.
//!
//! What the run was is remembered in a comment ([`memory`]), so that taken back it is what it was; a run that
//! nothing remembers is taken back to its outline.

mod memory;
mod spell;
mod straight;
mod stretch;

use lope_arrange::Level;
use lope_arrange::run::{NoRun, Passage, RunWishes, Triplets, fitting, runs};
use lope_rules::Edit;
use lope_syntax::Span;

pub use self::straight::REFACTORING as STRAIGHT;
use self::stretch::{Stretch, over};
use super::scene::Scene;
use super::{Offer, Refactoring};
use crate::Reading;
use crate::scale::Scale;

pub static REFACTORING: Refactoring = Refactoring { kind: "refactor.rewrite.run", offers };

/// How many runs of the length that fits best a menu shows.
const SHOWN: usize = 3;

/// What is asked of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RunRequest {
    /// How many notes it has: 3, 6, 9 or 12; as many as make three in the time of two where none is given.
    pub notes: Option<u32>,
    /// Whether it is made of the blues scale.
    pub blues: bool,
}

impl Reading {
    /// The best runs in the place of what `selection` has of notes, out to whole beats; the best first.
    ///
    /// # Errors
    /// When there is none.
    pub fn runs(&self, selection: Span, request: RunRequest) -> Result<Vec<Offer>, String> {
        let scene = Scene::new(self, selection);
        let stretch = Stretch::of(&scene, selection).ok_or("there is no note here to make a run of")??;
        made(&scene, &stretch, request)
    }

    /// The run that `selection` touches taken back.
    ///
    /// # Errors
    /// When there is none, or it cannot be.
    pub fn straightened(&self, selection: Span) -> Result<Offer, String> {
        let scene = Scene::new(self, selection);
        straight::offer(&scene).ok_or_else(|| "there is no run here to take back".to_owned())
    }
}

fn offers(scene: &Scene<'_>) -> Vec<Offer> {
    if scene.selection.is_empty() {
        return Vec::new();
    }
    let refused = |reason: String| vec![Offer { title: "make a run here".to_owned(), edits: Err(reason) }];
    let stretch = match Stretch::of(scene, scene.selection) {
        None => return Vec::new(),
        Some(Err(reason)) => return refused(reason),
        Some(Ok(stretch)) => stretch,
    };
    let fitting = fitting(
        scene.music.tune.frame(&scene.music.tune.bars[stretch.passage.bar.index()]),
        stretch.passage.length,
    );
    let mut offers = Vec::new();
    for (number, notes) in fitting.iter().enumerate() {
        let found = made(scene, &stretch, RunRequest { notes: Some(*notes), blues: false });
        let shown = if number == 0 { SHOWN } else { 1 };
        match found {
            Ok(found) => offers.extend(found.into_iter().take(shown)),
            Err(reason) if number == 0 => return refused(reason),
            Err(_) => {}
        }
    }
    if let Some(notes) = fitting.first() {
        let blues = made(scene, &stretch, RunRequest { notes: Some(*notes), blues: true });
        offers.extend(blues.into_iter().flatten().take(1));
    } else {
        return refused(misfit(scene, &stretch.passage));
    }
    offers
}

/// The best runs that `request` asks for in the place of `stretch`.
fn made(scene: &Scene<'_>, stretch: &Stretch, request: RunRequest) -> Result<Vec<Offer>, String> {
    let Stretch { passage, span } = stretch;
    let tune = scene.music.tune;
    let fitting = fitting(tune.frame(&tune.bars[passage.bar.index()]), passage.length);
    let misfit = || misfit(scene, passage);
    let notes = request.notes.or(fitting.first().copied()).ok_or_else(misfit)?;
    let over = over(scene, passage).ok_or("the stretch takes no whole number of slots")?;
    let scale = Scale::of(tune);
    let wishes = RunWishes {
        notes,
        key: scale.key(),
        blues: request.blues,
        level: Level::Player,
        neck: scene.music.neck,
    };
    let found = runs(tune, passage, &wishes).map_err(|why| match why {
        NoRun::DoesNotFit => misfit(),
        why => why_not(why).to_owned(),
    })?;
    let offers = found.iter().filter_map(|run| {
        let edits = edits(scene, *span, passage, over, run)?;
        Some(Offer { title: title(run, request.blues, &scale), edits: Ok(edits) })
    });
    let offers: Vec<Offer> = offers.collect();
    if offers.is_empty() {
        return Err("a note after it goes on from one that a run would change".to_owned());
    }
    Ok(offers)
}

/// The edits that put `run` in the place of `span`, where they change nothing but the time of `passage` and
/// leave nothing wrong that was not.
fn edits(scene: &Scene<'_>, span: Span, passage: &Passage, over: u32, run: &Triplets) -> Option<Vec<Edit>> {
    let braces = spell::spell(scene, span, passage, over, run);
    let edits = vec![memory::remember(scene, span), Edit::replace(span, braces)];
    let after = scene.after(&edits);
    (scene.is_same_around(&after, passage) && scene.is_no_worse(&after)).then(|| scene.as_tidy(edits, after))
}

fn title(run: &Triplets, blues: bool, scale: &Scale) -> String {
    let letters: Vec<&str> = run.pitches.iter().map(|pitch| scale.letter(*pitch)).collect();
    let threes: Vec<String> = letters.chunks(3).map(|three| three.join(" ")).collect();
    let blues = if blues { "blues run" } else { "run" };
    format!("make a {blues} of {}: {}", run.notes.len(), threes.join(", "))
}

fn misfit(scene: &Scene<'_>, passage: &Passage) -> String {
    let gait = scene.music.tune.frame(&scene.music.tune.bars[passage.bar.index()]).gait;
    let (strokes, _) = passage.length.divide(gait.step());
    format!(
        "a run of 3 takes 2 strokes of the gait, or 4 where it goes slowly, one of 6 twice as many, and so on \
         for 9 and 12: {strokes} are selected"
    )
}

const fn why_not(why: NoRun) -> &'static str {
    match why {
        NoRun::NotStraight => "the gait here does not go in twos",
        NoRun::NotOnPairs => "a run takes whole beats",
        NoRun::DoesNotFit => "so many notes do not fit",
        NoRun::NoFirstNote => {
            "a run starts from a note of the melody, and none begins with the first beat here"
        }
        NoRun::OffTheNeck => "there is a note here that is not on the neck",
        NoRun::NoWay => "no hand gets from the first note to the last in time",
    }
}

#[cfg(test)]
mod tests;
