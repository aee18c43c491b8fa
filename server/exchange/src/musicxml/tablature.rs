//! A tablature as it is written.

mod neck;

use lope_tune::{BarId, Duration, SectionKind, Tune};
use roxmltree::Node;

use super::document::{self, header};
use super::measure::Measure;
use super::measures::{Reader, Wanted};
use super::skeleton::{Placed, Skeleton};
use super::write::SOFTWARE;
use super::xml::{child, number, text};
use crate::remark::gathered;
use crate::tab::{Events, Hands, Strings};
use crate::{ReadError, Tab};
use neck::strings;

/// Reads the tablature of a MusicXML file, compressed or not: of its first part with a tablature staff, that
/// staff, with all its voices in one row.
///
/// # Errors
/// When it is not partwise MusicXML, or has no tablature for five strings.
pub fn read_tab(bytes: &[u8]) -> Result<Tab, ReadError> {
    document::with(bytes, |root| {
        let has_tab = |part: Node<'_, '_>| part.descendants().any(is_fretted);
        let (part, mut remarks) = document::part(root, has_tab).map_err(|_| ReadError {
            line: None,
            text: "there is no tablature in this score: without --as-written it is read as a melody"
                .to_owned(),
        })?;
        let strings = strings(part, &mut remarks)?;
        let measures = Reader::new(Wanted::Staff(staff(part)), &mut remarks).measures(part);
        let Skeleton { mut tune, placed, .. } = Skeleton::of(&measures, &mut remarks);
        tune.header = header(root);
        (tune.header.tuning, tune.header.capo) = (strings.tuning, strings.capo);
        let says_thumb = is_ours(root) || part.descendants().any(|node| node.has_tag_name("pluck"));
        let hands = Hands::new(says_thumb, &mut remarks);
        fill(&mut tune, &placed, &measures, &strings, hands);
        Ok(Tab { tune, remarks: gathered(remarks) })
    })
}

/// Whether `node` is a note with a string and a fret.
fn is_fretted(node: Node<'_, '_>) -> bool {
    node.has_tag_name("technical") && child(node, "string").is_some() && child(node, "fret").is_some()
}

/// Whether the score is one that [`super::write`] wrote, which marks every note of the thumb.
fn is_ours(root: Node<'_, '_>) -> bool {
    root.descendants().any(|node| node.has_tag_name("software") && node.text() == Some(SOFTWARE))
}

/// The staff of `part` that is tablature, where it has several.
fn staff(part: Node<'_, '_>) -> Option<String> {
    let several = part.descendants().any(|node| node.has_tag_name("staves"));
    let fretted = part.descendants().find(|node| is_fretted(*node))?;
    let note = fretted.ancestors().find(|node| node.has_tag_name("note"))?;
    several.then(|| text(note, "staff").unwrap_or("1").to_owned())
}

fn fill(tune: &mut Tune, placed: &[Placed], measures: &[Measure], strings: &Strings, mut hands: Hands<'_>) {
    let mut events = Events::default();
    let mut placed = placed.iter().peekable();
    for at in 0..tune.bars.len() {
        let id = BarId(at as u32);
        if let Some(before) = before_ending(tune, id) {
            (hands.fingered, events.sounding) =
                before.and_then(|before| events.left.get(&before.0).copied()).unwrap_or_default();
        }
        let mut sounds = Vec::new();
        let mut again = false;
        while let Some(place) = placed.next_if(|place| place.bar == id) {
            let measure = &measures[place.measure];
            again = measure.again && place.after == Duration::ZERO;
            sounds.extend(measure.notes.iter().map(|sound| {
                let mut sound = sound.clone();
                sound.onset += place.after;
                (sound, &measure.place)
            }));
        }
        events.bar(tune, id, sounds, strings, &mut hands);
        let last = before_ending(tune, id).flatten().or_else(|| at.checked_sub(1).map(|at| BarId(at as u32)));
        if again && last.is_some_and(|last| events.are_the_same(tune, last, id)) {
            events.repeat(tune, id);
        }
        events.left.insert(id.0, (hands.fingered, events.sounding));
    }
    hands.tell(strings);
}

/// Where `bar` opens an ending, the last bar of its part.
fn before_ending(tune: &Tune, bar: BarId) -> Option<Option<BarId>> {
    let section =
        tune.sections.iter().find(|section| section.bars.start == bar.0 && !section.bars.is_empty())?;
    let SectionKind::Ending { of, .. } = section.kind else { return None };
    let body = &tune.sections[of.index()].bars;
    Some((!body.is_empty()).then(|| BarId(body.end - 1)))
}

#[cfg(test)]
mod tests;
