//! A tune's parts, bars and frames, as a score's measures make them.

use lope_tune::{
    Bar, BarContent, BarId, Duration, Frame, Gait, Key, Label, Mode, Section, SectionId, SectionKind, Tune,
};

use super::measure::Measure;
use super::sections::{Part, parts};
use crate::Remark;
use crate::label::legible;

/// A tune without its notes.
#[derive(Default)]
pub struct Skeleton {
    /// Its frames, sections, bars and labels; no bar holds events.
    pub tune: Tune,
    /// Its key, where the score says one.
    pub key: Option<Key>,
    /// Which measures make its bars.
    pub placed: Vec<Placed>,
    frame: Frame,
    /// Whether the frame at hand is among the tune's.
    kept: bool,
}

/// A measure's place in a tune.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Placed {
    /// The bar.
    pub bar: BarId,
    /// The measure's place among those of the score.
    pub measure: usize,
    /// How much of the bar comes before it.
    pub after: Duration,
}

impl Skeleton {
    /// The tune that `measures` make.
    pub fn of(measures: &[Measure], remarks: &mut Vec<Remark>) -> Self {
        let mut skeleton = Self::default();
        let mut names: Vec<String> = Vec::new();
        for (number, part) in parts(measures).into_iter().enumerate() {
            let first = part.body.start.min(measures.len() - 1);
            let given = measures[first].name.as_deref().and_then(single_word);
            let name = given.filter(|name| !names.contains(name)).unwrap_or_else(|| free(number, &names));
            skeleton.part(measures, &part, &name, remarks);
            names.push(name);
        }
        skeleton
    }

    fn part(&mut self, measures: &[Measure], part: &Part, name: &str, remarks: &mut Vec<Remark>) {
        let id = SectionId(self.tune.sections.len() as u32);
        let first = self.tune.bars.len();
        let opens = self.section(measures, part.body.clone(), remarks);
        let kind = SectionKind::Part { times: part.times, pickup: opens };
        self.add(kind, name, first);
        for (passes, range) in &part.endings {
            let first = self.tune.bars.len();
            self.section(measures, range.clone(), remarks);
            self.add(SectionKind::Ending { of: id, passes: passes.clone() }, name, first);
        }
        if let Some(bar) = self.tune.bars.get_mut(first).filter(|_| opens) {
            bar.lead = self.tune.frames[bar.frame as usize].meter.bar() - bar.length;
        }
    }

    fn add(&mut self, kind: SectionKind, name: &str, first: usize) {
        let bars = first as u32..self.tune.bars.len() as u32;
        self.tune.sections.push(Section { kind, name: name.to_owned(), bars });
    }

    /// Adds the bars of `range`; answers whether the first is a pickup.
    fn section(
        &mut self,
        measures: &[Measure],
        range: std::ops::Range<usize>,
        remarks: &mut Vec<Remark>,
    ) -> bool {
        let mut pickup = false;
        for (at, number) in range.enumerate() {
            let measure = &measures[number];
            self.change_frame(measure, remarks);
            let full = self.frame.meter.bar();
            if measure.length == Duration::ZERO {
                let text = "a measure without time is left out".to_owned();
                remarks.push(Remark { place: Some(measure.place.clone()), text });
                continue;
            }
            let halves = at > usize::from(pickup) && !measure.is_filled && self.completes_bar(measure);
            pickup |= at == 0 && measure.length < full && !measure.is_filled;
            if halves {
                let text = "with the measure before it makes one bar, and is joined to it".to_owned();
                remarks.push(Remark { place: Some(measure.place.clone()), text });
                self.join(number, measure);
            } else {
                self.bar(number, measure);
            }
        }
        pickup
    }

    fn bar(&mut self, at: usize, measure: &Measure) {
        let tune = &mut self.tune;
        if !self.kept {
            tune.frames.push(self.frame);
            self.kept = true;
        }
        let bar = BarId(tune.bars.len() as u32);
        tune.bars.push(Bar {
            frame: tune.frames.len() as u32 - 1,
            content: BarContent::Slots,
            events: 0..0,
            length: measure.length,
            lead: Duration::ZERO,
        });
        self.fill(bar, at, measure, Duration::ZERO);
    }

    /// Whether `measure` and the bar before it are the two halves of one bar, parted by a bar line that
    /// stands in its midst.
    fn completes_bar(&self, measure: &Measure) -> bool {
        let full = self.frame.meter.bar();
        let before = self.tune.bars.last();
        self.kept && before.is_some_and(|bar| bar.length < full && bar.length + measure.length == full)
    }

    fn join(&mut self, at: usize, measure: &Measure) {
        let bar = BarId(self.tune.bars.len() as u32 - 1);
        let after = self.tune.bars[bar.index()].length;
        self.fill(bar, at, measure, after);
        self.tune.bars[bar.index()].length += measure.length;
    }

    /// Adds the labels of the measure numbered `at` to `bar`, so much later than they stand in it.
    fn fill(&mut self, bar: BarId, at: usize, measure: &Measure, after: Duration) {
        self.placed.push(Placed { bar, measure: at, after });
        let mut labels = measure.labels.clone();
        labels.sort_by_key(|(onset, ..)| *onset);
        self.tune.labels.extend(labels.into_iter().map(|(onset, kind, text)| Label {
            bar,
            onset: onset + after,
            kind,
            text: legible(kind, &text),
        }));
    }

    fn change_frame(&mut self, measure: &Measure, remarks: &mut Vec<Remark>) {
        let before = self.frame;
        if let Some(meter) = measure.meter {
            let unit = meter.slot();
            self.frame = Frame { meter, unit, gait: Gait::of(meter, unit), ..self.frame };
        }
        for aside in &measure.asides {
            self.frame = aside_of(self.frame, aside);
        }
        if let Some((count, each)) = measure.tempo {
            // To beats a minute of the meter's own, rounded.
            let (told, own) = (each, self.frame.meter.beat());
            let (num, den) = (told.numerator() * own.denominator(), told.denominator() * own.numerator());
            let beats = (i64::from(count) * num * 2 + den) / (2 * den).max(1);
            self.frame.tempo = u32::try_from(beats.clamp(20, 400)).unwrap_or(self.frame.tempo);
        }
        self.frame.feel = measure.feel.unwrap_or(self.frame.feel);
        if let Some((fifths, mode)) = &measure.key {
            let mode = Mode::ALL.into_iter().find(|known| known.name() == mode).unwrap_or(Mode::Ionian);
            let key = Key::of_signature(*fifths, mode);
            if *self.key.get_or_insert(key) != key {
                let text = "the key changes, and the first is taken for the tune's: every note sounds as it is written";
                remarks.push(Remark { place: Some(measure.place.clone()), text: text.to_owned() });
            }
        }
        self.kept &= self.frame == before;
    }
}

/// `frame` with what `aside`, a field of the notation, says.
fn aside_of(frame: Frame, aside: &str) -> Frame {
    let slot = |text: &str| {
        let part = text.trim().strip_prefix("1/")?.parse().ok()?;
        [1, 2, 4, 8, 16, 32, 64].contains(&part).then(|| Duration::new(1, part))
    };
    let changed = aside.split_once(':').and_then(|(name, value)| match name.trim() {
        "unit" => Some(Frame { unit: slot(value)?, ..frame }),
        "gait" => {
            let (strokes, step) = value.split_once(", step")?;
            Some(Frame { gait: Gait::parse(strokes, slot(step)?)?, ..frame })
        }
        _ => None,
    });
    changed.unwrap_or(frame)
}

/// `text` where it can name a part: one word without what means something else in music.
fn single_word(text: &str) -> Option<String> {
    let is_plain = |letter: char| !letter.is_whitespace() && !"|{}[]\"<>@#%".contains(letter);
    let is_count = |text: &str| text.strip_prefix('x').is_some_and(|count| count.parse::<u32>().is_ok());
    (!text.is_empty() && text.chars().all(is_plain) && !is_count(text)).then(|| text.to_owned())
}

/// A, B, C… and on from AA: the first from the one numbered `number` on that is not among `names`.
fn free(number: usize, names: &[String]) -> String {
    let name = |number: usize| {
        let letter = char::from(b'A' + (number % 26) as u8);
        std::iter::repeat_n(letter, number / 26 + 1).collect()
    };
    (number..).map(name).find(|name: &String| !names.contains(name)).unwrap_or_default()
}
