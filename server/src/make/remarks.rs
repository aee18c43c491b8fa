//! Findings as remarks beside the bars of a sheet.

use lope_desk::{About, Finding, Reading, Span};
use lope_sheet::Remark;
use lope_tune::{BarId, EventId, NoteId};

/// Every finding of `reading` that is about a bar, or stands in the text of one.
pub fn remarks(reading: &Reading) -> Vec<Remark> {
    reading.findings().iter().filter_map(|finding| remark(reading, finding)).collect()
}

/// `finding`, one of `reading`'s, where it is about a bar, or stands in the text of one.
pub fn remark(reading: &Reading, finding: &Finding) -> Option<Remark> {
    let (bar, event) = place(reading, finding)?;
    Some(Remark { bar, event, text: finding.message.clone() })
}

fn place(reading: &Reading, finding: &Finding) -> Option<(BarId, Option<EventId>)> {
    let event = match finding.about {
        About::Bar(bar) => return Some((bar, None)),
        About::Text => return Some((bar_at(reading, finding.span)?, None)),
        About::Event(event) => event,
        About::Note(note) => event_of(reading, note)?,
    };
    Some((bar_of(reading, event)?, Some(event)))
}

/// The event that `note` is struck in.
fn event_of(reading: &Reading, note: NoteId) -> Option<EventId> {
    let events = &reading.tune().events;
    let at = events.partition_point(|event| event.notes.end <= note.0);
    Some(EventId(u32::try_from(at).ok()?)).filter(|event| event.index() < events.len())
}

fn bar_of(reading: &Reading, event: EventId) -> Option<BarId> {
    let at = reading.tune().bars.iter().position(|bar| bar.events.contains(&event.0))?;
    Some(BarId(u32::try_from(at).ok()?))
}

/// The bar in whose text, bar line and all, `span` begins.
fn bar_at(reading: &Reading, span: Span) -> Option<BarId> {
    let bars = &reading.written().source.bars;
    let at = bars.iter().position(|bar| (bar.span.start..=bar.close.end).contains(&span.start))?;
    Some(BarId(u32::try_from(at).ok()?))
}
