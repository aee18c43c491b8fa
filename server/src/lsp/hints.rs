//! Hints shown within the text.

use lope_desk::{Entry, Hint, HintKinds};
use serde::{Deserialize, Serialize};
use tower_lsp::lsp_types::{
    InlayHint, InlayHintKind, InlayHintLabel, InlayHintLabelPart, InlayHintTooltip, Location, Range, Url,
};

use super::snapshot::View;

/// What is kept with a hint so that what else there is to say of it can be said later.
#[derive(Serialize, Deserialize)]
struct Later {
    uri: Url,
    /// Where it stands, in bytes from the start of the file.
    at: usize,
}

/// The hints of the `kinds` in a range of the file.
pub fn hints(view: View<'_>, range: Range, kinds: HintKinds) -> Vec<InlayHint> {
    let bytes = view.bytes(range);
    let entries = view.page().entries().skip_while(|entry| entry.bytes_of_all().end < bytes.start);
    let entries = entries.take_while(|entry| entry.offset <= bytes.end);
    let hints = entries.flat_map(|entry| {
        let hints = entry.reading.hints(entry.span_in(&bytes), kinds);
        hints.into_iter().map(move |hint| protocol(view, entry, &hint))
    });
    hints.collect()
}

fn protocol(view: View<'_>, entry: Entry<'_>, hint: &Hint) -> InlayHint {
    let at = entry.offset + hint.at as usize;
    let mut shown = InlayHint {
        position: view.range(at..at).start,
        label: InlayHintLabel::String(hint.text.clone()),
        kind: Some(InlayHintKind::PARAMETER),
        text_edits: None,
        tooltip: None,
        padding_left: Some(!hint.before),
        padding_right: Some(hint.before),
        data: None,
    };
    if hint.has_more() && view.features.resolves_hints {
        shown.data = serde_json::to_value(Later { uri: view.url.clone(), at }).ok();
    } else {
        tell(view, entry, hint, &mut shown);
    }
    shown
}

/// Adds to `shown` what else there is to say of `hint`.
fn tell(view: View<'_>, entry: Entry<'_>, hint: &Hint, shown: &mut InlayHint) {
    let Some((words, place)) = entry.reading.explain_hint(hint) else { return };
    shown.tooltip = Some(InlayHintTooltip::String(words));
    if let Some(place) = place {
        let location = Some(Location::new(view.url.clone(), view.range(entry.bytes(place))));
        let part = InlayHintLabelPart { value: hint.text.clone(), location, ..InlayHintLabelPart::default() };
        shown.label = InlayHintLabel::LabelParts(vec![part]);
    }
}

/// The file of a hint of which there is more to say, if it is one of ours.
pub fn to_resolve(hint: &InlayHint) -> Option<Url> {
    serde_json::from_value::<Later>(hint.data.clone()?).ok().map(|later| later.uri)
}

/// `shown` with what else there is to say of it; as it is where the text has become another meanwhile.
pub fn resolve(view: View<'_>, mut shown: InlayHint) -> InlayHint {
    let later = shown.data.take().and_then(|later| serde_json::from_value::<Later>(later).ok());
    let Some(later) = later else { return shown };
    let Some(entry) = view.page().entry_at(later.at) else { return shown };
    let here = entry.span_in(&(later.at..later.at));
    let hints = entry.reading.hints(here, HintKinds::ALL);
    let same =
        hints.iter().find(|hint| matches!(&shown.label, InlayHintLabel::String(text) if *text == hint.text));
    if let Some(hint) = same {
        tell(view, entry, hint, &mut shown);
    }
    shown
}
