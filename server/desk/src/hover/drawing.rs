//! Strokes and counts, drawn in letters of one width:
//!
//! ```text
//! count  1    2  [3]
//! gait   x    .   x
//! hand   ▼    ▲   △!
//! tab    2:1  t   h3
//! ```
//!
//! `▼` strikes and `▽` falls on air, `▲` is the thumb, and `△` is a hand that rises with nothing to sound; `!`
//! is a stroke against the gait. Shapes, not colours, so that nobody needs to see colours.

use lope_hand::Fell;
use lope_rules::Music;
use lope_tune::{Bar, BarId, Duration, EventKind, Gait, How, Meter, Moment, Run, Slot, Stroke};

/// The most columns that are drawn: a bar of a slide has twelve strokes.
const WIDEST: usize = 16;

/// The rows of a drawing, a cell for each stroke.
#[derive(Default)]
struct Rows {
    count: Vec<String>,
    gait: Vec<String>,
    hand: Vec<String>,
    tab: Vec<String>,
}

/// The group of `bar` that has the moment `onset`, with that moment's count in brackets.
pub fn group(music: &Music, bar: BarId, onset: Moment) -> Vec<String> {
    let staff = Staff::new(music, bar);
    let (from, to) = match staff.run_at(onset) {
        Some(run) => {
            let three = run.slot.times(3);
            let threes = u32::try_from((onset - run.start).divide(three).0).unwrap_or_default();
            let from = run.start + three.times(threes);
            (from, from + three)
        }
        None => {
            let group = music.tune.frame(staff.bar).group(onset + staff.bar.lead);
            let from = group.start - staff.bar.lead;
            (from.max(Moment::START), from + group.length)
        }
    };
    staff.draw(from, to, Some(onset))
}

/// What is in `bar` from one moment to another.
pub fn stretch(music: &Music, bar: BarId, from: Moment, to: Moment) -> Vec<String> {
    Staff::new(music, bar).draw(from, to, None)
}

/// The strokes of `gait` over a whole bar of `meter`, with their counts.
pub fn strokes(gait: Gait, meter: Meter) -> Vec<String> {
    let number = meter.bar().divide(gait.step()).0.unsigned_abs();
    let mut rows = Rows::default();
    for stroke in (0..number).take(WIDEST) {
        let at = Moment::START + gait.step().times(u32::try_from(stroke).unwrap_or(u32::MAX));
        rows.count.push(syllable(&meter.count(at)));
        rows.gait.push(letter(gait.stroke(stroke)).to_owned());
        rows.hand.push(if gait.stroke(stroke) == Stroke::Fall { "▼" } else { "△" }.to_owned());
    }
    rows.lines()
}

/// A bar, and what in it takes time.
struct Staff<'a> {
    music: &'a Music<'a>,
    bar: &'a Bar,
    slots: &'a [Slot],
    runs: &'a [Run],
}

impl<'a> Staff<'a> {
    fn new(music: &'a Music<'a>, id: BarId) -> Self {
        let place = &music.source.bars[id.index()];
        let runs = &music.tune.runs;
        let (first, last) =
            (runs.partition_point(|run| run.bar < id), runs.partition_point(|run| run.bar <= id));
        Self {
            music,
            bar: &music.tune.bars[id.index()],
            slots: &music.source.slots[place.slots.start as usize..place.slots.end as usize],
            runs: &runs[first..last],
        }
    }

    /// The innermost run that has the moment `at`.
    fn run_at(&self, at: Moment) -> Option<&'a Run> {
        self.runs.iter().rev().find(|run| run.start <= at && at < run.start + run.slot.times(run.slots))
    }

    /// What the gait has at `at`.
    fn stroke(&self, at: Moment) -> Stroke {
        match self.run_at(at) {
            Some(run) => Gait::three(run.slot).at(Moment::START + (at - run.start)).0,
            None => self.music.tune.frame(self.bar).gait.at(at + self.bar.lead).0,
        }
    }

    /// The moments from one to another at which something is written or the gait has a stroke.
    fn moments(&self, from: Moment, to: Moment) -> Vec<Moment> {
        let step = self.music.tune.frame(self.bar).gait.step();
        let (before, rest) = (from + self.bar.lead).since_start().divide(step);
        let first = u32::try_from(before).unwrap_or_default() + u32::from(rest != Duration::ZERO);
        let own = (first..).map(|stroke| Moment::START + step.times(stroke));
        let own = own.filter(|at| self.bar.lead <= at.since_start()).map(|at| at - self.bar.lead);
        let mut moments: Vec<Moment> = own.take_while(|at| *at < to).take(WIDEST).collect();
        moments.retain(|at| self.run_at(*at).is_none());
        let written = self.slots.iter().map(|slot| slot.onset).filter(|at| from <= *at && *at < to);
        moments.extend(written.take(WIDEST));
        moments.sort_unstable();
        moments.dedup();
        moments.truncate(WIDEST);
        moments
    }

    fn draw(&self, from: Moment, to: Moment, here: Option<Moment>) -> Vec<String> {
        let meter = self.music.tune.frame(self.bar).meter;
        let mut rows = Rows::default();
        for at in self.moments(from, to) {
            let stroke = self.stroke(at);
            let slot = self.slots.iter().find(|slot| slot.onset == at);
            let count = syllable(&meter.count(at + self.bar.lead));
            rows.count.push(if here == Some(at) { format!("[{count}]") } else { count });
            rows.gait.push(letter(stroke).to_owned());
            rows.hand.push(self.hand(stroke, slot));
            rows.tab.push(slot.map_or_else(String::new, |slot| slot.span.of(self.music.text).to_owned()));
        }
        rows.lines()
    }

    /// The shape for what the hand does at `stroke`, where `slot` is written.
    fn hand(&self, stroke: Stroke, slot: Option<&Slot>) -> String {
        let air = match stroke {
            Stroke::Fall => "▽",
            Stroke::Rise => "△",
            Stroke::Between => "·",
        };
        let Some(slot) = slot else { return air.to_owned() };
        let event = self.music.event(slot.event);
        if event.kind != EventKind::Notes || event.onset != slot.onset {
            return air.to_owned();
        }
        let motion = self.music.hand.motion(slot.event);
        let thumb = self.music.tune.notes_of(event).iter().any(|note| note.how == How::Thumb);
        let shape = match (motion.fell, motion.stroke) {
            (Fell::Struck, _) => "▼",
            _ if thumb => "▲",
            (_, Stroke::Between) => "·",
            _ => "△",
        };
        let against = (motion.stroke == Stroke::Fall) != (motion.fell == Fell::Struck);
        format!("{shape}{}", if against && motion.stroke != Stroke::Between { "!" } else { "" })
    }
}

const fn letter(stroke: Stroke) -> &'static str {
    match stroke {
        Stroke::Fall => "x",
        Stroke::Rise => ".",
        Stroke::Between => " ",
    }
}

/// What a player says aloud at `count`: `3`, and `&` where the number was said before it.
fn syllable(count: &str) -> String {
    match count.rsplit_once(' ') {
        _ if count.starts_with("after") => "·".to_owned(),
        Some((_, syllable)) => syllable.to_owned(),
        None => count.to_owned(),
    }
}

impl Rows {
    /// The rows with their names, their cells in columns; a row of nothing is left out.
    fn lines(self) -> Vec<String> {
        let rows = [("count", self.count), ("gait", self.gait), ("hand", self.hand), ("tab", self.tab)];
        let columns = rows[0].1.len();
        let width = |column: usize| {
            let cells = rows.iter().filter_map(|(_, row)| row.get(column));
            cells.map(|cell| cell.chars().count()).max().unwrap_or_default()
        };
        let widths: Vec<usize> = (0..columns).map(width).collect();
        let written = rows.iter().filter(|(_, row)| row.iter().any(|cell| !cell.is_empty()));
        written.map(|(name, row)| line(name, row, &widths)).collect()
    }
}

fn line(name: &str, row: &[String], widths: &[usize]) -> String {
    let mut line = format!("{name:5}");
    for (cell, width) in row.iter().zip(widths) {
        line.push_str("  ");
        line.push_str(cell);
        line.extend(std::iter::repeat_n(' ', width - cell.chars().count()));
    }
    line.truncate(line.trim_end().len());
    line
}

#[cfg(test)]
mod tests {
    use super::super::testing::{hover, jig, reel};

    #[track_caller]
    fn check(text: &str, marked: &str, expected: &str) {
        assert_eq!(hover(text, marked).drawing.join("\n"), expected);
    }

    #[test]
    fn a_group_is_drawn_with_what_goes_against_the_gait() {
        check(
            &jig("| 2:1 t h3  3:0- 1:0! |"),
            "h3",
            "count  1    2  [3]\n\
             gait   x    .  x\n\
             hand   ▼    ▲  △!\n\
             tab    2:1  t  h3",
        );
        check(
            &jig("| 2:1 2:0 t  3:0 - 1:0! |"),
            "2:0 t",
            "count  1    [2]  3\n\
             gait   x    .    x\n\
             hand   ▼    ▼!   ▲!\n\
             tab    2:1  2:0  t",
        );
    }

    #[test]
    fn time_that_is_held_or_missing_is_drawn_too() {
        check(
            &jig("| 2:1-- 3:0 |"),
            "3:0",
            "count  [4]  5  6\ngait   x    .  x\nhand   ▼    △  ▽\ntab    3:0",
        );
        check(&reel("1:0 | 3:0- |"), "1:0", "count  [&]\ngait   .\nhand   ▼!\ntab    1:0");
    }

    #[test]
    fn a_run_is_drawn_by_its_own_gait() {
        check(
            &reel("| 3:0 t {3:0 h2 2:0}/2 3:0 |"),
            "2:0",
            "count  2    ·   [·]\n\
             gait   x    .   x\n\
             hand   ▼    △   ▼\n\
             tab    3:0  h2  2:0",
        );
        check(
            &reel("| 3:0 {t 2:0} 3:0 t |"),
            "t 2:0",
            "count  1    [&]  a\n\
             gait   x    .\n\
             hand   ▼    ▲    ▼\n\
             tab    3:0  t    2:0",
        );
    }
}
