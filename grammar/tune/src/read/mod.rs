//! Tree to music. [`fields`] reads what a tune says of itself, [`bars`], [`slots`] and [`notes`] what is
//! played, [`melody`] melodies beside it, and [`phrases`] looks over the whole once every section is known.

mod bars;
mod fields;
mod melody;
mod notes;
mod phrases;
mod slots;

use lope_syntax::{NodeId, NodeKind, Span, TokenKind, Tree};

use crate::{
    BarContent, Defaults, Duration, Issue, IssueKind, MelodyPart, Pitch, Section, SectionId, SectionKind,
    SectionPlace, Source, Tune,
};
use bars::{Fingered, Voice};
use fields::Given;
pub use fields::{CHANGING, FIELDS, KINDS};
pub use slots::WIDEST;

/// A tune, where it was written, and what in its text makes no music.
#[derive(Clone, Debug, Default)]
pub struct Reading {
    /// The music.
    pub tune: Tune,
    /// Where each piece of it was written.
    pub source: Source,
    /// The melodies beside it, which are not played.
    pub melodies: Vec<MelodyPart>,
    /// What the text says that does not make music, in the order of the text.
    pub issues: Vec<Issue>,
}

/// Reads the music in `tree`, the tree of `text`, with `defaults` for fields it leaves out.
pub fn read(text: &str, tree: &Tree, defaults: &Defaults) -> Reading {
    let mut reader = Reader::new(text, tree, tree.nodes().len());
    reader.header(defaults);
    let sections = tree.children(tree.root()).filter_map(|id| Some((id, section_kind(tree, id)?)));
    for (id, kind) in sections {
        match kind {
            NodeKind::Melody => reader.melody(id),
            _ => reader.section(id, kind),
        }
    }
    reader.finish()
}

fn section_kind(tree: &Tree, id: NodeId) -> Option<NodeKind> {
    let kind = tree.node(id).kind;
    matches!(kind, NodeKind::Part | NodeKind::Phrase | NodeKind::Ending | NodeKind::Melody).then_some(kind)
}

struct Reader<'t> {
    text: &'t str,
    tree: &'t Tree,
    tune: Tune,
    source: Source,
    issues: Vec<Issue>,
    /// The melodies read so far.
    melodies: Vec<MelodyPart>,
    /// What each event sounds, where a melody is read.
    pitches: Option<Vec<Option<Pitch>>>,
    /// What the fields in force say about time, and the frame that makes, for the bars to come.
    given: Given,
    frame: u32,
    /// What is sounding and fingered where reading has come to.
    voice: Voice,
    /// The voice at the end of each section read so far.
    after: Vec<Voice>,
    /// Slurs that follow a call of a phrase further down, with the bar that calls it: their string is
    /// known only at the end.
    unsettled: Vec<(u32, u32)>,
    /// Bars that call a phrase of which it is not known yet what it leaves, with what was fingered before.
    before: Vec<(u32, Fingered)>,
}

impl<'t> Reader<'t> {
    /// A reader with room for so many `nodes`.
    fn new(text: &'t str, tree: &'t Tree, nodes: usize) -> Self {
        let mut tune = Tune::default();
        tune.events.reserve(nodes);
        tune.notes.reserve(nodes);
        let mut source = Source::default();
        source.slots.reserve(nodes);
        source.events.reserve(nodes);
        source.notes.reserve(nodes);
        Self {
            text,
            tree,
            tune,
            source,
            issues: Vec::new(),
            melodies: Vec::new(),
            pitches: None,
            given: Given::default(),
            frame: 0,
            voice: Voice::default(),
            after: Vec::new(),
            unsettled: Vec::new(),
            before: Vec::new(),
        }
    }

    fn issue(&mut self, kind: IssueKind, span: Span) {
        self.issues.push(Issue { kind, span });
    }

    fn bad_value(&mut self, field: &str, value: &str, expected: impl Into<String>, span: Span) {
        let (field, value, expected) = (field.to_owned(), value.to_owned(), expected.into());
        self.issue(IssueKind::BadValue { field, value, expected }, span);
    }

    fn token_text(&self, id: NodeId, kind: TokenKind) -> Option<(&'t str, Span)> {
        self.tree.token_of(id, kind).map(|token| (token.span.of(self.text), token.span))
    }

    /// Reads a part with its endings, a phrase, or an ending that has lost its part.
    fn section(&mut self, id: NodeId, kind: NodeKind) {
        let before = self.voice;
        let heading = self.tree.children(id).find(|child| self.tree.node(*child).kind == NodeKind::Heading);
        let heading = heading.unwrap_or(id);
        let part = SectionId(self.tune.sections.len() as u32);
        match kind {
            NodeKind::Phrase => {
                self.voice = Voice::UNKNOWN;
                let name = self.new_name(heading, "phrase", |kind| *kind == SectionKind::Phrase);
                self.bars(id, heading, SectionKind::Phrase, name);
                self.voice = before;
            }
            NodeKind::Part => {
                let name = self.new_name(heading, "part", |kind| matches!(kind, SectionKind::Part { .. }));
                let times = self.times(heading);
                self.bars(id, heading, SectionKind::Part { times: times.unwrap_or(1), pickup: false }, name);
                self.endings(id, part, times);
            }
            _ => {
                let passes = self.passes(heading);
                self.bars(id, heading, SectionKind::Ending { of: part, passes }, String::new());
            }
        }
    }

    /// Reads the endings of `part`, the node `id`, which its heading has played `times` times.
    fn endings(&mut self, id: NodeId, part: SectionId, times: Option<u32>) {
        let after_body = self.voice;
        let name = self.tune.sections[part.index()].name.clone();
        let mut highest = 1;
        for ending in self.tree.children(id).filter(|child| self.tree.node(*child).kind == NodeKind::Ending) {
            self.voice = after_body;
            let heading = self.tree.children(ending).next().unwrap_or(ending);
            let passes = self.passes(heading);
            highest = passes.iter().copied().max().unwrap_or(1).max(highest);
            if let Some(times) = times
                && let Some(late) = passes.iter().find(|pass| **pass > times)
                && let Some((text, span)) = self.token_text(heading, TokenKind::Passes)
            {
                let expected =
                    format!("a pass that is played: part {name} is played x{times}, never a time {late}");
                self.bad_value("ending", text, expected, span);
            }
            self.bars(ending, heading, SectionKind::Ending { of: part, passes }, name.clone());
        }
        if times.is_none()
            && let SectionKind::Part { times, .. } = &mut self.tune.sections[part.index()].kind
        {
            *times = highest;
        }
    }

    /// The name in `heading`; reported where another section of its kind has it.
    fn new_name(&mut self, heading: NodeId, field: &str, same: impl Fn(&SectionKind) -> bool) -> String {
        let Some((name, span)) = self.token_text(heading, TokenKind::Name) else { return String::new() };
        if self.tune.sections.iter().any(|section| section.name == name && same(&section.kind)) {
            self.bad_value(field, name, format!("a name of its own: there is a {field} {name} above"), span);
        }
        name.to_owned()
    }

    /// How often `heading` has its part played, where it says so: `x2`.
    fn times(&mut self, heading: NodeId) -> Option<u32> {
        let (text, span) = self.token_text(heading, TokenKind::Times)?;
        let times = text[1..].parse().ok().filter(|times| (1..=MOST_TIMES).contains(times));
        if times.is_none() {
            self.bad_value("part", text, format!("how often it is played, from x1 to x{MOST_TIMES}"), span);
        }
        times
    }

    /// The passes on which the ending of `heading` is played: `1,2`.
    fn passes(&mut self, heading: NodeId) -> Vec<u32> {
        let Some((text, span)) = self.token_text(heading, TokenKind::Passes) else { return vec![1] };
        let passes: Vec<u32> = text.split(',').filter_map(|pass| pass.parse().ok()).collect();
        let whole = passes.len() == text.split(',').count();
        if whole && passes.iter().all(|pass| (1..=MOST_TIMES).contains(pass)) {
            return passes;
        }
        self.bad_value(
            "ending",
            text,
            format!("the times it is played, from 1 to {MOST_TIMES}, as in 1,2"),
            span,
        );
        vec![1]
    }

    /// Reads the bars straight below `id` as a section of the given kind.
    fn bars(&mut self, id: NodeId, heading: NodeId, kind: SectionKind, name: String) {
        let section = SectionId(self.tune.sections.len() as u32);
        let first = self.tune.bars.len() as u32;
        let (tree, opens) = (self.tree, self.opens_with_bar(id));
        self.tune.sections.push(Section { kind, name, bars: first..first });
        self.source.sections.push(SectionPlace {
            heading: tree.span(heading),
            whole: tree.span(id),
            node: id,
        });
        for child in tree.children(id) {
            match tree.node(child).kind {
                NodeKind::Field => self.change(child),
                NodeKind::Bar => self.bar(child, section),
                _ => {}
            }
        }
        self.tune.sections[section.index()].bars.end = self.tune.bars.len() as u32;
        if opens {
            self.settle_pickup(section);
        }
        self.after.push(self.voice);
    }

    /// Whether music stands before the first bar line of `id`, and there is one.
    fn opens_with_bar(&self, id: NodeId) -> bool {
        let mut rows = self.tree.children(id).map(|child| self.tree.node(child).kind);
        rows.find(|kind| matches!(kind, NodeKind::Bar | NodeKind::BarLine)) == Some(NodeKind::Bar)
            && rows.any(|kind| kind == NodeKind::BarLine)
    }

    /// Makes the first bar of the part `section` its pickup where it is shorter than a bar. Players who
    /// leave out the bar line before a whole first bar mean a bar.
    fn settle_pickup(&mut self, section: SectionId) {
        let section = &mut self.tune.sections[section.index()];
        let SectionKind::Part { pickup, .. } = &mut section.kind else { return };
        let Some(bar) = self.tune.bars.get_mut(section.bars.start as usize) else { return };
        let full = self.tune.frames[bar.frame as usize].meter.bar();
        if bar.content == BarContent::Slots && bar.length < full && bar.length > Duration::ZERO {
            *pickup = true;
            bar.lead = full - bar.length;
        }
    }

    fn finish(mut self) -> Reading {
        self.settle_phrases();
        self.settle_order();
        self.settle_strings();
        self.settle_numbers();
        self.issues.sort_by_key(|issue| issue.span);
        Reading { tune: self.tune, source: self.source, melodies: self.melodies, issues: self.issues }
    }

    /// Gives the slurs after a call of a phrase further down the string that phrase left fingered.
    fn settle_strings(&mut self) {
        for (note, bar) in std::mem::take(&mut self.unsettled) {
            let Some(string) = self.string_after(bar) else { continue };
            let note = &mut self.tune.notes[note as usize];
            if note.string == 0 && !note.alternate {
                note.string = string;
            }
            note.alternate = note.string != string;
        }
    }

    /// The string that is last fingered once the phrase called in `bar` is played: by the phrase, by one
    /// that it calls, or before the call.
    fn string_after(&self, bar: u32) -> Option<u8> {
        let mut fingered = Fingered::After(bar);
        // What was fingered before each call that is looked into.
        let mut before = Vec::new();
        for _ in 0..MOST_CALLS {
            fingered = match fingered {
                Fingered::String(string) => return Some(string),
                Fingered::Nothing => before.pop()?,
                Fingered::After(bar) => {
                    let BarContent::Phrase { section: Some(phrase), .. } =
                        self.tune.bars[bar as usize].content
                    else {
                        return None;
                    };
                    let call = self.before.binary_search_by_key(&bar, |(call, _)| *call).ok()?;
                    before.push(self.before[call].1);
                    self.after.get(phrase.index())?.fingered
                }
            };
        }
        None
    }
}

/// The most calls that are looked into for one slur.
const MOST_CALLS: usize = 64;

/// The most times a part is played in a row.
const MOST_TIMES: u32 = 99;

#[cfg(test)]
mod tests;
