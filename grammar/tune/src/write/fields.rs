use std::fmt::Display;

use crate::{Duration, Feel, Frame, Gait, Header, Meter};

/// Writes the fields above the first part: those of `header`, and those that make the frame `first`.
pub fn header(header: &Header, first: &Frame, into: &mut String) {
    let mut add = |field: String| {
        into.push_str(&field);
        into.push('\n');
    };
    add(text("tune", &header.title));
    let named = [("by", &header.by), ("source", &header.source), ("rights", &header.rights)];
    for (name, value) in named.into_iter().chain([("kind", &header.kind)]) {
        value.iter().for_each(|value| add(text(name, value)));
    }
    add(field("meter", first.meter));
    if first.unit != first.meter.slot() {
        add(unit(first.unit));
    }
    add(field("tuning", header.tuning));
    if header.capo > 0 {
        add(field("capo", header.capo));
    }
    add(field("tempo", first.tempo));
    if first.feel != Feel::Straight {
        add(field("feel", first.feel));
    }
    if first.gait != Gait::of(first.meter, first.unit) {
        add(field("gait", first.gait));
    }
    if !header.order.is_empty() {
        add(text("order", &header.order.join(" ")));
    }
    if !header.tags.is_empty() {
        add(text("tags", &header.tags.join(", ")));
    }
    header.note.iter().flat_map(|note| note.lines()).for_each(|line| add(text("note", line)));
}

fn field(name: &str, value: impl Display) -> String {
    format!("{name}: {value}")
}

fn unit(length: Duration) -> String {
    format!("unit: 1/{}", length.denominator())
}

/// A field of free text: on one line, and with no `#` where one would start a comment.
fn text(name: &str, value: &str) -> String {
    let mut field = format!("{name}:");
    for line in
        value.split(['\r', '\n']).map(|line| line.trim_matches([' ', '\t'])).filter(|line| !line.is_empty())
    {
        field.push(' ');
        field.push_str(line);
    }
    field.replace(" #", " ♯").replace("\t#", "\t♯")
}

/// What the fields written so far say about time. A field that says what is understood anyway changes
/// nothing now, but a later one can make it count: a gait that was written outlasts a new unit.
pub struct Given {
    meter: Meter,
    unit: Option<Duration>,
    gait: Option<Gait>,
    tempo: u32,
    feel: Feel,
}

impl Given {
    /// After the header that makes the frame `first`.
    pub fn new(first: &Frame) -> Self {
        let &Frame { meter, unit, gait, tempo, feel } = first;
        let unit_given = (unit != meter.slot()).then_some(unit);
        let gait_given = (gait != Gait::of(meter, unit)).then_some(gait);
        Self { meter, unit: unit_given, gait: gait_given, tempo, feel }
    }

    fn frame(&self) -> Frame {
        let unit = self.unit.unwrap_or(self.meter.slot());
        let given = self.gait.and_then(|gait| in_step(gait, unit));
        let gait = given.unwrap_or(Gait::of(self.meter, unit));
        Frame { meter: self.meter, unit, gait, tempo: self.tempo, feel: self.feel }
    }

    /// The fields that make `next` of what is given. Where one field can do it, it is the last of them, and
    /// those before it say again what was understood.
    pub fn change_to(&mut self, next: &Frame) -> Vec<String> {
        let mut fields = Vec::new();
        if next.meter != self.meter {
            if self.unit.is_none() && next.unit == self.meter.slot() && next.unit != next.meter.slot() {
                fields.push(self.set_unit(next.unit));
            }
            fields.push(self.set_meter(next.meter));
        }
        if next.unit != self.frame().unit {
            self.hold_gait_for(next, &mut fields);
            fields.push(self.set_unit(next.unit));
        }
        if next.gait != self.frame().gait {
            let field = if in_step(next.gait, next.unit) == Some(next.gait) {
                self.set_gait(next.gait)
            } else {
                self.set_meter(next.meter)
            };
            fields.push(field);
        }
        if next.tempo != self.tempo {
            self.tempo = next.tempo;
            fields.push(field("tempo", next.tempo));
        }
        fields
    }

    /// Says the gait in force again, or the meter and with it that the gait is its own, where only that lets
    /// the gait of `next` come out of a change of unit.
    fn hold_gait_for(&mut self, next: &Frame, fields: &mut Vec<String>) {
        let now = self.frame();
        let after = |given: Option<Gait>| {
            given.and_then(|gait| in_step(gait, next.unit)).unwrap_or(Gait::of(now.meter, next.unit))
        };
        if after(self.gait) == next.gait {
            return;
        }
        if in_step(now.gait, now.unit) == Some(now.gait) && after(Some(now.gait)) == next.gait {
            fields.push(self.set_gait(now.gait));
        } else if after(None) == next.gait && Gait::of(now.meter, now.unit) == now.gait {
            fields.push(self.set_meter(now.meter));
        }
    }

    /// A new meter brings its own gait.
    fn set_meter(&mut self, meter: Meter) -> String {
        (self.meter, self.gait) = (meter, None);
        field("meter", meter)
    }

    fn set_unit(&mut self, length: Duration) -> String {
        self.unit = Some(length);
        unit(length)
    }

    fn set_gait(&mut self, gait: Gait) -> String {
        self.gait = Some(gait);
        field("gait", gait)
    }
}

/// The strokes of `gait`, one every `step`.
fn in_step(gait: Gait, step: Duration) -> Option<Gait> {
    Gait::parse(&gait.to_string(), step)
}
