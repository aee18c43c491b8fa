//! A few bars of a part, to be played over.

use std::ops::{Range, RangeInclusive};

use lope_tune::{Played, Tune};

/// Where `played` first has `bars` of the part called `part`, as places in [`Played::bars`]. Bars are numbered
/// as a player counts them: from 1, 0 for the pickup, an ending's going on from its part's. Without `bars` it is
/// the first whole time through the part. None where the tune never plays them.
///
/// ```
/// use lope_sound::passage;
/// use lope_tune::{Defaults, play, read};
///
/// let text = "tune: T\nmeter: 2/4\npart A x2\n| 1:0 | 1:1 |\npart B\n| 1:2 | 1:3 | 1:4 |\n";
/// let tune = read(text, &lope_syntax::parse(text), &Defaults::default()).tune;
/// assert_eq!(passage(&tune, &play(&tune), "B", Some(2..=3)), Some(5..7));
/// assert_eq!(passage(&tune, &play(&tune), "A", None), Some(0..2));
/// assert_eq!(passage(&tune, &play(&tune), "A", Some(3..=3)), None);
/// ```
pub fn passage(
    tune: &Tune,
    played: &Played,
    part: &str,
    bars: Option<RangeInclusive<u32>>,
) -> Option<Range<usize>> {
    let passes = tune.passes();
    let of_part = |pass: u32| {
        let pass = passes.get(pass as usize);
        pass.is_some_and(|pass| tune.sections[pass.part.index()].name == part)
    };
    let wanted = |number: u32| bars.as_ref().is_none_or(|bars| bars.contains(&number));
    let mut runs = played.bars.chunk_by(|a, b| a.pass == b.pass).scan(0, |start, run| {
        let first = *start;
        *start += run.len();
        Some((first, run))
    });
    runs.find_map(|(first, run)| {
        let from = run.iter().position(|bar| wanted(bar.number))?;
        let count = run[from..].iter().take_while(|bar| wanted(bar.number)).count();
        let last = run[from + count - 1].number;
        let whole = bars.as_ref().is_none_or(|bars| run[from].number == *bars.start() && last == *bars.end());
        (of_part(run[from].pass) && whole).then_some(first + from..first + from + count)
    })
}
