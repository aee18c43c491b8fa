//! What a score holds that a tune has no place for: counted as it is passed over, and told once for each kind.

use roxmltree::Node;

use super::signs::is_jump;
use crate::{Place, Remark};

/// What was passed over.
#[derive(Default)]
pub struct Unread {
    kinds: Vec<(Kind, usize, Place)>,
}

/// One thing of a kind, and several.
type Kind = (&'static str, &'static str);

impl Unread {
    /// Counts what is written at the note `node` and is not read: of a melody, or else of a tablature.
    pub fn note(&mut self, node: Node<'_, '_>, is_melody: bool, place: &Place) {
        for notation in node.children().filter(|node| node.has_tag_name("notations")).flat_map(elements) {
            let found = match notation.tag_name().name() {
                "ornaments" | "articulations" | "technical" => {
                    elements(notation)
                        .filter_map(|sign| beside(sign, is_melody))
                        .for_each(|kind| self.add(kind, place));
                    None
                }
                _ => around(notation, is_melody),
            };
            found.into_iter().for_each(|kind| self.add(kind, place));
        }
    }

    /// Counts what the direction at `node` says and is not read.
    pub fn direction(&mut self, node: Node<'_, '_>, place: &Place) {
        for sign in node.children().filter(|node| node.has_tag_name("direction-type")).flat_map(elements) {
            let kind = match sign.tag_name().name() {
                "dynamics" => ("dynamic", "dynamics"),
                "wedge" if is_start(sign) => ("swell", "swells"),
                "pedal"
                | "damp"
                | "damp-all"
                | "eyeglasses"
                | "harp-pedals"
                | "scordatura"
                | "percussion"
                | "accordion-registration"
                | "string-mute"
                | "image" => ("direction", "directions"),
                _ => continue,
            };
            self.add(kind, place);
        }
        if is_jump(node) {
            self.add(JUMP, place);
        }
    }

    /// Counts one of `kind` at `place`.
    pub fn add(&mut self, kind: Kind, place: &Place) {
        match self.kinds.iter_mut().find(|(known, ..)| *known == kind) {
            Some((_, count, _)) => *count += 1,
            None => self.kinds.push((kind, 1, place.clone())),
        }
    }

    /// What was passed over, each kind with the first place of it.
    pub fn remarks(self) -> impl Iterator<Item = Remark> {
        self.kinds.into_iter().map(|(kind, count, place)| {
            let text = match (kind, count) {
                (JUMP, _) => {
                    "a jump to another place is not followed: write the order of the parts into the tune"
                        .to_owned()
                }
                ((one, _), 1) => format!("1 {one} left out"),
                ((_, several), _) => format!("{count} {several} left out, the first here"),
            };
            Remark { place: Some(place), text }
        })
    }
}

/// Da capo, dal segno, coda and fine.
const JUMP: Kind = ("jump", "jumps");

/// What a sign beside a note is, where it is not read.
fn beside(sign: Node<'_, '_>, is_melody: bool) -> Option<Kind> {
    let name = sign.tag_name().name();
    Some(match name {
        "trill-mark" => ("trill", "trills"),
        "turn"
        | "delayed-turn"
        | "inverted-turn"
        | "delayed-inverted-turn"
        | "vertical-turn"
        | "inverted-vertical-turn" => ("turn", "turns"),
        "mordent" | "inverted-mordent" => ("mordent", "mordents"),
        "tremolo" => ("tremolo", "tremolos"),
        "accidental-mark" => return None,
        "wavy-line" => return is_start(sign).then_some(("wavy line", "wavy lines")).filter(|_| is_melody),
        "shake" | "schleifer" | "haydn" | "other-ornament" => ("ornament", "ornaments"),
        "accent" | "strong-accent" if is_melody => ("accent", "accents"),
        "accent" | "strong-accent" => return None,
        "staccato" | "tenuto" | "detached-legato" | "staccatissimo" | "spiccato" | "stress" | "unstress"
        | "soft-accent" => ("mark of how a note is held", "marks of how notes are held"),
        "breath-mark" | "caesura" => ("breath", "breaths"),
        "scoop" | "plop" | "doit" | "falloff" | "other-articulation" => ("articulation", "articulations"),
        "string" | "fret" | "fingering" | "pluck" | "hammer-on" | "pull-off" | "bend" if !is_melody => {
            return None;
        }
        "hammer-on" | "pull-off" if !is_start(sign) => return None,
        "fret" => return None,
        "string" => ("place on a neck", "places on a neck"),
        "fingering" => ("fingering", "fingerings"),
        _ => ("sign for a hand", "signs for hands"),
    })
}

/// What a notation around a note is, where it is not read.
fn around(notation: Node<'_, '_>, is_melody: bool) -> Option<Kind> {
    match notation.tag_name().name() {
        "fermata" => Some(("fermata", "fermatas")),
        "dynamics" => Some(("dynamic", "dynamics")),
        "slur" if is_melody && is_start(notation) => Some(("slur", "slurs")),
        "glissando" | "slide" if is_melody && is_start(notation) => Some(("slide", "slides")),
        "arpeggiate" | "non-arpeggiate" if is_melody => Some(("broken chord", "broken chords")),
        _ => None,
    }
}

fn is_start(node: Node<'_, '_>) -> bool {
    !matches!(node.attribute("type"), Some("stop" | "continue"))
}

fn elements<'a, 'i>(node: Node<'a, 'i>) -> impl Iterator<Item = Node<'a, 'i>> {
    node.children().filter(Node::is_element)
}
