//! What fields may say.

use lope_rules::Music;
use lope_syntax::Span;
use lope_tune::{Duration, Gait, KINDS, Meter, NAMED, Tuning};

use super::{Completion, CompletionKind};
use crate::scale::Scale;
use crate::topic::{Subject, Topic};

/// Meters in the order in which tunes use them. Common practice.
const METERS: [&str; 8] = ["6/8", "4/4", "9/8", "2/4", "3/4", "12/8", "2/2", "7/8"];

/// Gaits beside the meter's own.
const GAITS: [&str; 8] = ["x.", "x.x", "x.x.x", "x.x.x.x", "x.xx.x.", "x.x.x.xx.", "x.xx.xx.", "x"];

/// Tempos from slow practice to a dance. From memory.
const TEMPOS: [u32; 7] = [60, 72, 84, 92, 100, 108, 116];

/// What `field` may say, to stand at `span`; with a blank before it where it is `glued` to the colon.
pub fn items(music: &Music, field: &str, span: Span, glued: bool) -> Vec<Completion> {
    let mut items = match field {
        "kind" => kinds(music, span),
        "meter" => meters(music),
        "unit" => units(music),
        "tuning" => tunings(),
        "capo" => capos(music),
        "tempo" => tempos(music),
        "feel" => feels(),
        "gait" => gaits(music),
        "order" => order(music, span),
        _ => Vec::new(),
    };
    for item in items.iter_mut().filter(|_| glued) {
        item.text.insert(0, ' ');
    }
    items
}

fn value(label: impl Into<String>, detail: impl Into<String>) -> Completion {
    Completion::new(CompletionKind::Value, label, detail)
}

/// Kinds of tune. A kind brings its meter, where no field says one yet and nothing else is on the line.
fn kinds(music: &Music, span: Span) -> Vec<Completion> {
    let after = Span::new(span.end, music.text.len() as u32).of(music.text);
    let line = after.split(['\r', '\n']).next().unwrap_or_default();
    let has_meter = music.source.fields.iter().any(|(name, _)| *name == "meter");
    let line_break = if music.text.contains("\r\n") { "\r\n" } else { "\n" };
    let kind = |(name, meter): &(&str, Meter)| {
        if has_meter || !line.trim().is_empty() {
            return value(*name, format!("usually in {meter}"));
        }
        value(*name, format!("in {meter}, which it brings along"))
            .putting(format!("{name}{line_break}meter: {meter}"))
    };
    KINDS.iter().map(kind).collect()
}

fn meters(music: &Music) -> Vec<Completion> {
    let kind = music.tune.header.kind.as_deref().unwrap_or_default();
    let usual = KINDS.iter().find(|(name, _)| *name == kind).map(|(_, meter)| meter.to_string());
    let meter = |text: &&str| {
        let meter = Meter::parse(text)?;
        let kinds: Vec<&str> = KINDS.iter().filter(|(_, own)| *own == meter).map(|(name, _)| *name).collect();
        let kinds = if kinds.is_empty() { String::new() } else { format!("{}; ", kinds.join(", ")) };
        let gait = Gait::of(meter, meter.slot());
        Some(value(*text, format!("{kinds}gait {gait}")).about(Topic::new(Subject::Meter, *text)))
    };
    let mut meters: Vec<Completion> = METERS.iter().filter_map(meter).collect();
    meters.sort_by_key(|item| Some(&item.label) != usual.as_ref());
    meters
}

fn units(music: &Music) -> Vec<Completion> {
    let meter = music.tune.frames.first().copied().unwrap_or_default().meter;
    let unit = |parts: &i64| {
        let unit = Duration::new(1, *parts);
        let own = if unit == meter.slot() { ", as without this field" } else { "" };
        (
            unit == meter.slot(),
            value(format!("1/{parts}"), format!("{} slots in a bar{own}", meter.bar().divide(unit).0)),
        )
    };
    let mut units: Vec<_> = [8, 16, 4].iter().map(unit).collect();
    units.sort_by_key(|(own, _)| !own);
    units.into_iter().map(|(_, item)| item).collect()
}

/// Tunings by name, then by their notes.
fn tunings() -> Vec<Completion> {
    let sounds = |notes: &str| Some(strings(&Tuning::parse(notes)?, 0));
    let item = |label: &str, other: &str, notes: &str| {
        let sounds = sounds(notes).unwrap_or_default();
        value(label, format!("{other}: {sounds}")).about(Topic::new(Subject::Tuning, notes))
    };
    let named = NAMED.iter().map(|(name, notes)| item(name, notes, notes));
    named.chain(NAMED.iter().map(|(name, notes)| item(notes, name, notes))).collect()
}

/// What the open strings of `tuning` sound behind a capo at fret `capo`, from string 5 to 1.
fn strings(tuning: &Tuning, capo: u8) -> String {
    let scale = Scale::of_tuning(tuning, capo);
    let open = (1..=5).rev().filter_map(|string| tuning.open(string, capo));
    open.map(|pitch| scale.pitch_name(pitch)).collect::<Vec<_>>().join(" ")
}

fn capos(music: &Music) -> Vec<Completion> {
    let tuning = music.tune.header.tuning;
    let capo = |fret: u8| value(fret.to_string(), format!("the open strings: {}", strings(&tuning, fret)));
    // Two and up are what players use to reach another key; without one the field is left out.
    [2, 3, 4, 5, 1, 7].into_iter().map(capo).collect()
}

fn tempos(music: &Music) -> Vec<Completion> {
    let frame = music.tune.frames.first().copied().unwrap_or_default();
    let tempo = |tempo: &u32| {
        let slot = lope_tune::Frame { tempo: *tempo, ..frame }.micros(frame.unit) / 1000;
        value(tempo.to_string(), format!("a slot takes {slot} ms"))
    };
    TEMPOS.iter().rev().map(tempo).collect()
}

fn feels() -> Vec<Completion> {
    vec![
        value("straight", "as written"),
        value("swing 2:1", "the first of two slots lasts twice as long"),
        value("swing 3:2", "the first of two slots is a little longer"),
    ]
}

/// The meter's own gait, then others that go into a bar a whole number of times.
fn gaits(music: &Music) -> Vec<Completion> {
    let frame = music.tune.frames.first().copied().unwrap_or_default();
    let own = Gait::of(frame.meter, frame.unit);
    let fits = |strokes: &str| {
        Gait::parse(strokes, frame.unit).is_some_and(|gait| frame.meter.bar().is_multiple_of(gait.period()))
    };
    let own = own.to_string();
    let others = GAITS.into_iter().filter(|strokes| fits(strokes) && *strokes != own);
    let item = |strokes: &str, detail: &str| value(strokes, detail).about(Topic::new(Subject::Gait, strokes));
    let first = item(&own, "the gait of the meter, as without this field");
    let times = |strokes: &str| frame.meter.bar().divide(frame.unit.times(strokes.len() as u32)).0;
    let others = others.map(|strokes| match times(strokes) {
        1 => item(strokes, "once in a bar"),
        times => item(strokes, &format!("{times} times in a bar")),
    });
    std::iter::once(first).chain(others).collect()
}

/// The parts, and at the start each as often as it says.
fn order(music: &Music, span: Span) -> Vec<Completion> {
    let parts: Vec<_> = music.tune.parts().collect();
    let line = music.text[..span.start as usize].rsplit(['\r', '\n']).next().unwrap_or_default();
    let whole = music.tune.header.order.is_empty() || line.trim_end().ends_with(':');
    let mut items: Vec<Completion> = Vec::new();
    if whole && parts.len() > 1 {
        let names = parts.iter().flat_map(|(id, part)| {
            let times = match music.tune.sections[id.index()].kind {
                lope_tune::SectionKind::Part { times, .. } => times,
                _ => 1,
            };
            std::iter::repeat_n(part.name.as_str(), times as usize)
        });
        items.push(value(names.collect::<Vec<_>>().join(" "), "as the parts say themselves"));
    }
    items.extend(parts.iter().map(|(_, part)| {
        Completion::new(CompletionKind::Name, part.name.clone(), format!("part {}", part.name))
    }));
    items
}

#[cfg(test)]
mod tests {
    use super::super::testing::{item, labels};

    #[test]
    fn a_kind_brings_its_meter_along_once() {
        assert_eq!(item("tune: T\nkind: $0\n", "slip jig").text, "slip jig\nmeter: 9/8");
        assert_eq!(item("tune: T\r\nkind: $0\r\n", "jig").text, "jig\r\nmeter: 6/8");
        assert_eq!(item("tune: T\nkind:$0\n", "jig").text, " jig\nmeter: 6/8");
        assert_eq!(item("tune: T\nkind: $0  # c\n", "jig").text, "jig");
        assert_eq!(item("tune: T\nkind: $0\nmeter: 9/8\n", "jig").text, "jig");
    }

    #[test]
    fn the_usual_comes_first() {
        assert_eq!(labels("tune: T\nkind: waltz\nmeter: $0\n")[..2], ["3/4", "6/8"]);
        assert_eq!(item("tune: T\nmeter: $0\n", "6/8").detail, "jig; gait x.x");
        assert_eq!(labels("tune: T\nmeter: 2/4\nunit: $0\n")[0], "1/16");
        assert_eq!(labels("tune: T\nmeter: 6/8\ngait: $0\n"), ["x.x", "x.", "x"]);
        assert_eq!(labels("tune: T\nmeter: 7/8\ngait: $0\n"), ["x.x.x.x", "x.xx.x.", "x"]);
        assert_eq!(item("tune: T\nmeter: 6/8\ntempo: $0\n", "100").detail, "a slot takes 200 ms");
        assert_eq!(labels("tune: T\nfeel: $0\n").len(), 3);
        assert_eq!(labels("tune: T\nby: $0\n"), [""; 0]);
    }

    #[test]
    fn tunings_are_offered_by_name_and_by_notes() {
        let open_g = item("tune: T\ntuning: $0\n", "open G");
        assert_eq!(open_g.detail, "gDGBD: G4 D3 G3 B3 D4");
        assert_eq!(item("tune: T\ntuning: $0\n", "G minor").detail, "gDGBbD: G4 D3 G3 Bb3 D4");
        assert_eq!(item("tune: T\ntuning: $0\n", "gCGCD").detail, "double C: G4 C3 G3 C4 D4");
        assert_eq!(
            item("tune: T\ntuning: open G\ncapo: $0\n", "2").detail,
            "the open strings: A4 E3 A3 C#4 E4"
        );
    }

    #[test]
    fn an_order_is_offered_whole_and_part_by_part() {
        let tune =
            |order: &str| format!("tune: T\nmeter: 6/8\norder: {order}\npart A x2\n1:0\npart B\n1:0\n");
        assert_eq!(labels(&tune("$0")), ["A A B", "A", "B"]);
        assert_eq!(labels(&tune("A $0")), ["A", "B"]);
    }
}
