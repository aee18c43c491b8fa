//! One part's measures as they stand in the file.

use lope_tune::{Duration, Frame, LabelKind, Meter, Moment};
use roxmltree::Node;

use super::lyrics::Lyrics;
use super::measure::Measure;
use super::signs::{barline, metronome, swing};
use super::sound::sound;
use super::symbol::symbol;
use super::unread::Unread;
use super::xml::{child, number, text};
use crate::{Place, Remark};

/// What holds from one measure to the next.
pub struct Reader<'r> {
    /// The parts of a quarter note in which durations are given.
    divisions: i64,
    /// How many semitones the instrument sounds above what is written.
    transpose: i16,
    /// What is read.
    wanted: Wanted,
    /// Whether measures say again what the one before them says.
    again: bool,
    remarks: &'r mut Vec<Remark>,
    /// Whether other voices have been spoken of.
    others: bool,
    /// Whether a meter holds, or its absence has been spoken of.
    metered: bool,
    lyrics: Lyrics,
    unread: Unread,
    /// The byte of the file at which the measure at hand begins, and the line that is on.
    reached: (usize, u32),
}

/// What of a part is read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// Its first voice that has a note: the voice and the staff, once it is known.
    Voice(Option<(String, String)>),
    /// Every voice of a staff; of all where none is named.
    Staff(Option<String>),
}

impl<'r> Reader<'r> {
    /// A reader of what is `wanted` that adds to `remarks`.
    pub fn new(wanted: Wanted, remarks: &'r mut Vec<Remark>) -> Self {
        Self {
            divisions: 1,
            transpose: 0,
            wanted,
            again: false,
            remarks,
            others: false,
            metered: false,
            lyrics: Lyrics::default(),
            unread: Unread::default(),
            reached: (0, 1),
        }
    }

    /// Reads the measures of `part`, and says what in them is not read.
    pub fn measures(mut self, part: Node<'_, '_>) -> Vec<Measure> {
        let measures = part.children().filter(|node| node.has_tag_name("measure"));
        let measures = measures.map(|node| self.measure(node)).collect();
        self.remarks.extend(self.unread.remarks());
        measures
    }

    fn measure(&mut self, node: Node<'_, '_>) -> Measure {
        let number = node.attribute("number").unwrap_or("?").to_owned();
        let mut measure = Measure::at(Place { measure: number, line: self.line(node) });
        let mut now = Moment::START;
        for child in node.children().filter(Node::is_element) {
            match child.tag_name().name() {
                "attributes" => self.attributes(child, &mut measure),
                "note" => self.note(child, &mut measure, &mut now),
                "backup" => now = now - self.duration(child).min(now.since_start()),
                "forward" => now += self.duration(child),
                "barline" => {
                    barline(child, &mut measure);
                    if self::child(child, "fermata").is_some() {
                        self.unread.add(("fermata", "fermatas"), &measure.place);
                    }
                    self.unread.direction(child, &measure.place);
                }
                "harmony" => self.harmony(child, &mut measure, now),
                "figured-bass" => self.unread.add(("figured bass", "figured basses"), &measure.place),
                "direction" | "sound" => self.direction(child, &mut measure, now),
                _ => {}
            }
            // Rests that are not to be seen fill up measures that are meant to be short.
            let is_filler =
                child.attribute("print-object") == Some("no") && self::child(child, "rest").is_some();
            // In tablature, which nobody exports but to have it played, such a rest stands for the time that a
            // bar takes beyond what is written.
            measure.is_filled |= is_filler && matches!(self.wanted, Wanted::Staff(_));
            if child.has_tag_name("note") && !is_filler {
                measure.length = measure.length.max(now.since_start());
            }
        }
        measure.again = self.again;
        self.metered |= measure.meter.is_some();
        if !self.metered && measure.length > Duration::ZERO {
            let taken = Frame::default().meter;
            self.remark(&measure.place, format!("no meter is written, and {taken} is taken"));
            self.metered = true;
        }
        measure
    }

    fn attributes(&mut self, node: Node<'_, '_>, measure: &mut Measure) {
        if let Some(told) = text(node, "divisions") {
            match number(node, "divisions").filter(|divisions| (1..=LONGEST).contains(divisions)) {
                Some(divisions) => self.divisions = divisions,
                None => {
                    let text = format!(
                        "`{told}` divisions of a quarter note are not understood, and {} goes on",
                        self.divisions
                    );
                    self.remark(&measure.place, text);
                }
            }
        }
        if let Some(transpose) = child(node, "transpose") {
            let semitones = number(transpose, "chromatic").unwrap_or(0);
            let octaves = number(transpose, "octave-change").unwrap_or(0);
            self.transpose = i16::try_from((semitones + 12 * octaves).clamp(-60, 60)).unwrap_or(0);
        }
        if let Some(time) = child(node, "time") {
            let [beats, unit] = ["beats", "beat-type"].map(|name| text(time, name).unwrap_or_default());
            measure.meter = Meter::parse(&format!("{beats}/{unit}"));
            if measure.meter.is_none() && !beats.is_empty() {
                self.remark(
                    &measure.place,
                    format!("the meter {beats}/{unit} is not understood, and the one before goes on"),
                );
            }
        }
        if let Some(key) = child(node, "key")
            && let Some(fifths) = number(key, "fifths")
        {
            let mode = text(key, "mode").unwrap_or("major").to_owned();
            // What is written for an instrument that sounds elsewhere has the key of where it is written.
            let fifths = match self.transpose % 12 {
                0 => fifths.clamp(-7, 7),
                up => (fifths + 7 * i64::from(up) + 5).rem_euclid(12) - 5,
            };
            measure.key = Some((i8::try_from(fifths).unwrap_or(0), mode));
        }
        let repeats = node.descendants().find(|node| node.has_tag_name("measure-repeat"));
        if let Some(repeats) = repeats {
            self.again = repeats.attribute("type") == Some("start");
        }
    }

    fn note(&mut self, node: Node<'_, '_>, measure: &mut Measure, now: &mut Moment) {
        let is_grace = child(node, "grace").is_some();
        let length = if is_grace { Duration::ZERO } else { self.duration(node) };
        let is_chord = child(node, "chord").is_some();
        let onset = *now - if is_chord { length.min(now.since_start()) } else { Duration::ZERO };
        if !is_chord {
            *now += length;
        }
        let is_rest = child(node, "rest").is_some();
        if child(node, "cue").is_some() {
            return self.unread.add(("cue note", "cue notes"), &measure.place);
        }
        if is_rest && node.attribute("print-object") == Some("no") {
            return;
        }
        if !self.wants(node, is_rest, measure) {
            return;
        }
        self.unread.note(node, matches!(self.wanted, Wanted::Voice(_)), &measure.place);
        if let Some(sung) = self.lyrics.at(node) {
            measure.labels.push((onset, LabelKind::Words, sung));
        }
        if self.lyrics.has_others(node) {
            self.unread.add(("syllable of another verse", "syllables of other verses"), &measure.place);
        }
        match sound(node, onset, length, self.transpose) {
            Ok(sound) => measure.notes.push(sound),
            Err(why) => self.remark(&measure.place, why.to_owned()),
        }
    }

    /// Whether the note or rest at `node` is of what is read.
    fn wants(&mut self, node: Node<'_, '_>, is_rest: bool, measure: &Measure) -> bool {
        let [voice, staff] = ["voice", "staff"].map(|name| text(node, name).unwrap_or("1").to_owned());
        match &mut self.wanted {
            Wanted::Staff(wanted) => wanted.as_ref().is_none_or(|wanted| *wanted == staff),
            Wanted::Voice(None) if is_rest => false,
            Wanted::Voice(wanted) => {
                let wants = *wanted.get_or_insert_with(|| (voice.clone(), staff.clone())) == (voice, staff);
                if !wants && !is_rest && !std::mem::replace(&mut self.others, true) {
                    let text = "other voices begin here; only the first is read".to_owned();
                    self.remark(&measure.place, text);
                }
                wants
            }
        }
    }

    fn direction(&mut self, node: Node<'_, '_>, measure: &mut Measure, now: Moment) {
        let texts = |name: &'static str| {
            let named = node.descendants().filter(move |node| node.has_tag_name(name));
            named.filter_map(|node| node.text()).map(str::trim).filter(|text| !text.is_empty())
        };
        let words: Vec<&str> = texts("words").collect();
        if !words.is_empty() {
            measure.labels.push((now + self.offset(node), LabelKind::Words, words.join(" ")));
        }
        measure.asides.extend(texts("other-direction").map(str::to_owned));
        measure.name = texts("rehearsal").next().map(str::to_owned).or(measure.name.take());
        // What sounds counts quarters a minute, whatever beat is printed.
        let quarters = node.descendants().find_map(|node| node.attribute("tempo")?.parse::<f64>().ok());
        let quarters = quarters.map(|quarters| (quarters.round() as u32, Duration::new(1, 4)));
        let printed = node.descendants().find(|node| node.has_tag_name("metronome")).and_then(metronome);
        measure.tempo = printed.or(quarters).or(measure.tempo);
        measure.feel = node.descendants().find(|node| node.has_tag_name("swing")).map(swing).or(measure.feel);
        self.unread.direction(node, &measure.place);
    }

    /// Takes the chord symbol at `node`.
    fn harmony(&mut self, node: Node<'_, '_>, measure: &mut Measure, now: Moment) {
        let at = now + self.offset(node);
        match symbol(node, self.transpose) {
            Some(text) => measure.labels.push((at, LabelKind::Chord, text)),
            None => self.unread.add(("chord symbol", "chord symbols"), &measure.place),
        }
        if child(node, "degree").is_some()
            && child(node, "kind").is_some_and(|kind| kind.attribute("text").is_none())
        {
            self.unread.add(("addition to a chord symbol", "additions to chord symbols"), &measure.place);
        }
    }

    /// The line on which `node` begins, which comes after those that were asked for before: counted on from there, since
    /// to count it anew each time takes longer with every measure.
    fn line(&mut self, node: Node<'_, '_>) -> u32 {
        let (from, line) = self.reached;
        let start = node.range().start;
        let passed = node.document().input_text().as_bytes().get(from..start).unwrap_or_default();
        self.reached = (start, line + passed.iter().filter(|byte| **byte == b'\n').count() as u32);
        self.reached.1
    }

    /// How much later than where it stands `node` says it counts.
    fn offset(&self, node: Node<'_, '_>) -> Duration {
        let parts = number(node, "offset").unwrap_or(0).clamp(0, LONGEST);
        Duration::new(parts, 4 * self.divisions)
    }

    /// The time that `node` says it takes.
    fn duration(&self, node: Node<'_, '_>) -> Duration {
        let parts = number(node, "duration").unwrap_or(0).clamp(0, LONGEST);
        Duration::new(parts, 4 * self.divisions)
    }

    fn remark(&mut self, place: &Place, text: String) {
        let remark = Remark { place: Some(place.clone()), text };
        if self.remarks.last() != Some(&remark) {
            self.remarks.push(remark);
        }
    }
}

/// The longest time in divisions that is read, and the finest division: a guard against sums that overflow.
const LONGEST: i64 = 1 << 32;
