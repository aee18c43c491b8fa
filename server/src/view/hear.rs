//! What a page plays: the sound, and when each thing in it is due.

use std::collections::HashSet;
use std::io::Cursor;
use std::ops::Range;

use lope_desk::Reading;
use lope_sound::{Hand, Hands, Performance, Schedule, ScheduledBar, Unwritable, schedule};
use lope_tune::{Duration, Feel, Frame, Moment, Tune, play};
use serde::{Deserialize, Serialize};

use super::asked::{Bars, Refusal, Which};
use super::stand::Stand;

/// The longest that is played at once, in minutes: a browser holds all of it in memory, 10 MB a minute.
const LONGEST: u32 = 15;

/// What is to be played, and how.
#[derive(Debug, Deserialize)]
pub struct Play {
    file: String,
    number: usize,
    /// What the file goes by on the page that asks.
    stamp: String,
    /// Percent of the written tempo.
    speed: u32,
    count_in: bool,
    click: bool,
    /// Whether it is to be played over and over.
    over: bool,
    /// The bars, as places in [`lope_tune::Played::bars`]; all where there are none.
    bars: Option<Bars>,
    /// The names of the hands that are heard, with commas between.
    hands: String,
}

/// When each thing is due, in seconds from the start of the sound.
#[derive(Serialize)]
pub struct Due {
    /// When the last bar is over; the last notes ring on.
    end: f64,
    /// When a count-in is over.
    start: f64,
    /// From where to where it can be played over and over without a seam.
    round: Option<(f64, f64)>,
    /// Each bar: from when, until when, and its place in [`lope_tune::Played::bars`].
    bars: Vec<(f64, f64, usize)>,
    /// Each count: when, what a player says, its bar's place in `bars`, and its number among those that the sheet has
    /// below that bar, where it is one of them.
    counts: Vec<(f64, String, usize, Option<usize>)>,
    /// Each event that is played: from when, until when as it is written, its bar's place in `bars`, and its number
    /// in [`Tune::events`]. All hands' events are here, heard or not: a player who plays one of them sees it.
    events: Vec<(f64, f64, usize, u32)>,
}

impl Play {
    /// When each thing is due.
    pub fn due(&self, stand: &Stand) -> Result<Due, Refusal> {
        let reading = self.reading(stand)?;
        let (tune, played) = (reading.tune(), play(reading.tune()));
        let heard = schedule(tune, &played, &self.performance(Hands::ALL));
        fits(&heard)?;
        let round_of = self.passage().map_or(played.bars.len(), |bars| bars.len());
        Ok(due(tune, &heard, round_of))
    }

    /// The sound, as a WAV file.
    pub fn sound(&self, stand: &Stand) -> Result<Vec<u8>, Refusal> {
        let reading = self.reading(stand)?;
        let tune = reading.tune();
        let heard: Vec<Hand> = Hand::ALL
            .into_iter()
            .filter(|hand| self.hands.split(',').any(|name| name == hand.name()))
            .collect();
        let heard = schedule(tune, &play(tune), &self.performance(Hands::only(&heard)));
        fits(&heard)?;
        let mut file = Cursor::new(Vec::new());
        match lope_sound::wav(&heard, &mut file) {
            Ok(()) => Ok(file.into_inner()),
            Err(Unwritable::Output(error)) => Err(Refusal::Failed(crate::files::reason(&error))),
            Err(other) => Err(Refusal::Unfit(other.to_string())),
        }
    }

    fn reading(&self, stand: &Stand) -> Result<std::sync::Arc<Reading>, Refusal> {
        let which = Which { file: self.file.clone(), number: self.number };
        which.find_unchanged(stand, &self.stamp)
    }

    fn passage(&self) -> Option<Range<usize>> {
        self.bars.as_ref().map(|Bars(bars)| *bars.start()..bars.end().saturating_add(1))
    }

    /// Twice where it is played over: the second time begins with what the first left ringing, and can be followed
    /// by itself.
    fn performance(&self, hands: Hands) -> Performance {
        Performance {
            speed: self.speed,
            count_in: self.count_in,
            click: self.click,
            hands,
            passage: self.passage(),
            times: if self.over { 2 } else { 1 },
        }
    }
}

fn fits(heard: &Schedule) -> Result<(), Refusal> {
    if heard.bars.is_empty() {
        return Err(Refusal::Unfit("there is nothing to play in it".to_owned()));
    }
    if heard.seconds(heard.end) > f64::from(LONGEST * 60) {
        let message = format!("it takes longer than {LONGEST} minutes: choose some bars of it");
        return Err(Refusal::Unfit(message));
    }
    Ok(())
}

fn due(tune: &Tune, heard: &Schedule, round_of: usize) -> Due {
    let seconds = |moment| heard.seconds(moment);
    let begins = |place: usize| heard.bars.get(place).map(|bar| seconds(bar.played.start));
    let round = begins(0).zip(begins(round_of)).map(|(first, second)| (second, second + (second - first)));
    let end_of = |bar: &ScheduledBar| seconds(bar.played.start + bar.played.length);
    let bars = heard.bars.iter().map(|bar| (seconds(bar.played.start), end_of(bar), bar.place)).collect();
    let counts = heard.bars.iter().enumerate().flat_map(|(place, bar)| {
        let drawn = lope_sheet::counted(tune, bar.played.bar);
        let number = move |at: Moment| drawn.iter().position(|moment| *moment == at);
        counts(&tune.frames[bar.played.frame as usize], bar)
            .map(move |Count { due, said, at }| (seconds(due), said, place, number(at)))
    });
    let mut met = HashSet::new();
    let events = heard.sounds.iter().filter_map(|sound| {
        let event = tune.events.partition_point(|event| event.notes.end <= sound.note.0);
        let until = sound.onset + tune.events.get(event)?.length;
        met.insert((sound.bar, event))
            .then(|| (seconds(sound.onset), seconds(until), sound.bar, event as u32))
    });
    Due {
        end: seconds(heard.end),
        start: seconds(heard.start()),
        round,
        bars,
        counts: counts.collect(),
        events: events.collect(),
    }
}

struct Count {
    due: Moment,
    said: String,
    /// Where it is written, from the start of its bar's slots.
    at: Moment,
}

/// The counts of `bar`: one for each slot, later on the second of a pair where the feel is so.
fn counts<'f>(frame: &'f Frame, bar: &ScheduledBar) -> impl Iterator<Item = Count> + 'f {
    let (lead, until) = (bar.lead, bar.lead + bar.played.length);
    let count_one = bar.played.start - lead;
    let first = lead.divide(frame.unit).0.max(0) as u32;
    let slots = (first..).map(|slot| (slot, frame.unit.times(slot)));
    let slots = slots.skip_while(move |(_, at)| *at < lead).take_while(move |(_, at)| *at < until);
    slots.map(move |(slot, at)| Count {
        due: count_one + leaned(frame, slot),
        said: frame.meter.count(Moment::START + at),
        at: Moment::START + (at - lead),
    })
}

/// Where the feel puts the slot numbered `slot` of a bar.
fn leaned(frame: &Frame, slot: u32) -> Duration {
    match frame.feel {
        Feel::Swing { long, short } if slot % 2 == 1 && !frame.meter.is_compound() => {
            frame.unit.times(slot - 1) + frame.unit.times(2 * long).share(long + short)
        }
        _ => frame.unit.times(slot),
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;

    fn due_of(fields: &str, music: &str, performance: Performance) -> Due {
        let text = format!("tune: T\n{fields}\n\npart A\n{music}\n");
        let reading = Reading::new(text, &Arc::default());
        let (tune, played) = (reading.tune(), play(reading.tune()));
        due(tune, &schedule(tune, &played, &performance), played.bars.len())
    }

    fn said(due: &Due) -> Vec<String> {
        due.counts.iter().map(|(at, said, ..)| format!("{said} at {at:.3}")).collect()
    }

    #[test]
    fn counts_are_said_from_a_pickup_on() {
        let due = due_of("meter: 6/8\ntempo: 60", "1:0 | 3:0 t 2:0  1:0 t |", Performance::default());
        assert_eq!(said(&due)[..3], ["6 at 0.000", "1 at 0.333", "2 at 0.667"]);
        // The pickup is the first bar, whose only count is the first of its own.
        assert_eq!(due.counts[0], (0.0, "6".to_owned(), 0, Some(0)));
        assert_eq!((due.counts[5].2, due.counts[5].3), (1, Some(4)));
        // No pickup follows the last bar, which takes its full time.
        assert_eq!(due.counts.len(), 7);
        assert_eq!(due.events[1], (1.0 / 3.0, 2.0 / 3.0, 1, 1));
    }

    #[test]
    fn a_swung_count_waits_for_its_note() {
        let due = due_of(
            "meter: 4/4\ntempo: 60\nfeel: swing 2:1",
            "| 3:0 t 2:0 t  1:0 t 2:0 t |",
            Performance::default(),
        );
        assert_eq!(said(&due)[..3], ["1 at 0.000", "1 & at 0.667", "2 at 1.000"]);
        let notes: Vec<f64> = due.events.iter().map(|event| event.0).collect();
        let counts: Vec<f64> = due.counts.iter().map(|count| count.0).collect();
        assert_eq!(notes, counts);
    }

    #[test]
    fn what_is_played_over_goes_round_in_its_own_time() {
        // A beat of pickup, and two bars of which the last gives it back: four beats a round.
        let twice = Performance { times: 2, count_in: true, ..Performance::default() };
        let due = due_of("meter: 6/8\ntempo: 60", "1:0 1:0 1:0 | 3:0 t 2:0  1:0 t 2:0 | 3:0 t 2:0 |", twice);
        // A bar is counted, and the first beat of the bar that the pickup ends.
        assert_eq!((due.start, due.round), (3.0, Some((7.0, 11.0))));
        assert_eq!(due.bars.len(), 6);
    }
}
