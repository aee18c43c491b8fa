//! A tune as a MusicXML score.
//!
//! [`layout`] finds its measures and bar lines, [`sounding`] what sounds in them and what leads to what,
//! [`rhythm`] the note values and tuplets, and [`measure`] and [`note`] write it with [`xml`].

mod layout;
mod measure;
mod note;
mod rhythm;
mod sounding;
mod symbol;
mod xml;

use lope_tune::{Duration, Moment, Tune};

use crate::Remark;
use layout::Measure;
use measure::Scribe;
use sounding::Sounding;
use xml::Xml;

/// What a score of ours says it was written by.
pub const SOFTWARE: &str = "Lope";

/// A score, and what of the tune it does not say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Score {
    /// The text of the file.
    pub text: String,
    /// What was changed or left out.
    pub remarks: Vec<Remark>,
}

/// A staff of the score.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Staff {
    /// Five lines for five strings, with frets on them.
    Tablature,
    /// What sounds, as notes.
    Notes,
}

/// Writes `tune` on `staves`, from the highest to the lowest; none where no bar of it is played.
pub fn write(tune: &Tune, staves: &[Staff]) -> Option<Score> {
    let mut remarks = Vec::new();
    let measures = layout::measures(tune, &mut remarks);
    if measures.is_empty() {
        return None;
    }
    let soundings = sounding::soundings(tune, &measures);
    let divisions = Divisions::of(tune, &measures, &soundings);
    tell(tune, &divisions, &mut remarks);
    let mut xml = Xml::new();
    xml.around("score-partwise", &[("version", "4.0")], |xml| {
        xml.around("work", &[], |xml| xml.leaf("work-title", &[], &tune.header.title));
        identification(xml, tune);
        xml.around("part-list", &[], |xml| {
            for (id, staff) in ids(staves) {
                xml.around("score-part", &[("id", &id)], |xml| xml.leaf("part-name", &[], staff.name()));
            }
        });
        for (id, staff) in ids(staves) {
            let mut scribe = Scribe { tune, staff, divisions: &divisions, frame: None, again: false };
            xml.around("part", &[("id", &id)], |xml| {
                let first = usize::from(measures.first().is_none_or(|measure| !measure.is_pickup()));
                for (at, (measure, soundings)) in measures.iter().zip(&soundings).enumerate() {
                    scribe.measure(xml, measure, soundings, at + first, at + 1 == measures.len());
                }
            });
        }
    });
    Some(Score { text: xml.finish(), remarks })
}

impl Staff {
    const fn name(self) -> &'static str {
        match self {
            Self::Tablature => "Banjo tablature",
            Self::Notes => "Banjo",
        }
    }
}

fn ids(staves: &[Staff]) -> impl Iterator<Item = (String, Staff)> {
    (1..).zip(staves).map(|(number, staff)| (format!("P{number}"), *staff))
}

fn identification(xml: &mut Xml, tune: &Tune) {
    let header = &tune.header;
    xml.around("identification", &[], |xml| {
        if let Some(by) = &header.by {
            xml.leaf("creator", &[("type", "composer")], by);
        }
        if let Some(rights) = &header.rights {
            xml.leaf("rights", &[], rights);
        }
        xml.around("encoding", &[], |xml| xml.leaf("software", &[], SOFTWARE));
        if let Some(source) = &header.source {
            xml.leaf("source", &[], source);
        }
        let tags = Some(header.tags.join(", ")).filter(|tags| !tags.is_empty());
        let fields =
            [("kind", header.kind.as_ref()), ("tags", tags.as_ref()), ("note", header.note.as_ref())];
        if fields.iter().any(|(_, text)| text.is_some()) {
            xml.around("miscellaneous", &[], |xml| {
                for (name, text) in fields {
                    if let Some(text) = text {
                        xml.leaf("miscellaneous-field", &[("name", name)], text);
                    }
                }
            });
        }
    });
}

/// Says what is not in the score.
fn tell(tune: &Tune, divisions: &Divisions, remarks: &mut Vec<Remark>) {
    let header = &tune.header;
    let mut say = |text: String| remarks.push(Remark { place: None, text });
    let is_nowhere =
        |note: &&lope_tune::Note| header.tuning.sounds(note.string, note.fret, header.capo).is_none();
    let nowhere = tune.notes.iter().filter(is_nowhere).count();
    match nowhere {
        0 => {}
        1 => say("a note is left out: its string and fret are nowhere on the neck".to_owned()),
        _ => say(format!("{nowhere} notes are left out: their strings and frets are nowhere on the neck")),
    }
    if divisions.is_rounded {
        say("some of the rhythm is finer than the form divides time, and is moved by less than can be heard"
            .to_owned());
    }
}

/// The parts into which time is divided.
#[derive(Debug)]
pub struct Divisions {
    /// How many make a whole note.
    whole: i64,
    /// Whether some moment falls between two of them.
    is_rounded: bool,
}

/// The most parts of a whole note: finer than any slot can be on its own.
const FINEST: i64 = 1 << 30;

impl Divisions {
    /// The parts that meet every symbol and label.
    fn of(tune: &Tune, measures: &[Measure], soundings: &[Vec<Sounding<'_>>]) -> Self {
        let mut divisions = Self { whole: 4, is_rounded: false };
        for (measure, soundings) in measures.iter().zip(soundings) {
            let bar = &tune.bars[measure.bar.index()];
            let lead = if measure.is_pickup() { bar.lead } else { Duration::ZERO };
            for piece in measure::pieces_of(tune, measure, lead, soundings) {
                divisions.meet(piece.start + piece.length);
            }
            divisions.meet(Moment::START + bar.length + measure.rest);
        }
        for label in &tune.labels {
            divisions.meet(label.onset);
        }
        divisions
    }

    fn meet(&mut self, at: Moment) {
        let needed = at.since_start().denominator();
        let (mut a, mut b) = (self.whole, needed);
        while b > 0 {
            (a, b) = (b, a % b);
        }
        match (self.whole / a.max(1)).checked_mul(needed).filter(|whole| *whole <= FINEST) {
            Some(whole) => self.whole = whole,
            None => self.is_rounded = true,
        }
    }

    /// How many make a quarter note.
    const fn each_quarter(&self) -> i64 {
        self.whole / 4
    }

    /// How many lie between two moments of a measure.
    fn between(&self, from: Moment, to: Moment) -> i64 {
        self.at(to) - self.at(from)
    }

    fn at(&self, at: Moment) -> i64 {
        let (num, den) = (at.since_start().numerator(), at.since_start().denominator().max(1));
        let scaled = i128::from(num) * i128::from(self.whole) * 2 + i128::from(den);
        i64::try_from(scaled.div_euclid(2 * i128::from(den))).unwrap_or(0)
    }
}
