use lope_syntax::{NodeId, NodeKind, Span, TokenKind, nearest};

use super::Reader;
use crate::{Defaults, Duration, Feel, Frame, FramePlace, Gait, IssueKind, Meter, SectionKind, Tuning};

/// Every field, in the order `tidy` and completion show them.
pub const FIELDS: [&str; 15] = [
    "tune", "by", "source", "rights", "kind", "meter", "unit", "tuning", "capo", "tempo", "feel", "gait",
    "order", "tags", "note",
];

/// The fields that may change inside a part.
pub const CHANGING: [&str; 4] = ["meter", "unit", "gait", "tempo"];

/// The trade's kinds of tune with the meters that go with them, for a tune that forgot its own. Common practice.
pub const KINDS: [(&str, Meter); 8] = [
    ("jig", Meter { beats: 6, unit: 8 }),
    ("slip jig", Meter { beats: 9, unit: 8 }),
    ("slide", Meter { beats: 12, unit: 8 }),
    ("blues", Meter { beats: 12, unit: 8 }),
    ("reel", Meter { beats: 4, unit: 4 }),
    ("hornpipe", Meter { beats: 4, unit: 4 }),
    ("polka", Meter { beats: 2, unit: 4 }),
    ("waltz", Meter { beats: 3, unit: 4 }),
];

/// What the fields in force say about time.
#[derive(Clone, Debug, Default)]
pub struct Given {
    meter: Option<Meter>,
    unit: Option<Duration>,
    /// The strokes as written: how long they take depends on the unit.
    gait: Option<String>,
    tempo: Option<u32>,
    feel: Feel,
    place: FramePlace,
}

impl Given {
    fn frame(&self) -> Frame {
        let meter = self.meter.unwrap_or_default();
        let unit = self.unit.unwrap_or(meter.slot());
        let given = self.gait.as_ref().and_then(|strokes| Gait::parse(strokes, unit));
        let gait = given.unwrap_or_else(|| Gait::of(meter, unit));
        Frame { meter, unit, gait, tempo: self.tempo.unwrap_or(Frame::default().tempo), feel: self.feel }
    }
}

impl<'t> Reader<'t> {
    /// Reads the fields above the first part, and then `defaults` for those that are not there.
    pub(super) fn header(&mut self, defaults: &Defaults) {
        let tree = self.tree;
        for id in tree.children(tree.root()).filter(|id| tree.node(*id).kind == NodeKind::Field) {
            let Some((name, name_span)) = self.token_text(id, TokenKind::FieldName) else { continue };
            let Some(name) = self.known(name, name_span) else { continue };
            let again = self.source.fields.iter().any(|(known, _)| *known == name);
            if again && name != "note" {
                self.bad_value(name, name, format!("one {name} field: there is one above"), name_span);
                continue;
            }
            self.source.fields.push((name, id));
            let (value, span) = self.value(id, name_span);
            self.field(name, value, span);
        }
        let written =
            |name: &str, reader: &Self| reader.source.fields.iter().any(|(known, _)| *known == name);
        for (name, value) in &defaults.0 {
            if let Some(name) = FIELDS.iter().find(|known| *known == name).filter(|name| !written(name, self))
            {
                self.field(name, value, Span::empty(0));
            }
        }
        self.missing();
        self.set_frame();
    }

    /// Reads a field inside a part: it counts from the next bar.
    pub(super) fn change(&mut self, id: NodeId) {
        let Some((name, name_span)) = self.token_text(id, TokenKind::FieldName) else { return };
        let Some(name) = self.known(name, name_span) else { return };
        if !CHANGING.contains(&name) {
            self.issue(IssueKind::Misplaced(name.to_owned()), name_span);
            return;
        }
        if name == "meter" {
            // A gait belongs to its meter: the new one brings its own until a field says otherwise.
            self.given.gait = None;
            self.given.place.gait = None;
        }
        let (value, span) = self.value(id, name_span);
        self.field(name, value, span);
        self.set_frame();
    }

    /// The text of the field `id`, and where it stands; after the colon where there is none.
    fn value(&self, id: NodeId, name: Span) -> (&'t str, Span) {
        let after = self.tree.token_of(id, TokenKind::Colon).map_or(name.end, |colon| colon.span.end);
        match self.tree.token_of(id, TokenKind::FieldText) {
            Some(token) => (token.span.of(self.text), token.span),
            None => ("", Span::empty(after)),
        }
    }

    fn known(&mut self, name: &str, span: Span) -> Option<&'static str> {
        let known = FIELDS.into_iter().find(|known| *known == name);
        if known.is_none() {
            let nearest = nearest(&name.to_lowercase(), FIELDS);
            self.issue(IssueKind::UnknownField { name: name.to_owned(), nearest }, span);
        }
        known
    }

    fn field(&mut self, name: &'static str, value: &str, span: Span) {
        let expected = match self.set(name, value, span) {
            Ok(()) => return,
            Err(expected) => expected,
        };
        self.bad_value(name, value, expected, span);
    }

    /// Takes in what the field `name` says; the error is what was expected.
    fn set(&mut self, name: &str, value: &str, span: Span) -> Result<(), String> {
        let header = &mut self.tune.header;
        let text = (!value.is_empty()).then(|| value.to_owned()).ok_or("some text");
        match name {
            "tune" => header.title = text.map_err(|_| "a title, as in The Heron at Low Water")?,
            "by" => header.by = Some(text?),
            "source" => header.source = Some(text?),
            "rights" => header.rights = Some(text?),
            "kind" => header.kind = Some(text.map_err(|_| "what sort of tune it is, as in jig")?),
            "note" => match &mut header.note {
                Some(note) => note.extend(["\n", &text?]),
                None => header.note = Some(text?),
            },
            "tags" => {
                let tags = value.split(',').map(str::trim).filter(|tag| !tag.is_empty());
                header.tags = tags.map(str::to_owned).collect();
            }
            "order" => {
                header.order = value.split_whitespace().map(str::to_owned).collect();
                if header.order.is_empty() {
                    return Err("part names as they are played, as in A A B B".to_owned());
                }
            }
            "tuning" => header.tuning = Tuning::parse(value).ok_or_else(expected_tuning)?,
            "capo" => header.capo = number(value, 0..=12).ok_or("a fret from 0 to 12")? as u8,
            "tempo" => {
                self.given.place.tempo = Some(span);
                self.given.tempo =
                    Some(number(value, 20..=400).ok_or("beats a minute from 20 to 400, as in 100")?);
            }
            "feel" => {
                self.given.feel =
                    Feel::parse(value).ok_or("straight, or swing with two shares as in swing 2:1")?
            }
            "meter" => {
                self.given.place.meter = Some(span);
                let meter = Meter::parse(value);
                self.given.meter = meter.or(self.given.meter);
                meter.ok_or("beats over their unit, as in 6/8: 1 to 99 over 1, 2, 4, 8, 16 or 32")?;
            }
            "unit" => {
                self.given.unit =
                    Some(unit(value).ok_or("the length of one slot, as in 1/8: 1/1 down to 1/64")?)
            }
            "gait" => {
                self.given.place.gait = Some(span);
                Gait::parse(value, Duration::new(1, 8))
                    .ok_or("falls and rises with at least one fall, as in x.x")?;
                self.given.gait = Some(value.to_owned());
            }
            _ => {}
        }
        Ok(())
    }

    /// Reports a title or meter that is not there, and goes on with the meter the kind of tune has.
    fn missing(&mut self) {
        let has = |name: &str, reader: &Self| reader.source.fields.iter().any(|(known, _)| *known == name);
        // A text without `tune:` is no tune yet: to ask for its meter as well would say one thing twice.
        let first_line = self.text.find(['\r', '\n']).unwrap_or(self.text.len()) as u32;
        if !has("tune", self) {
            self.issue(IssueKind::MissingField("tune"), Span::new(0, first_line));
        } else if !has("meter", self) && self.given.meter.is_none() {
            let title = self.source.fields.iter().find(|(name, _)| *name == "tune");
            let span = title.map_or(Span::empty(0), |(_, id)| self.tree.span(*id));
            self.issue(IssueKind::MissingField("meter"), span);
        }
        if self.given.meter.is_none() {
            let kind = self.tune.header.kind.as_deref().unwrap_or_default();
            self.given.meter = KINDS.iter().find(|(name, _)| *name == kind).map(|(_, meter)| *meter);
        }
    }

    /// Puts the frame the fields make in force for the bars to come.
    pub(super) fn set_frame(&mut self) {
        let frame = self.given.frame();
        if self.tune.frames.last() == Some(&frame) {
            self.source.frames.pop();
        } else {
            self.tune.frames.push(frame);
        }
        self.source.frames.push(self.given.place);
        self.frame = self.tune.frames.len() as u32 - 1;
    }

    /// Reports names in the order that no part has.
    pub(super) fn settle_order(&mut self) {
        if self.tune.header.order.is_empty() {
            return;
        }
        let Some((_, id)) = self.source.fields.iter().find(|(name, _)| *name == "order") else { return };
        let (value, span) = self.value(*id, Span::empty(0));
        let parts =
            self.tune.sections.iter().filter(|section| matches!(section.kind, SectionKind::Part { .. }));
        let parts: Vec<String> = parts.map(|part| part.name.clone()).collect();
        let mut at = 0;
        for name in value.split_whitespace() {
            at += value[at..].find(name).unwrap_or_default();
            let start = span.start + at as u32;
            let span = Span::new(start, start + name.len() as u32);
            at += name.len();
            if !parts.iter().any(|part| part == name) {
                let expected = format!("names of parts: {}", parts.join(" "));
                self.bad_value("order", name, expected, span);
            }
        }
    }
}

/// The number in `text`, where it is nothing else and in `range`.
fn number(text: &str, range: std::ops::RangeInclusive<u32>) -> Option<u32> {
    text.parse().ok().filter(|number| range.contains(number))
}

/// The length of a slot: `1/8`.
fn unit(text: &str) -> Option<Duration> {
    let (share, whole) = text.split_once('/')?;
    let whole: i64 = whole.trim().parse().ok()?;
    (share.trim() == "1" && (1..=64).contains(&whole) && whole.count_ones() == 1)
        .then(|| Duration::new(1, whole))
}

fn expected_tuning() -> String {
    let names: Vec<&str> = crate::NAMED.iter().map(|(name, _)| *name).collect();
    format!("five notes from string 5 to 1, as in gDGBD, or one of {}", names.join(", "))
}
