//! Braces: how many slots share which time, and what the hand does in them.

use lope_syntax::NodeKind;
use lope_tune::{Duration, Moment, Run, Slot};

use super::passing::length;
use super::{Hover, Look, count, drawing};

/// What there is to say of the brace that the cursor is at an end of.
pub fn hover(look: Look<'_>) -> Option<Hover> {
    let music = look.music;
    let span = music.tree.span(look.inside(NodeKind::Brace)?);
    let slots = &music.source.slots;
    let first = slots.partition_point(|slot| slot.span.start < span.start);
    let last = slots.partition_point(|slot| slot.span.end <= span.end);
    let inside = slots.get(first..last)?;
    let (start, end) = (inside.first()?.onset, inside.last().map(|slot| slot.onset + slot.length)?);
    let bar = music.bar_of(inside.first()?.event);
    let frame = music.tune.frame(&music.tune.bars[bar.index()]);
    let run = music.tune.runs.iter().find(|run| run.bar == bar && fills(run, start, end));
    let time = length(end - start, frame);
    let shared = match shares(inside) {
        Some(_) => format!("{} share {time} evenly", count(inside.len(), "slot")),
        None => format!("its slots share {time}"),
    };
    let gait = match run {
        Some(run) => format!("a run of {}: the hand goes x.x in it, a stroke a slot", run.slots),
        None => format!("no run, so the hand goes on in the gait of the bar, {}", frame.gait),
    };
    let drawing = match run {
        Some(_) => drawing::stretch(&music, bar, start, end),
        None => drawing::group(&music, bar, start),
    };
    let title = music.place_in_bar(bar, start).to_string();
    Some(Hover { span, title, lines: vec![shared, gait], drawing })
}

/// Whether `run` takes the time from `start` to `end`.
fn fills(run: &Run, start: Moment, end: Moment) -> bool {
    run.start == start && run.slot.times(run.slots) == end - start
}

/// The length of each of `slots`, where they are all alike.
fn shares(slots: &[Slot]) -> Option<Duration> {
    let length = slots.first()?.length;
    slots.iter().all(|slot| slot.length == length).then_some(length)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, jig, reel};

    #[test]
    fn a_run_tells_its_gait_and_its_time() {
        let text = reel("| {3:0 h2 2:0}/2 3:0 |");
        let run = [
            "\"{3:0 h2 2:0}/2\" part A, bar 1, count 1",
            "3 slots share 2 eighths evenly",
            "a run of 3: the hand goes x.x in it, a stroke a slot",
            "count  1    ·   ·",
            "gait   x    .   x",
            "hand   ▼    △   ▼",
            "tab    3:0  h2  2:0",
        ];
        check(&text, "{", &run);
        check(&text, "}", &run);
        check(&text, "/2 3:0", &run);
    }

    #[test]
    fn two_notes_in_a_slot_are_no_run() {
        check(
            &jig("| {2:0 h2} t 2:0 |"),
            "{",
            &[
                "\"{2:0 h2}\" part A, bar 1, count 1",
                "2 slots share 1 eighth evenly",
                "no run, so the hand goes on in the gait of the bar, x.x",
                "count  [1]  ·   2  3",
                "gait   x        .  x",
                "hand   ▼    ·   ▲  ▼",
                "tab    2:0  h2  t  2:0",
            ],
        );
    }
}
