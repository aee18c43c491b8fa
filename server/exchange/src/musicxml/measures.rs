//! One part's measures as they stand in the file.

use lope_tune::{Duration, LabelKind, Meter, Moment, Pitch, natural};
use roxmltree::Node;

use crate::{Place, Remark};

/// A measure.
#[derive(Clone, Debug)]
pub struct Measure {
    /// Where it stands.
    pub place: Place,
    /// The meter, where it changes here.
    pub meter: Option<Meter>,
    /// The key signature in sharps, negative for flats, and the mode's name.
    pub key: Option<(i8, String)>,
    /// Beats a minute, where it changes here, and what one beat is.
    pub tempo: Option<u32>,
    /// The notes of its first voice.
    pub notes: Vec<Sound>,
    /// Words and chord symbols above it.
    pub labels: Vec<(Moment, LabelKind, String)>,
    /// The time it takes.
    pub length: Duration,
    /// Whether a repeated stretch begins here.
    pub forward: bool,
    /// How often the stretch that ends here is played, where it is repeated.
    pub backward: Option<u32>,
    /// Whether a double or final bar line stands at its end, or at the start of the next.
    pub double: bool,
    /// The passes of the ending that begins here.
    pub ending: Option<Vec<u32>>,
    /// Whether an ending ends here.
    pub ending_stops: bool,
}

/// A note of a measure.
#[derive(Clone, Copy, Debug)]
pub struct Sound {
    /// When it begins, from the start of the measure.
    pub onset: Moment,
    /// How long it lasts; nothing for a grace note.
    pub length: Duration,
    /// What it sounds.
    pub pitch: Pitch,
    /// Whether it goes on from the one before.
    pub tied: bool,
}

/// What holds from one measure to the next.
pub struct Reader<'r> {
    /// The parts of a quarter note in which durations are given.
    divisions: i64,
    /// How many semitones the instrument sounds above what is written.
    transpose: i16,
    /// The voice and staff that are read: the first that has a note.
    voice: Option<(String, String)>,
    remarks: &'r mut Vec<Remark>,
    /// Whether other voices have been spoken of.
    others: bool,
}

impl<'r> Reader<'r> {
    /// A reader that adds to `remarks`.
    pub const fn new(remarks: &'r mut Vec<Remark>) -> Self {
        Self { divisions: 1, transpose: 0, voice: None, remarks, others: false }
    }

    /// Reads the measure at `node`.
    pub fn measure(&mut self, node: Node<'_, '_>) -> Measure {
        let mut measure = Measure {
            place: Place { measure: node.attribute("number").unwrap_or("?").to_owned(), line: line(node) },
            meter: None,
            key: None,
            tempo: None,
            notes: Vec::new(),
            labels: Vec::new(),
            length: Duration::ZERO,
            forward: false,
            backward: None,
            double: false,
            ending: None,
            ending_stops: false,
        };
        let mut now = Moment::START;
        for child in node.children().filter(Node::is_element) {
            match child.tag_name().name() {
                "attributes" => self.attributes(child, &mut measure),
                "note" => self.note(child, &mut measure, &mut now),
                "backup" => now = now - self.duration(child).min(now.since_start()),
                "forward" => now += self.duration(child),
                "barline" => barline(child, &mut measure),
                "harmony" => measure.labels.extend(chord(child).map(|text| (now, LabelKind::Chord, text))),
                "direction" | "sound" => self.direction(child, &mut measure, now),
                _ => {}
            }
            // Rests that are not to be seen fill up measures that are meant to be short.
            let is_filler =
                child.attribute("print-object") == Some("no") && self::child(child, "rest").is_some();
            if child.has_tag_name("note") && !is_filler {
                measure.length = measure.length.max(now.since_start());
            }
        }
        measure
    }

    fn attributes(&mut self, node: Node<'_, '_>, measure: &mut Measure) {
        if let Some(divisions) = number(node, "divisions").filter(|divisions| *divisions > 0) {
            self.divisions = divisions;
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
            measure.key = Some((i8::try_from(fifths.clamp(-7, 7)).unwrap_or(0), mode));
        }
    }

    fn note(&mut self, node: Node<'_, '_>, measure: &mut Measure, now: &mut Moment) {
        let grace = child(node, "grace").is_some();
        let length = if grace { Duration::ZERO } else { self.duration(node) };
        let onset = *now;
        let is_chord = child(node, "chord").is_some();
        if !is_chord {
            *now += length;
        }
        if child(node, "cue").is_some() || child(node, "rest").is_some() {
            return;
        }
        let Some(pitch) = child(node, "pitch").and_then(|pitch| self.pitch(pitch)) else {
            return self.remark(&measure.place, "a note without a pitch is left out".to_owned());
        };
        let voice =
            (text(node, "voice").unwrap_or("1").to_owned(), text(node, "staff").unwrap_or("1").to_owned());
        if *self.voice.get_or_insert_with(|| voice.clone()) != voice {
            if !self.others {
                self.others = true;
                self.remark(&measure.place, "other voices begin here; only the first is read".to_owned());
            }
            return;
        }
        let tied =
            node.children().any(|tie| tie.has_tag_name("tie") && tie.attribute("type") == Some("stop"));
        let sound = Sound { onset, length, pitch, tied };
        match measure.notes.last_mut() {
            Some(last) if is_chord => {
                self.remark(
                    &measure.place,
                    "of notes struck together the highest is taken for the melody".to_owned(),
                );
                last.pitch = last.pitch.max(pitch);
            }
            _ => measure.notes.push(sound),
        }
    }

    fn pitch(&self, node: Node<'_, '_>) -> Option<Pitch> {
        let mut step = text(node, "step")?.chars();
        let natural = natural(step.next()?).filter(|_| step.next().is_none())?;
        let alter: i16 = text(node, "alter").map_or(Some(0), |alter| alter.parse().ok())?;
        let octave: i16 = text(node, "octave")?.parse().ok().filter(|octave| (0..=9).contains(octave))?;
        let pitch = 12 * (octave + 1) + i16::from(natural) + alter.clamp(-3, 3) + self.transpose;
        u8::try_from(pitch).ok().filter(|pitch| *pitch < 128).map(Pitch)
    }

    fn direction(&mut self, node: Node<'_, '_>, measure: &mut Measure, now: Moment) {
        let words =
            node.descendants().filter(|node| node.has_tag_name("words")).filter_map(|node| node.text());
        let words: Vec<&str> = words.map(str::trim).filter(|words| !words.is_empty()).collect();
        if !words.is_empty() {
            measure.labels.push((now, LabelKind::Words, words.join(" ")));
        }
        // What sounds counts quarters a minute, whatever beat is printed.
        let quarters = node.descendants().find_map(|node| node.attribute("tempo")?.parse::<f64>().ok());
        let printed = node.descendants().find(|node| node.has_tag_name("metronome")).and_then(metronome);
        measure.tempo = printed.or(quarters.map(|quarters| quarters as u32)).or(measure.tempo);
        if node.attribute("dacapo").is_some() || node.attribute("dalsegno").is_some() {
            self.remark(
                &measure.place,
                "a jump back is not followed: write the order of the parts".to_owned(),
            );
        }
    }

    /// The time that `node` says it takes.
    fn duration(&self, node: Node<'_, '_>) -> Duration {
        let parts = number(node, "duration").unwrap_or(0).clamp(0, 1 << 24);
        Duration::new(parts, 4 * self.divisions)
    }

    fn remark(&mut self, place: &Place, text: String) {
        let remark = Remark { place: Some(place.clone()), text };
        if self.remarks.last() != Some(&remark) {
            self.remarks.push(remark);
        }
    }
}

/// Quarters a minute, of a printed metronome mark.
fn metronome(node: Node<'_, '_>) -> Option<u32> {
    let beats: u32 = text(node, "per-minute")?.trim().parse().ok()?;
    let (num, den) = match text(node, "beat-unit")? {
        "whole" => (4, 1),
        "half" => (2, 1),
        "quarter" => (1, 1),
        "eighth" => (1, 2),
        "16th" => (1, 4),
        _ => return None,
    };
    let (num, den) = if child(node, "beat-unit-dot").is_some() { (num * 3, den * 2) } else { (num, den) };
    Some(beats * num / den)
}

fn barline(node: Node<'_, '_>, measure: &mut Measure) {
    if let Some(repeat) = child(node, "repeat") {
        match repeat.attribute("direction") {
            Some("forward") => measure.forward = true,
            _ => {
                let times = repeat.attribute("times").and_then(|times| times.parse().ok());
                measure.backward = Some(times.unwrap_or(2).clamp(2, 99));
            }
        }
    }
    if let Some(ending) = child(node, "ending") {
        if ending.attribute("type") == Some("start") {
            let passes = ending.attribute("number").unwrap_or("1").split([',', ' ']);
            measure.ending = Some(passes.filter_map(|pass| pass.trim().parse().ok()).collect());
        } else {
            measure.ending_stops = true;
        }
    }
    let is_right = node.attribute("location") != Some("left");
    measure.double |= is_right && matches!(text(node, "bar-style"), Some("light-light" | "light-heavy"));
}

/// A chord symbol as text: `F#m7`, `D/A`.
fn chord(node: Node<'_, '_>) -> Option<String> {
    let note = |of: &str| {
        let root = child(node, of)?;
        let mark = match number(root, &format!("{of}-alter")).unwrap_or(0) {
            1 => "#",
            -1 => "b",
            _ => "",
        };
        Some(format!("{}{mark}", text(root, &format!("{of}-step"))?))
    };
    let kind = child(node, "kind")?;
    let suffix = kind.attribute("text").map(str::to_owned).or_else(|| {
        Some(
            match kind.text()?.trim() {
                "major" | "none" => "",
                "minor" => "m",
                "dominant" => "7",
                "major-seventh" => "maj7",
                "minor-seventh" => "m7",
                "diminished" => "dim",
                "augmented" => "aug",
                "suspended-fourth" => "sus4",
                "suspended-second" => "sus2",
                "major-sixth" => "6",
                _ => "",
            }
            .to_owned(),
        )
    })?;
    let bass = note("bass").map_or(String::new(), |bass| format!("/{bass}"));
    Some(format!("{}{suffix}{bass}", note("root")?))
}

/// The line of the file that `node` begins on, from 1.
pub fn line(node: Node<'_, '_>) -> u32 {
    node.document().text_pos_at(node.range().start).row
}

/// The first child of `node` called `name`.
pub fn child<'a, 'i>(node: Node<'a, 'i>, name: &str) -> Option<Node<'a, 'i>> {
    node.children().find(|child| child.has_tag_name(name))
}

/// The text of the first child of `node` called `name`, without blanks around it.
pub fn text<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    child(node, name)?.text().map(str::trim)
}

fn number(node: Node<'_, '_>, name: &str) -> Option<i64> {
    text(node, name)?.parse().ok()
}
