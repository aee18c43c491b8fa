use lope_tune::{BarContent, BarId, Duration, EventKind, Frame, Moment, Stroke};

use super::fill::{Bars, Odd};
use super::group::{Group, end_of_slot, groups, is_in_brace, short_group};
use super::note_value::NoteValue;
use crate::{About, Edit, Example, Family, Finding, Level, Mend, Music, Page, Place, Report, Rule};

pub static RULE: Rule = Rule {
    name: "short-bar",
    level: Some(Level::Warning),
    family: Family::Time,
    page: Page {
        finds: "A bar, and the group in it, with too little time for its meter.",
        why: "Whoever plays from the page loses the count there, and two people who play from it fall \
              apart. Usually a slot was forgotten, or a long note was written short. The last bar before a \
              pickup is meant to be short by the pickup, and is not reported.",
        example: Example {
            bad: "\
tune: The Loose Plank
meter: 6/8

part A
| 3:0 t 2:0  1:0 t 2:0 | 2:1 t 1:2  1:0 t |
",
            good: "\
tune: The Loose Plank
meter: 6/8

part A
| 3:0 t 2:0  1:0 t 2:0 | 2:1 t 1:2  1:0 t- |
",
        },
        mend: "Lets the last note ring to the end of the bar, which keeps every note where it is heard. Or \
               fills the bar with silence; or strikes the string last fingered where the hand falls on \
               nothing; or, where an earlier group is the short one, lets that group's last note ring, \
               which moves what follows.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    let bars = Bars::of(music);
    for odd in bars.odd().filter(is_short) {
        let groups = groups(music, odd.bar);
        let short = short_group(&groups, odd.missing(), frame(music, odd.bar));
        let finding = report.bar(music, odd.bar, message(music, &odd, &groups, short));
        let group = short.map(|(group, _)| group).or(groups.last());
        if let Some(group) = group {
            finding.mark(group.span);
        }
        let gap = group.map_or(Moment::START, Group::end);
        finding.place =
            Place { count: music.place_in_bar(odd.bar, gap).count, ..music.place_of_bar(odd.bar) };
    }
}

/// A bar next to one with as much too much has a bar line in the wrong place: `long-bar` says so.
fn is_short(odd: &Odd) -> bool {
    odd.missing().is_positive() && odd.beside.is_none()
}

fn frame<'m>(music: &Music<'m>, bar: BarId) -> &'m Frame {
    music.tune.frame(&music.tune.bars[bar.index()])
}

fn message(music: &Music, odd: &Odd, groups: &[Group], short: Option<(&Group, Duration)>) -> String {
    let frame = frame(music, odd.bar);
    let value = NoteValue::of(frame.unit, &[odd.filled, odd.full]);
    let (filled, full) = (value.count(odd.filled), value.count(odd.full));
    let mut message = format!("this bar has {filled} of {full} {}", value.name(full));
    if odd.pickup.is_positive() {
        message +=
            &format!(" before a pickup of {}", NoteValue::of(frame.unit, &[odd.pickup]).say(odd.pickup));
    }
    if slots_missing(music, odd).is_none() {
        return message + ", and what is missing is no whole number of slots: divide a slot in braces";
    }
    let Some((group, whole)) = short.filter(|_| groups.len() > 1) else { return message };
    let number = groups.iter().position(|other| other == group).map_or(0, |at| at + 1);
    message + &format!("; group {number} has {} of {}", value.count(group.length), value.count(whole))
}

/// How many slots are missing, where it is a whole number of them.
fn slots_missing(music: &Music, odd: &Odd) -> Option<u32> {
    let (slots, rest) = odd.missing().divide(frame(music, odd.bar).unit);
    u32::try_from(slots).ok().filter(|_| rest == Duration::ZERO)
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let About::Bar(bar) = finding.about else { return Vec::new() };
    let odd = Bars::of(music).judge(bar).filter(is_short);
    let gap = odd.and_then(|odd| Gap::at_end(music, &odd));
    gap.map_or_else(Vec::new, |gap| gap.mends(music, finding))
}

/// The slots that a bar lacks at its end.
struct Gap<'m> {
    bar: BarId,
    frame: &'m Frame,
    /// Where to write them.
    at: u32,
    /// How many there are.
    slots: u32,
    /// When the first begins, from the start of the bar's slots.
    start: Moment,
    /// Whether a note sounds there.
    rings: bool,
    /// Whether the time goes by in playing all the same.
    padded: bool,
}

impl<'m> Gap<'m> {
    /// The gap at the end of `odd`; none where no whole number of slots fills it.
    fn at_end(music: &Music<'m>, odd: &Odd) -> Option<Self> {
        let slots = slots_missing(music, odd)?;
        let (bar, place) = (&music.tune.bars[odd.bar.index()], &music.source.bars[odd.bar.index()]);
        if bar.content != BarContent::Slots {
            return None;
        }
        let frame = music.tune.frame(bar);
        let at = place.slots.clone().last().map_or(place.span.end, |last| end_of_slot(music, last));
        let rings = music.tune.events_of(bar).last().is_some_and(|event| event.kind != EventKind::Silence);
        let start = Moment::START + odd.filled;
        Some(Self { bar: odd.bar, frame, at, slots, start, rings, padded: odd.padded })
    }

    fn mends(&self, music: &Music, finding: &Finding) -> Vec<Mend> {
        let fill = |title: &str, slot: &str, safe: bool| Mend {
            title: title.to_owned(),
            safe,
            edits: self.write(&vec![slot.to_owned(); self.slots as usize]),
            rests_on: None,
        };
        let ring = || fill("let the last note ring to the end of the bar", "-", self.padded);
        // To cut off a note that rings keeps pitch and onset, but is no one's guess.
        let silence = fill("fill the bar with silence", "_", self.padded && !self.rings);
        let mut mends: Vec<Mend> = self.rings.then(ring).into_iter().collect();
        mends.push(silence);
        mends.extend(self.strike(music));
        mends.extend(self.inside(music, finding));
        mends
    }

    /// Strikes the string last fingered on the first fall in the gap.
    fn strike(&self, music: &Music) -> Option<Mend> {
        let bar = &music.tune.bars[self.bar.index()];
        let gait = self.frame.gait;
        let moment = |slot: u32| self.start + self.frame.unit.times(slot);
        let fall = (0..self.slots).find(|slot| gait.at(moment(*slot) + bar.lead).0 == Stroke::Fall)?;
        let before = &music.tune.notes[..music.tune.events_of(bar).last()?.notes.end as usize];
        let note = before.iter().rev().find(|note| (1..=4).contains(&note.string))?;
        let mut slots = vec![if self.rings { "-" } else { "_" }.to_owned(); fall as usize];
        slots.push(format!("{}:{}", note.string, note.fret));
        slots.resize(self.slots as usize, "-".to_owned());
        let count = music.place_in_bar(self.bar, moment(fall)).count.unwrap_or_default();
        let title = format!("strike string {} at fret {} on count {count}", note.string, note.fret);
        Some(Mend::risky(title, self.write(&slots)))
    }

    /// Lets the last note of the group that `finding` marks ring, where the bar goes on after it.
    fn inside(&self, music: &Music, finding: &Finding) -> Option<Mend> {
        let groups = groups(music, self.bar);
        let number = groups.iter().position(|group| group.span == finding.span)?;
        let group = groups.get(number).filter(|_| number + 1 < groups.len())?;
        let event = music.source.slots[group.last as usize].event;
        let rings = music.tune.events[event.index()].kind != EventKind::Silence;
        let title = format!("let the last note of group {} ring, and move what follows", number + 1);
        let edits = vec![Edit::insert(group.span.end, "-".repeat(self.slots as usize))];
        (rings && !is_in_brace(music, self.bar, group.span.end)).then(|| Mend::risky(title, edits))
    }

    /// Writes `slots` into the gap: a hold glued to what it prolongs, and two blanks between groups.
    fn write(&self, slots: &[String]) -> Vec<Edit> {
        let mut text = String::new();
        for (at, slot) in (0..).zip(slots) {
            let moment = self.start + self.frame.unit.times(at);
            text += match slot.as_str() {
                _ if self.frame.group(moment).start == moment => "  ",
                "-" => "",
                _ => " ",
            };
            text += slot;
        }
        vec![Edit::insert(self.at, text)]
    }
}

#[cfg(test)]
mod tests;
