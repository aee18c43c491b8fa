//! Words that are sung and chord symbols, each at the note that it comes with.

use lope_tune::{BarId, Duration, Label, LabelKind, Moment, Tune};
use midly::{MetaMessage, TrackEventKind};

use super::clock::Clock;
use super::file::File;
use super::grid::Placed;
use super::voices::{Voice, legible};
use crate::Remark;
use crate::label::is_chord;
use crate::remark::counted;

/// The lyrics of `file`, and those of its texts that are chord symbols, in the bars of `tune`, where `notes` stand; says
/// how many other texts are left out. Where tracks are tunes of their own, those of the track of `voice`.
pub fn labels(
    file: &File<'_>,
    voice: &Voice,
    clock: &Clock,
    (tune, notes): (&Tune, &[Placed]),
    remarks: &mut Vec<Remark>,
) -> Vec<Label> {
    let mut found = Vec::new();
    let mut others = Vec::new();
    let tracks = file.tracks.iter().enumerate();
    for (_, track) in tracks.filter(|(number, _)| !file.is_apart || *number == voice.track) {
        for (now, event) in track {
            let TrackEventKind::Meta(message) = event else { continue };
            let (kind, text) = match message {
                MetaMessage::Lyric(text) => (Some(LabelKind::Words), legible(text)),
                MetaMessage::Text(text) => {
                    let text = legible(text);
                    (text.as_deref().is_some_and(is_chord).then_some(LabelKind::Chord), text)
                }
                MetaMessage::Marker(text) | MetaMessage::CuePoint(text) => (None, legible(text)),
                _ => continue,
            };
            match (kind, text) {
                (Some(kind), Some(text)) => found.push((clock.moment(*now), clock.slot_at(*now), kind, text)),
                (None, Some(text)) => others.push(text),
                (_, None) => {}
            }
        }
    }
    if let Some(first) = others.first() {
        let count = counted(others.len(), "other text");
        remarks.push(Remark::of_all(format!("{count} in the file left out, the first `{first}`")));
    }
    let Some(first) = notes.first() else { return Vec::new() };
    let mut placed: Vec<(Moment, LabelKind, String)> = found
        .into_iter()
        .map(|(at, slot, kind, text)| (near(at, slot, notes).max(first.onset), kind, text))
        .collect();
    placed.sort_by_key(|(at, ..)| *at);
    in_bars(tune, first.onset, placed)
}

/// Where what comes `at` stands: at the note that begins within half a `slot` of it, or else at the nearest slot.
fn near(at: Moment, slot: Duration, notes: &[Placed]) -> Moment {
    let after = notes.partition_point(|note| note.onset < at);
    let beside = notes[after.saturating_sub(1)..].iter().take(2).map(|note| note.onset);
    let away = |note: &Moment| (*note - at).max(at - *note);
    let (slots, _) = (at + slot.share(2)).since_start().divide(slot);
    let nearest = beside.min_by_key(away).filter(|note| away(note) <= slot.share(2));
    nearest.unwrap_or(Moment::START + slot.times(slots as u32))
}

/// `placed` in the bars of `tune`, the first of which begins at `start`; none after the last.
fn in_bars(tune: &Tune, mut start: Moment, placed: Vec<(Moment, LabelKind, String)>) -> Vec<Label> {
    let mut labels = Vec::with_capacity(placed.len());
    let mut bar = 0;
    for (at, kind, text) in placed {
        while tune.bars.get(bar + 1).is_some() && at >= start + tune.bars[bar].length {
            start += tune.bars[bar].length;
            bar += 1;
        }
        let onset = Moment::START + (at - start).min(tune.bars[bar].length);
        labels.push(Label { bar: BarId(bar as u32), onset, kind, text });
    }
    labels
}
