//! Words above the strings: chord symbols, headings, endings, tempos, bar numbers, remarks.

use lope_tune::{Frame, Gait, LabelKind};

use super::above::{Owner, Raised, Row};
use super::draw::{centred, fitted, group, oval, path, point, shape, text};
use super::placed::Placed;
use super::style::{CHORD, FINE_LINE, NUMBER, WORDS};
use super::system::System;
use crate::font;
use crate::frame::{Anchor, Face, Ink, Item, Part, Pen, Point, Step};
use crate::score::{Closing, Content, Heading};

/// Raises the labels and remarks of a bar.
pub fn labels(system: &mut System<'_>, bar: &Placed<'_>) {
    let drawn = system.drawn(bar);
    remarks(system, bar);
    if drawn.content != Content::Slots {
        return;
    }
    let tune = system.stage.tune;
    let first = tune.labels.partition_point(|label| label.bar < drawn.bar);
    let own = tune.labels[first..].iter().take_while(|label| label.bar == drawn.bar);
    let events = tune.events_of(&tune.bars[drawn.bar.index()]);
    let columns = &bar.measure.columns;
    for label in own {
        // In a piece of a bar are the labels of its own columns.
        let column = events.partition_point(|event| event.onset <= label.onset).saturating_sub(1);
        if !columns.contains(&column) {
            continue;
        }
        let (row, face, size) = match label.kind {
            LabelKind::Words => (Row::Words, Face::Italic, WORDS),
            LabelKind::Chord => (Row::Chords, Face::Bold, CHORD),
        };
        let x = bar.columns.x(label.onset) - 3.0;
        words(system, row, (face, size), &label.text, x, Owner::Bar(bar.number));
    }
}

/// Raises `words` that begin at `x`, moved to the left and shortened where they would leave the system.
fn words(system: &mut System<'_>, row: Row, (face, size): (Face, f32), words: &str, x: f32, owner: Owner) {
    let words = words.trim();
    if words.is_empty() {
        return;
    }
    let (words, size) = fitted(words, face, size, system.room, 0.7);
    let wide = font::width(face, size, &words);
    let from = x.min(system.room - wide).max(0.0);
    let ink = Ink::Text;
    let items = vec![text(point(from, -size * 0.22), Anchor::Start, (face, size), ink, words)];
    system.trail.raised.push(Raised { row, from, to: from + wide, height: size * 0.95, items, owner });
}

/// How often a part is played, before the right edge of its last bar.
pub fn times(system: &mut System<'_>, times: u32, right: f32) {
    let said = format!("{times} times");
    let x = right - font::width(Face::Italic, WORDS, &said);
    words(system, Row::Words, (Face::Italic, WORDS), &said, x, Owner::System);
}

/// Marks the remarks on a bar by their numbers, above what they are about.
fn remarks(system: &mut System<'_>, bar: &Placed<'_>) {
    let drawn = system.drawn(bar);
    let (tune, columns) = (system.stage.tune, &bar.measure.columns);
    let events = tune.bars[drawn.bar.index()].events.clone();
    for (number, remark) in system.stage.wishes.remarks.iter().enumerate() {
        if !drawn.is_of(remark.bar) {
            continue;
        }
        let column = remark.event.and_then(|event| event.0.checked_sub(events.start));
        let column = column.filter(|_| drawn.content == Content::Slots).map(|column| column as usize);
        let x = match column {
            Some(column) if columns.contains(&column) => {
                bar.columns.x(tune.events[(events.start as usize) + column].onset)
            }
            Some(_) => continue,
            None if bar.measure.first => bar.from + 9.0,
            None => continue,
        };
        let (items, half) = flag(number, point(x, 0.0));
        let said = remark.text.clone();
        system.trail.raised.push(Raised {
            row: Row::Remarks,
            from: x - half,
            to: x + half,
            height: 10.5,
            items: vec![group(Part::Finding(number as u32), said, items)],
            owner: Owner::Bar(bar.number),
        });
    }
}

/// The number of a remark in a ring that points down at `foot`; and half of its width.
pub fn flag(number: usize, foot: Point) -> (Vec<Item>, f32) {
    let words = (number + 1).to_string();
    let half = (font::width(Face::Bold, 6.6, &words) / 2.0 + 2.0).max(4.0);
    let middle = point(foot.x, foot.y - 6.2);
    let ring = shape(oval(middle, half, 4.0), Pen::Fill, Ink::Finding);
    let tip = vec![
        Step::Move(point(foot.x - 1.8, foot.y - 3.0)),
        Step::Line(point(foot.x + 1.8, foot.y - 3.0)),
        Step::Line(foot),
        Step::Close,
    ];
    let items = vec![
        ring,
        shape(tip, Pen::Fill, Ink::Finding),
        centred(middle, (Face::Bold, 6.6), Ink::Paper, words),
    ];
    (items, half)
}

/// Raises the number of the first bar, the names of parts, and changes of tempo and gait.
pub fn numbers_and_headings(system: &mut System<'_>, placed: &[Placed<'_>]) {
    for bar in placed {
        let drawn = system.drawn(bar);
        if bar.number == 0 && drawn.heading.is_none() {
            let number = drawn.number.to_string();
            let wide = font::width(Face::Regular, NUMBER, &number);
            let at = point(bar.from, -0.6);
            let items = vec![text(at, Anchor::Start, (Face::Regular, NUMBER), Ink::Faint, number)];
            let (from, to) = (bar.from, bar.from + wide);
            system.trail.raised.push(Raised {
                row: Row::Number,
                from,
                to,
                height: 6.0,
                items,
                owner: Owner::System,
            });
        }
        if !bar.measure.first {
            continue;
        }
        let mut right = bar.from;
        match &drawn.heading {
            Some(Heading::Part(name)) => right = tag(system, name, bar.from) + 8.0,
            Some(Heading::Phrase(name)) => {
                right = tag(system, &format!("phrase {name}, not called"), bar.from) + 8.0
            }
            None => {}
        }
        changes(system, bar, right);
    }
}

/// The name of a part, light on dark; answers its right edge.
fn tag(system: &mut System<'_>, name: &str, x: f32) -> f32 {
    let (name, size) = fitted(name, Face::Bold, 10.5, (system.room - x) * 0.6, 0.8);
    let wide = font::width(Face::Bold, size, &name) + 9.0;
    let (height, round) = (14.0, 2.2);
    let outline = vec![
        Step::Move(point(x + round, -height)),
        Step::Line(point(x + wide - round, -height)),
        Step::Curve(point(x + wide, -height), point(x + wide, -height), point(x + wide, -height + round)),
        Step::Line(point(x + wide, -round)),
        Step::Curve(point(x + wide, 0.0), point(x + wide, 0.0), point(x + wide - round, 0.0)),
        Step::Line(point(x + round, 0.0)),
        Step::Curve(point(x, 0.0), point(x, 0.0), point(x, -round)),
        Step::Line(point(x, -height + round)),
        Step::Curve(point(x, -height), point(x, -height), point(x + round, -height)),
        Step::Close,
    ];
    let middle = point(x + wide / 2.0, -height / 2.0);
    let items =
        vec![shape(outline, Pen::Fill, Ink::Text), centred(middle, (Face::Bold, size), Ink::Paper, name)];
    let (from, to) = (x, x + wide);
    system.trail.raised.push(Raised {
        row: Row::Headings,
        from,
        to,
        height: height + 1.0,
        items,
        owner: Owner::System,
    });
    to
}

/// Raises what changes with a bar: the tempo, and a gait that is not the meter's own.
fn changes(system: &mut System<'_>, bar: &Placed<'_>, x: f32) {
    let stage = system.stage;
    let Some(before) = bar.measure.drawn.checked_sub(1) else { return };
    let frame = |at: usize| &stage.tune.frames[stage.score.bars[at].frame as usize];
    let (before, now) = (frame(before), frame(bar.measure.drawn));
    let (mut items, mut wide) = (Vec::new(), 0.0);
    if (before.tempo, before.meter.beat()) != (now.tempo, now.meter.beat()) {
        (items, wide) = tempo(now, x, -2.0);
    }
    if custom_gait(before) != custom_gait(now) {
        let words = custom_gait(now).map_or_else(|| "usual gait".to_owned(), |gait| format!("gait {gait}"));
        let from = x + if wide > 0.0 { wide + 8.0 } else { 0.0 };
        wide = from - x + font::width(Face::Italic, WORDS, &words);
        items.push(text(point(from, -2.0), Anchor::Start, (Face::Italic, WORDS), Ink::Text, words));
    }
    if !items.is_empty() {
        let over = (x + wide - system.room).max(0.0);
        super::draw::place(&mut items, point(-over, 0.0), 1.0);
        let (from, to) = (x - over, x + wide - over);
        let owner = Owner::Bar(bar.number);
        system.trail.raised.push(Raised { row: Row::Headings, from, to, height: 13.0, items, owner });
    }
}

/// A tempo at `x` with its foot at `y`, and how wide it is.
pub fn tempo(frame: &Frame, x: f32, y: f32) -> (Vec<Item>, f32) {
    let beat = frame.meter.beat();
    let dots = u8::from(beat.numerator() == 3);
    // Three eighths are a quarter and a half of it.
    let written = if dots == 1 { beat.denominator() / 2 } else { beat.denominator() };
    let halvings = written.max(1).ilog2() as u8;
    let (mut items, wide) = super::signs::note(x, halvings, dots, Ink::Text);
    super::draw::place(&mut items, point(0.0, y), 1.0);
    let words = format!("= {}", frame.tempo);
    let all = wide + 3.0 + font::width(Face::Regular, 9.5, &words);
    items.push(text(point(x + wide + 3.0, y), Anchor::Start, (Face::Regular, 9.5), Ink::Text, words));
    (items, all)
}

/// The gait where it is not the one that the meter brings.
pub fn custom_gait(frame: &Frame) -> Option<Gait> {
    Some(frame.gait).filter(|gait| *gait != Gait::of(frame.meter, frame.unit))
}

/// Raises the brackets over endings.
pub fn endings(system: &mut System<'_>, placed: &[Placed<'_>]) {
    let mut at = 0;
    while at < placed.len() {
        let Some(ending) = &system.drawn(&placed[at]).ending else {
            at += 1;
            continue;
        };
        let ends = |bar: &Placed<'_>| {
            system.drawn(bar).ending.as_ref().is_some_and(|ending| ending.ends) && bar.measure.last
        };
        let last = (at..placed.len()).find(|next| ends(&placed[*next]));
        let closes =
            last.is_some_and(|last| matches!(system.drawn(&placed[last]).closes, Closing::Repeat(_)));
        let end = last.unwrap_or_else(|| {
            let same = |next: &usize| {
                system.drawn(&placed[*next]).ending.as_ref().is_some_and(|one| one.label == ending.label)
            };
            (at..placed.len()).take_while(same).last().unwrap_or(at)
        });
        let (from, to) = (placed[at].from + 1.5, placed[end].to - 1.5);
        let begins = ending.begins && placed[at].measure.first;
        let height = 11.0;
        let mut points = vec![point(from, -height), point(to, -height)];
        if begins {
            points.insert(0, point(from, -1.5));
        }
        if closes {
            points.push(point(to, -1.5));
        }
        let mut items = vec![path(&points, FINE_LINE, Ink::Text)];
        if begins {
            let (label, size) = fitted(&ending.label, Face::Regular, 8.0, (to - from - 6.0).max(6.0), 0.6);
            items.push(text(point(from + 3.2, -2.6), Anchor::Start, (Face::Regular, size), Ink::Text, label));
        }
        let owner = Owner::System;
        system.trail.raised.push(Raised { row: Row::Endings, from, to, height: height + 0.5, items, owner });
        at = end + 1;
    }
}
