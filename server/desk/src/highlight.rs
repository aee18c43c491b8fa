use lope_hand::{Fell, Thumb};
use lope_rules::Music;
use lope_syntax::Span;
use lope_tune::{EventId, EventKind, How, NoteId, Slot, Stroke};

use crate::{Entry, Page, Reading};

/// A place that belongs with the one under the cursor, in bytes from the start of its tune's text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Highlight {
    /// Where it is.
    pub span: Span,
    /// Whether something begins here that the others rest on: a name is given, a string set sounding, the
    /// thumb planted.
    pub begins: bool,
}

impl Page {
    /// What belongs with the text at `offset`, in bytes from the start of the file, that text included:
    ///
    /// - with the name of a part or phrase, everywhere it is given and used;
    /// - with a thumb note, the fall that planted the thumb;
    /// - with another note, the notes on its strings in its bar;
    /// - with a hold, the notes it lets ring.
    pub fn highlights(&self, offset: usize) -> Option<(Entry<'_>, Vec<Highlight>)> {
        let entry = self.entry_at(offset)?;
        let at = u32::try_from(offset - entry.offset).ok()?;
        let names = || {
            let naming = entry.reading.naming(at)?;
            let uses = naming.uses.iter();
            Some(uses.map(|place| Highlight { span: place.span, begins: place.gives }).collect())
        };
        Some((entry, names().or_else(|| entry.reading.sounding_with(at))?))
    }
}

impl Reading {
    /// What sounds with the slot at `at`.
    fn sounding_with(&self, at: u32) -> Option<Vec<Highlight>> {
        let music = self.music();
        let slot = slot_at(&music.source.slots, at)?;
        let event = music.event(slot.event);
        let starts = music.event_span(slot.event) == slot.span;
        match event.kind {
            EventKind::Silence => None,
            EventKind::Notes if starts => {
                let touched = notes_of(&music, slot.event).filter(|note| music.note_span(*note).touches(at));
                // On the bracket of a brush: all of its notes.
                let touched: Vec<NoteId> = match touched.last() {
                    Some(note) => vec![note],
                    None => notes_of(&music, slot.event).collect(),
                };
                Some(match touched[..] {
                    [note] if music.note(note).how == How::Thumb => with_thumb(&music, note),
                    _ => on_strings_of(&music, &touched, slot.event),
                })
            }
            _ => Some(with_holds(&music, slot.event)),
        }
    }
}

/// The slot at `at`; of two that touch there, the one that starts.
pub fn slot_at(slots: &[Slot], at: u32) -> Option<&Slot> {
    let after = slots.partition_point(|slot| slot.span.start <= at);
    slots[..after].last().filter(|slot| slot.span.touches(at))
}

fn notes_of(music: &Music, event: EventId) -> impl Iterator<Item = NoteId> + use<> {
    music.event(event).notes.clone().map(NoteId)
}

/// The notes in the bar of `event` on the strings of `notes`: slurs rest on what sounded before them.
fn on_strings_of(music: &Music, notes: &[NoteId], event: EventId) -> Vec<Highlight> {
    let strings: Vec<u8> = notes.iter().map(|note| music.note(*note).string).collect();
    let bar = &music.tune.bars[music.bar_of(event).index()];
    let in_bar = bar.events.clone().map(EventId).flat_map(|event| notes_of(music, event));
    let same = in_bar.filter(|note| strings.contains(&music.note(*note).string));
    let highlight = |note| Highlight { span: music.note_span(note), begins: !music.note(note).how.is_slur() };
    same.map(highlight).collect()
}

/// The thumb note `note` after the fall that planted the thumb.
fn with_thumb(music: &Music, note: NoteId) -> Vec<Highlight> {
    let thumb = music.hand.thumb(note);
    let plant = thumb.and_then(|thumb| plant_span(music, thumb));
    let plant = plant.map(|span| Highlight { span, begins: true });
    plant.into_iter().chain([Highlight { span: music.note_span(note), begins: false }]).collect()
}

/// The slot in which the hand fell that planted the thumb for `thumb`.
fn plant_span(music: &Music, thumb: &Thumb) -> Option<Span> {
    let plant = thumb.plant?;
    match plant.strike {
        Some(strike) => Some(music.event_span(strike)),
        // The last fall on air before the note: a silence, or a hold where the gait has a fall.
        None if plant.same_bar => {
            let bar = music.bar_of(thumb.event);
            let first = music.source.bars[bar.index()].slots.start;
            let before = music.source.slots.get(first as usize..)?;
            let until = music.source.events[thumb.event.index()] - first;
            let before = before.get(..until as usize)?.iter();
            before.rev().find(|slot| falls_on_air(music, slot)).map(|slot| slot.span)
        }
        None => None,
    }
}

fn falls_on_air(music: &Music, slot: &Slot) -> bool {
    if music.event_span(slot.event) == slot.span {
        return music.hand.motion(slot.event).fell == Fell::Air;
    }
    let bar = &music.tune.bars[music.bar_of(slot.event).index()];
    music.tune.frame(bar).gait.at(slot.onset + bar.lead).0 == Stroke::Fall
}

/// The first slot of `event`, and the holds that let it ring.
fn with_holds(music: &Music, event: EventId) -> Vec<Highlight> {
    let first = music.source.events[event.index()] as usize;
    let slots = music.source.slots[first..].iter().take_while(|slot| slot.event == event);
    let is_note = music.event(event).kind == EventKind::Notes;
    let highlight = |(at, slot): (usize, &Slot)| Highlight { span: slot.span, begins: at == 0 && is_note };
    slots.enumerate().map(highlight).collect()
}

#[cfg(test)]
mod tests {
    use crate::testing::Fixture;

    /// What belongs with the text at the cursor: with `=` where something begins.
    #[track_caller]
    fn check(meter: &str, music: &str, expected: &str) {
        let head = format!("tune: 🎵\nmeter: {meter}\npart A\n");
        let fixture = Fixture::new(&format!("{head}{music}\n"));
        let (entry, highlights) = fixture.page.highlights(fixture.at).unwrap();
        let shown =
            highlights.iter().map(|it| (entry.bytes(it.span), if it.begins { "=" } else { "" }.to_owned()));
        assert_eq!(fixture.show(shown)[head.len()..].trim_end(), expected);
    }

    #[test]
    fn a_note_belongs_with_those_on_its_string_in_its_bar() {
        check(
            "6/8",
            "| $02:1! t h3  3:0 [2:0 1:0] - | 2:1 |",
            "| «2:1!=» t «h3»  3:0 [«2:0=» 1:0] - | 2:1 |",
        );
        check("6/8", "| 2:1 t 1:3  3:0 $0[2:0 1:0] - |", "| «2:1=» t «1:3=»  3:0 [«2:0=» «1:0=»] - |");
        check("6/8", "| 2:1 t 1:3  3:0 [2:0 1$0:0] - |", "| 2:1 t «1:3=»  3:0 [2:0 «1:0=»] - |");
    }

    #[test]
    fn a_thumb_note_belongs_with_the_fall_that_planted_it() {
        check("6/8", "| 2:1 $0t 1:3  3:0 t - |", "| «2:1=» «t» 1:3  3:0 t - |");
        check("6/8", "| 2:1 h3 $0t |", "| «2:1=» h3 «t» |");
        check("4/4", "| 2:1 t _ $0t |", "| 2:1 t «_=» «t» |");
        check("4/4", "| 2:1-- $0t2:0 |", "| 2:1-«-=» «t2:0» |");
        check("4/4", "| $0t 2:1 |", "| «t» 2:1 |");
    }

    #[test]
    fn a_hold_belongs_with_what_it_lets_ring() {
        check("6/8", "| 2:1- $0- 3:0 - - | - |", "| «2:1=»«-» «-» 3:0 - - | - |");
        check("6/8", "| 2:1 - - 3:0 - - | -$0 - |", "| 2:1 - - 3:0 - - | «-» «-» |");
    }

    #[test]
    fn a_name_belongs_with_all_its_uses() {
        check("6/8", "| @li$0ck |\nphrase lick\n1:0 |", "| @«lick» |\nphrase «lick=»\n1:0 |");
    }

    #[test]
    fn silence_and_words_belong_with_nothing() {
        for marked in
            ["tune: T\npart A\n| $0_ |\n", "tune: T\npart A\n| \"wo$0rds\" 1:0 |\n", "tu$0ne: T\n", ""]
        {
            let fixture = Fixture::new(marked);
            assert!(fixture.page.highlights(fixture.at).is_none(), "{marked}");
        }
    }
}
