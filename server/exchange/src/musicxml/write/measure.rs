//! A measure as an element.

use lope_tune::{Duration, Feel, Frame, Gait, LabelKind, Meter, Moment, Pitch, Tune};

use super::layout::Measure;
use super::note::{self, Symbol};
use super::rhythm::{Piece, pieces};
use super::sounding::Sounding;
use super::xml::Xml;
use super::{Divisions, Staff, symbol};

/// Writes the measures of one part.
pub struct Scribe<'t> {
    pub tune: &'t Tune,
    pub staff: Staff,
    pub divisions: &'t Divisions,
    /// The frame of the measure before.
    pub frame: Option<Frame>,
    /// Whether the measure before repeats the one before it.
    pub again: bool,
}

impl Scribe<'_> {
    /// Writes `measure`, in which `soundings` sound, with the number `number`; the last of all where it is
    /// `last`.
    pub fn measure(
        &mut self,
        xml: &mut Xml,
        measure: &Measure,
        soundings: &[Sounding<'_>],
        number: usize,
        last: bool,
    ) {
        let number = number.to_string();
        let implicit = [("number", number.as_str()), ("implicit", "yes")];
        let attributes = if measure.is_pickup() { &implicit[..] } else { &implicit[..1] };
        xml.around("measure", attributes, |xml| {
            self.left(xml, measure);
            self.attributes(xml, measure);
            self.directions(xml, measure);
            self.music(xml, measure, soundings);
            right(xml, measure, last);
        });
    }

    fn left(&self, xml: &mut Xml, measure: &Measure) {
        if measure.forward || measure.ending.0.is_some() {
            xml.around("barline", &[("location", "left")], |xml| {
                if measure.forward {
                    xml.leaf("bar-style", &[], "heavy-light");
                }
                if let Some(passes) = &measure.ending.0 {
                    xml.mark("ending", &[("number", passes), ("type", "start")]);
                }
                if measure.forward {
                    xml.mark("repeat", &[("direction", "forward")]);
                }
            });
        }
    }

    fn attributes(&mut self, xml: &mut Xml, measure: &Measure) {
        let frame = self.tune.frames[measure.frame as usize];
        let first = self.frame.is_none();
        let meter = self.frame.is_none_or(|before| before.meter != frame.meter);
        let again = std::mem::replace(&mut self.again, measure.again) != measure.again;
        if !(first || meter || again) {
            return;
        }
        xml.around("attributes", &[], |xml| {
            if first {
                xml.number("divisions", self.divisions.each_quarter());
            }
            if meter {
                xml.around("time", &[], |xml| {
                    xml.number("beats", frame.meter.beats);
                    xml.number("beat-type", frame.meter.unit);
                });
            }
            if first {
                self.clef(xml);
            }
            if again {
                xml.around("measure-style", &[], |xml| {
                    let kind = if measure.again { "start" } else { "stop" };
                    let bars = if measure.again { "1" } else { "" };
                    xml.leaf("measure-repeat", &[("type", kind)], bars);
                });
            }
        });
    }

    fn clef(&self, xml: &mut Xml) {
        if self.staff == Staff::Notes {
            // A banjo sounds an octave below what is usually written for it; here every note sounds as written.
            return xml.around("clef", &[], |xml| {
                xml.leaf("sign", &[], "G");
                xml.number("line", 2);
                xml.number("clef-octave-change", -1);
            });
        }
        xml.around("clef", &[], |xml| {
            xml.leaf("sign", &[], "TAB");
            xml.number("line", 5);
        });
        let header = &self.tune.header;
        xml.around("staff-details", &[], |xml| {
            xml.number("staff-lines", 5);
            // Lines are counted from the lowest, on which the drone stands.
            for line in 1..=5_u8 {
                if let Some(open) = header.tuning.open(6 - line, 0) {
                    xml.around("staff-tuning", &[("line", &line.to_string())], |xml| {
                        symbol::step(xml, "tuning-", open);
                    });
                }
            }
            if header.capo > 0 {
                xml.number("capo", header.capo);
            }
        });
    }

    fn directions(&mut self, xml: &mut Xml, measure: &Measure) {
        let frame = self.tune.frames[measure.frame as usize];
        let before = self.frame.replace(frame);
        if let Some(part) = &measure.part {
            direction(xml, 0, |xml| xml.leaf("rehearsal", &[], part));
        }
        let tempo = before
            .is_none_or(|before| (before.tempo, before.meter.beat()) != (frame.tempo, frame.meter.beat()));
        let feel = before.map_or(Feel::Straight, |before| before.feel) != frame.feel;
        if tempo || feel {
            xml.around("direction", &[("placement", "above")], |xml| {
                xml.around("direction-type", &[], |xml| metronome(xml, &frame));
                let quarters = quarters(&frame);
                xml.around("sound", &[("tempo", &quarters)], |xml| {
                    if feel {
                        xml.around("swing", &[], |xml| swing(xml, &frame));
                    }
                });
            });
        }
        // What the standard has no element for.
        let given = |frame: &Frame| (frame.unit, frame.gait);
        let own = |meter: Meter, unit: Duration| (unit, Gait::of(meter, unit));
        let understood = before
            .filter(|before| before.meter == frame.meter)
            .map_or_else(|| own(frame.meter, frame.meter.slot()), |before| given(&before));
        let says = |xml: &mut Xml, text: String| {
            direction(xml, 0, |xml| xml.leaf("other-direction", &[("print-object", "no")], &text));
        };
        if given(&frame) != understood {
            says(xml, format!("unit: 1/{}", frame.unit.denominator()));
            says(xml, format!("gait: {}, step 1/{}", frame.gait, frame.gait.step().denominator()));
        }
    }

    fn music(&self, xml: &mut Xml, measure: &Measure, soundings: &[Sounding<'_>]) {
        let tune = self.tune;
        let bar = &tune.bars[measure.bar.index()];
        let lead = if measure.is_pickup() { bar.lead } else { Duration::ZERO };
        let mut labels: Vec<_> =
            tune.labels.iter().filter(|label| measure.above.contains(&label.bar)).collect();
        labels.sort_by_key(|label| label.onset);
        let mut labels = labels.into_iter().peekable();
        let pieces = pieces_of(tune, measure, lead, soundings);
        for (at, piece) in pieces.iter().enumerate() {
            let end = piece.start + piece.length;
            while let Some(label) = labels.next_if(|label| label.onset < end) {
                self.label(xml, label.kind, &label.text, label.onset, piece.start);
            }
            let sounding = &soundings[piece.event];
            let same = |other: Option<&Piece>| other.is_some_and(|other| other.event == piece.event);
            let from = sounding.tied || same(at.checked_sub(1).and_then(|before| pieces.get(before)));
            let to = sounding.rings_on || same(pieces.get(at + 1));
            // A symbol for each note; where nothing sounds, one for the rest.
            let duration = self.divisions.between(piece.start, end);
            let sounds = sounding.notes.iter().filter_map(|struck| Some((struck, self.pitch(struck.note)?)));
            let mut sounds: Vec<_> = sounds.map(Some).collect();
            if sounds.is_empty() {
                sounds.push(None);
            }
            for (number, sounds) in sounds.into_iter().enumerate() {
                let ties = if sounds.is_some() { (from, to) } else { (false, false) };
                let symbol = Symbol { piece, duration, sounds, chord: number > 0, ties };
                note::write(xml, &symbol, self.staff);
            }
        }
        let end = Moment::START + bar.length;
        for label in labels {
            self.label(xml, label.kind, &label.text, label.onset, end);
        }
        if measure.rest.is_positive() {
            xml.around("note", &[("print-object", "no")], |xml| {
                xml.mark("rest", &[]);
                xml.number("duration", self.divisions.between(end, end + measure.rest));
                xml.number("voice", 1);
            });
        }
    }

    fn pitch(&self, note: lope_tune::Note) -> Option<Pitch> {
        self.tune.header.tuning.sounds(note.string, note.fret, self.tune.header.capo)
    }

    /// Writes a label that stands at `onset`, where the score stands at `now`.
    fn label(&self, xml: &mut Xml, kind: LabelKind, text: &str, onset: Moment, now: Moment) {
        let offset = self.divisions.between(now, onset.max(now));
        match kind {
            LabelKind::Chord => symbol::write(xml, text, offset),
            LabelKind::Words => direction(xml, offset, |xml| xml.leaf("words", &[], text)),
        }
    }
}

/// The pieces of `measure`, in which `soundings` sound.
pub fn pieces_of(tune: &Tune, measure: &Measure, lead: Duration, soundings: &[Sounding<'_>]) -> Vec<Piece> {
    let events: Vec<_> = soundings.iter().map(|it| (it.event.onset, it.event.length)).collect();
    let first = tune.runs.partition_point(|run| run.bar < measure.bar);
    let runs = &tune.runs[first..tune.runs.partition_point(|run| run.bar <= measure.bar)];
    pieces(&tune.frames[measure.frame as usize], lead, &events, runs)
}

fn right(xml: &mut Xml, measure: &Measure, last: bool) {
    let style = match (measure.backward.is_some() || last, measure.closes) {
        (true, _) => Some("light-heavy"),
        (false, true) => Some("light-light"),
        _ => None,
    };
    if style.is_none() && measure.ending.1.is_none() {
        return;
    }
    xml.around("barline", &[("location", "right")], |xml| {
        if let Some(style) = style {
            xml.leaf("bar-style", &[], style);
        }
        if let Some(passes) = &measure.ending.1 {
            let kind = if measure.backward.is_some() { "stop" } else { "discontinue" };
            xml.mark("ending", &[("number", passes), ("type", kind)]);
        }
        match measure.backward {
            Some(2) => xml.mark("repeat", &[("direction", "backward")]),
            Some(times) => {
                xml.mark("repeat", &[("direction", "backward"), ("times", &times.to_string())]);
            }
            None => {}
        }
    });
}

fn direction(xml: &mut Xml, offset: i64, inside: impl FnOnce(&mut Xml)) {
    xml.around("direction", &[("placement", "above")], |xml| {
        xml.around("direction-type", &[], inside);
        if offset > 0 {
            xml.number("offset", offset);
        }
    });
}

fn metronome(xml: &mut Xml, frame: &Frame) {
    let beat = frame.meter.beat();
    let symbol = match beat.denominator() / if beat.numerator() == 3 { 2 } else { 1 } {
        1 => "whole",
        2 => "half",
        4 => "quarter",
        8 => "eighth",
        16 => "16th",
        _ => "32nd",
    };
    xml.around("metronome", &[], |xml| {
        xml.leaf("beat-unit", &[], symbol);
        if beat.numerator() == 3 {
            xml.mark("beat-unit-dot", &[]);
        }
        xml.number("per-minute", frame.tempo);
    });
}

/// Quarters a minute, as a decimal.
fn quarters(frame: &Frame) -> String {
    let quarters = frame.meter.beat().times(4 * frame.tempo);
    // A beat is a part of a whole note in halves, or three of them: no more than three decimals.
    let thousandths = quarters.numerator() * 1000 / quarters.denominator();
    let text = format!("{}.{:03}", thousandths / 1000, thousandths % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn swing(xml: &mut Xml, frame: &Frame) {
    match frame.feel {
        Feel::Straight => xml.mark("straight", &[]),
        Feel::Swing { long, short } => {
            xml.number("first", long);
            xml.number("second", short);
            let sixteenths = frame.unit <= Duration::new(1, 16);
            xml.leaf("swing-type", &[], if sixteenths { "16th" } else { "eighth" });
        }
    }
}
