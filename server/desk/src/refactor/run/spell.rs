use lope_arrange::run::{Passage, Triplets};
use lope_syntax::{Span, TokenKind};
use lope_tune::{Duration, spell_note};

use crate::refactor::scene::Scene;

/// `run` in braces over `over` slots, to stand in the place of `span`, which takes the time of `passage`.
/// Words and chord symbols of `span` stay, above the slot at their moment or the next; its comments and line
/// breaks come after the run.
pub fn spell(scene: &Scene<'_>, span: Span, passage: &Passage, over: u32, run: &Triplets) -> String {
    let slot = passage.length.share(run.notes.len() as u32);
    let labels = labels(scene, span, passage, slot);
    let above = |number: usize| {
        labels.iter().filter(move |(slot, _)| *slot == number).map(|(_, label)| format!("{label} "))
    };
    let mut text = "{".to_owned();
    for (number, note) in run.notes.iter().enumerate() {
        text.push_str(match number {
            0 => "",
            _ if number.is_multiple_of(3) => "  ",
            _ => " ",
        });
        text.extend(above(number));
        text.push_str(&spell_note(note));
    }
    for (_, label) in labels.iter().filter(|(slot, _)| *slot >= run.notes.len()) {
        text.push_str(&format!(" {label}"));
    }
    text.push('}');
    if over > 1 {
        text.push_str(&format!("/{over}"));
    }
    for token in scene.tokens_in(span) {
        match token.kind {
            TokenKind::Comment => text.push_str(&format!("  {}", token.span.of(scene.text()).trim_end())),
            TokenKind::LineBreak => text.push_str(token.span.of(scene.text())),
            _ => {}
        }
    }
    text
}

/// The words and chord symbols in `span`, each with the slot of the run above which it stands.
fn labels<'r>(scene: &Scene<'r>, span: Span, passage: &Passage, slot: Duration) -> Vec<(usize, &'r str)> {
    let slots = &scene.music.source.slots;
    let tokens = scene.tokens_in(span).iter();
    let labels = tokens.filter(|token| matches!(token.kind, TokenKind::Words | TokenKind::Chord));
    let placed = labels.map(|label| {
        let next = slots.get(slots.partition_point(|slot| slot.span.start < label.span.start));
        let within = next.filter(|next| next.span.end <= span.end);
        let since = within.map_or(passage.length, |next| next.onset - passage.start);
        let (before, rest) = since.divide(slot);
        let number = before + i64::from(rest != Duration::ZERO);
        (usize::try_from(number).unwrap_or_default(), label.span.of(scene.text()))
    });
    placed.collect()
}
