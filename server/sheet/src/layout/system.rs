//! A system: the bars of a line, with all that stands above and below their strings.

use std::ops::Range;

use lope_hand::Hand;
use lope_tune::{EventId, Meter, Moment, Tune};

use super::above::Owner;
use super::draw::{group, line, point};
use super::edges;
use super::labels;
use super::lane;
use super::measure::Measure;
use super::notes::{Trail, string_y};
use super::pages::Block;
use super::placed::{Placed, placed};
use super::stems::stems;
use super::style::{
    COUNT_ROW, LANE_ROW, REPEAT, STAFF, STEM_END, STRING_LINE, TUNING, TUPLET_ROW, meter_width,
};
use crate::frame::{Ink, Item, Part};
use crate::reading;
use crate::score::{Content, Contents, Drawn, Opening, Score};
use crate::wishes::Wishes;

/// What everything is drawn from.
pub struct Stage<'t> {
    /// The tune.
    pub tune: &'t Tune,
    /// What the hands do.
    pub hand: &'t Hand,
    /// What is asked for.
    pub wishes: &'t Wishes,
    /// What is drawn.
    pub score: &'t Score,
    /// What stands in each written bar of slots that is drawn.
    pub contents: &'t [Option<Contents>],
}

/// A line of measures and its place among the others.
pub struct LineOf<'m> {
    /// Its measures.
    pub measures: &'m [Measure],
    /// Whether it is the first.
    pub first: bool,
    /// From the left margin to its right end.
    pub width: f32,
    /// From the left margin to the right one.
    pub room: f32,
}

/// Draws a system, whose first string is at y 0 and whose left edge is at x 0.
pub fn system(stage: &Stage<'_>, line_of: &LineOf<'_>) -> Block {
    let mut system =
        System { stage, below: STAFF + STEM_END + 2.0, room: line_of.room, ..System::new(stage) };
    let indent = if line_of.first { TUNING } else { 0.0 };
    let placed = placed(stage, line_of, indent);
    let tuplets = placed
        .iter()
        .any(|bar| system.contents(bar).is_some_and(|contents| !contents.rhythm.tuplets.is_empty()));
    system.below += if tuplets { TUPLET_ROW } else { 0.0 };
    let lane_at = system.below;
    system.below += if stage.wishes.strokes { LANE_ROW } else { 0.0 };
    let count_at = system.below;
    system.below += if stage.wishes.count { COUNT_ROW } else { 0.0 };
    if line_of.first {
        system.own.extend(edges::tuning(&stage.tune.header.tuning, indent));
    }
    system.own.extend(edges::left_edge(indent));
    for bar in &placed {
        system.bar(bar, lane_at, count_at);
    }
    labels::numbers_and_headings(&mut system, &placed);
    labels::endings(&mut system, &placed);
    system.finish(&placed)
}

/// A system as it is drawn.
pub struct System<'s> {
    /// What it is drawn from.
    pub stage: &'s Stage<'s>,
    /// What belongs to no bar.
    pub own: Vec<Item>,
    /// What the notes leave behind.
    pub trail: Trail,
    /// How far down it reaches.
    below: f32,
    /// From the left margin to the right one.
    pub room: f32,
    bars: Vec<Vec<Item>>,
    /// The events with their bars' places.
    events: Vec<(usize, EventId, Vec<Item>)>,
    /// Where the last sign of rhythm stands.
    last_piece: Option<f32>,
}

impl<'s> System<'s> {
    fn new(stage: &'s Stage<'s>) -> Self {
        Self {
            stage,
            own: Vec::new(),
            trail: Trail::default(),
            below: 0.0,
            room: 0.0,
            bars: Vec::new(),
            events: Vec::new(),
            last_piece: None,
        }
    }

    /// The bar that `bar` is drawn of.
    pub fn drawn(&self, bar: &Placed<'_>) -> &'s Drawn {
        &self.stage.score.bars[bar.measure.drawn]
    }

    fn contents(&self, bar: &Placed<'_>) -> Option<&'s Contents> {
        let drawn = self.drawn(bar);
        self.stage.contents[drawn.bar.index()].as_ref().filter(|_| drawn.content == Content::Slots)
    }

    fn bar(&mut self, placed: &Placed<'_>, lane_at: f32, count_at: f32) {
        let drawn = self.drawn(placed);
        let mut items = edges::opening(self.stage, drawn, placed);
        match (&drawn.content, self.contents(placed)) {
            (Content::Slots, Some(contents)) => {
                self.slots(placed, contents, (lane_at, count_at), &mut items);
            }
            (Content::Again, _) => items.extend(edges::again(placed)),
            (Content::Gap(words), _) => items.extend(edges::gap(placed, words)),
            (Content::Slots, None) => {}
        }
        labels::labels(self, placed);
        items.extend(edges::closing(self, drawn, placed));
        self.bars.push(items);
    }

    fn slots(
        &mut self,
        placed: &Placed<'_>,
        contents: &Contents,
        (lane_at, count_at): (f32, f32),
        items: &mut Vec<Item>,
    ) {
        let stage = self.stage;
        let drawn = self.drawn(placed);
        let bar = &stage.tune.bars[drawn.bar.index()];
        let columns = &placed.measure.columns;
        let first_event = self.events.len();
        for (at, event) in stage.tune.events_of(bar).iter().enumerate().take(columns.end).skip(columns.start)
        {
            let x = placed.columns.x(event.onset);
            let inner = self.trail.event(stage, event, x, self.events.len());
            self.events.push((placed.number, EventId(bar.events.start + at as u32), inner));
        }
        let pieces = pieces_in(contents, columns);
        let xs: Vec<f32> =
            contents.rhythm.pieces[pieces.clone()].iter().map(|piece| placed.columns.x(piece.at)).collect();
        items.extend(stems(&contents.rhythm, pieces, &xs, self.last_piece));
        self.last_piece = xs.last().copied().or(self.last_piece);
        let within = times_in(stage.tune, drawn, columns);
        if stage.wishes.strokes {
            for stroke in contents.strokes.iter().filter(|stroke| within.contains(&stroke.at)) {
                let drawing = lane::stroke(stroke, placed, lane_at);
                let event = stroke.event.and_then(|event| event.0.checked_sub(bar.events.start));
                let event = event.and_then(|event| (event as usize).checked_sub(columns.start));
                match event.and_then(|event| self.events.get_mut(first_event + event)) {
                    Some((_, _, inner)) => inner.push(drawing),
                    None => items.push(drawing),
                }
            }
        }
        if stage.wishes.count {
            let counts = contents.counts.iter().enumerate().filter(|(_, count)| within.contains(&count.at));
            items.extend(counts.map(|(at, count)| lane::count(at, count, placed, count_at)));
        }
    }

    /// Puts everything into its group.
    fn finish(mut self, placed: &[Placed<'_>]) -> Block {
        for (string, gaps) in (1..).zip(&self.trail.gaps) {
            let mut gaps = gaps.iter().copied().peekable();
            for (bar, items) in placed.iter().zip(&mut self.bars) {
                let mut from = bar.from;
                while let Some((start, end)) = gaps.next_if(|(start, _)| *start < bar.to) {
                    string_line(string, from, start, items);
                    from = from.max(end);
                }
                string_line(string, from, bar.to, items);
            }
        }
        let (own, bars, events) = (&mut self.own, &mut self.bars, &mut self.events);
        let raised = std::mem::take(&mut self.trail.raised);
        self.trail.skyline.raise(raised, |owner, items| match owner {
            Owner::System => own.extend(items),
            Owner::Bar(at) => bars[at].extend(items),
            Owner::Event(at) => events[at].2.extend(items),
        });
        for (bar, id, items) in self.events {
            if !items.is_empty() {
                self.bars[bar].push(group(Part::Event(id.0), String::new(), items));
            }
        }
        let mut items = self.own;
        for (bar, inner) in placed.iter().zip(self.bars) {
            let said =
                if bar.measure.first { reading::bar(self.stage, bar.measure.drawn) } else { String::new() };
            items.push(group(Part::Bar(bar.measure.drawn as u32), said, inner));
        }
        let above = -self.trail.skyline.top();
        Block {
            above,
            below: self.below,
            items: vec![group(Part::System, String::new(), items)],
            ..Block::default()
        }
    }
}

fn string_line(string: u8, from: f32, to: f32, items: &mut Vec<Item>) {
    if to - from > 0.05 {
        let y = string_y(string);
        items.push(line(point(from, y), point(to, y), STRING_LINE, Ink::Staff));
    }
}

/// The signs of rhythm that belong to the events `columns`.
fn pieces_in(contents: &Contents, columns: &Range<usize>) -> Range<usize> {
    let pieces = &contents.rhythm.pieces;
    let first = pieces.partition_point(|piece| piece.event < columns.start);
    first..pieces.partition_point(|piece| piece.event < columns.end)
}

/// The time that the events `columns` of a bar take.
fn times_in(tune: &Tune, drawn: &Drawn, columns: &Range<usize>) -> Range<Moment> {
    let bar = &tune.bars[drawn.bar.index()];
    let events = tune.events_of(bar);
    let start = events.get(columns.start).map_or(Moment::START, |event| event.onset);
    let end = events.get(columns.end).map_or(Moment::START + bar.length, |event| event.onset);
    start..end
}

/// Where the middle of the `meter` stands that is written before a bar whose left edge is at `from`.
pub fn meter_at(drawn: &Drawn, meter: Meter, from: f32) -> f32 {
    from + 4.5 + meter_width(meter) / 2.0 + if drawn.opens == Opening::Repeat { REPEAT } else { 0.0 }
}
