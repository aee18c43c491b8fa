//! Fields: what each name says, and what a value means for the tune.

use lope_syntax::{NodeKind, TokenKind};
use lope_tune::{CHANGING, Feel, Frame, KINDS, Tuning};

use super::passing::{length, unit_name};
use super::{Hover, Look, drawing};
use crate::fields::field_page;
use crate::scale::Scale;

/// What there is to say of a field's name: its page, and whether it may change in mid-tune.
pub fn name(look: Look<'_>) -> Option<Hover> {
    let page = field_page(field(look)?);
    let page = page.or_else(|| look.unreadable_name().and_then(field_page))?;
    let mut lines = page.lines();
    if CHANGING.contains(&page.name) {
        lines.push("may change in mid-tune, from the next bar on".to_owned());
    }
    Some(look.said(page.name, lines))
}

/// What there is to say of a field's value.
pub fn value(look: Look<'_>) -> Option<Hover> {
    let name = field(look)?;
    let title = format!("{name}: {}", look.text());
    let header = &look.music.tune.header;
    let frame = frame_after(look);
    let (lines, drawing) = match name {
        "meter" => (meter(frame), drawing::strokes(frame.gait, frame.meter)),
        "gait" => {
            let step = length(frame.gait.step(), frame);
            (
                vec![format!("falls and rises of the right hand, one every {step}")],
                drawing::strokes(frame.gait, frame.meter),
            )
        }
        "unit" => (vec![format!("a slot lasts {}", look.text()), bar_of_slots(frame)], Vec::new()),
        "tempo" => (tempo(frame), Vec::new()),
        "feel" => (vec![feel(frame.feel)], Vec::new()),
        "tuning" => (vec!["the open strings".to_owned()], strings(&header.tuning, 0)),
        "capo" => (
            vec![format!("the open strings behind a capo at fret {}", header.capo)],
            strings(&header.tuning, header.capo),
        ),
        "order" => (order(look), Vec::new()),
        "kind" => (kind(look.text()), Vec::new()),
        _ => (vec![field_page(name)?.says.to_owned()], Vec::new()),
    };
    Some(Hover { drawing, ..look.said(title, lines) })
}

/// The name of the field the token belongs to.
fn field<'a>(look: Look<'a>) -> Option<&'a str> {
    let field = look.inside(NodeKind::Field)?;
    Some(look.music.tree.token_of(field, TokenKind::FieldName)?.span.of(look.music.text))
}

impl Look<'_> {
    /// The known name nearest to the one under the cursor.
    fn unreadable_name(&self) -> Option<&'static str> {
        lope_syntax::nearest(&field(*self)?.to_lowercase(), lope_tune::FIELDS)
    }
}

/// The frame in force once the token's field is: that of the next bar, or the last.
fn frame_after<'a>(look: Look<'a>) -> &'a Frame {
    let (tune, bars) = (look.music.tune, &look.music.source.bars);
    let next = bars.partition_point(|bar| bar.span.start < look.token.span.end);
    match tune.bars.get(next) {
        Some(bar) => tune.frame(bar),
        None => &tune.frames[tune.frames.len() - 1],
    }
}

fn kind(name: &str) -> Vec<String> {
    let meter = KINDS.iter().find(|(kind, _)| *kind == name).map(|(_, meter)| format!("usually in {meter}"));
    std::iter::once("what sort of tune it is".to_owned()).chain(meter).collect()
}

fn meter(frame: &Frame) -> Vec<String> {
    let meter = frame.meter;
    let beat = if meter.is_compound() { "three of them" } else { "one of them" };
    let unit = unit_name(lope_tune::Duration::new(1, i64::from(meter.unit)));
    vec![format!("{} {unit} in a bar; a beat is {beat}", meter.beats), bar_of_slots(frame)]
}

fn bar_of_slots(frame: &Frame) -> String {
    format!("a bar has {}", length(frame.meter.bar(), frame))
}

fn tempo(frame: &Frame) -> Vec<String> {
    let beat = length(frame.meter.beat(), frame);
    let millis = |micros: u64| micros / 1000;
    vec![
        format!("{} beats a minute, each {beat}", frame.tempo),
        format!(
            "a slot takes {} ms, a bar {} ms",
            millis(frame.micros(frame.unit)),
            millis(frame.micros(frame.meter.bar()))
        ),
    ]
}

fn feel(feel: Feel) -> String {
    match feel {
        Feel::Straight => "slots are played as long as they are written".to_owned(),
        Feel::Swing { long, short } => {
            format!("of two slots the first has {long} shares of the time and the second {short}")
        }
    }
}

/// The part named under the cursor, and how its turn goes on.
fn order(look: Look<'_>) -> Vec<String> {
    let tune = look.music.tune;
    let before = look.at.saturating_sub(look.token.span.start) as usize;
    let number = look.text().get(..before).map_or(0, |text| {
        let words = text.split_whitespace().count();
        if text.ends_with(char::is_whitespace) || text.is_empty() { words } else { words - 1 }
    });
    let Some(name) = look.text().split_whitespace().nth(number) else { return Vec::new() };
    let all = tune.header.order.len();
    let mut lines = vec![format!("part {name} is number {} of {all} to be played", number + 1)];
    lines.extend(
        tune.parts().all(|(_, part)| part.name != *name).then(|| "there is no part of that name".to_owned()),
    );
    lines
}

/// The open strings of `tuning` behind a capo at fret `capo`, a line each.
pub fn strings(tuning: &Tuning, capo: u8) -> Vec<String> {
    let scale = Scale::of_tuning(tuning, capo);
    let line = |string: u8| {
        let pitch = scale.pitch_name(tuning.open(string, capo)?);
        Some(format!("{string}  {pitch}{}", if string == 5 { "  the drone" } else { "" }))
    };
    (1..=5).rev().filter_map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::check;

    const TUNE: &str = "\
tune: A Wet Towel
metre: 6/8
kind: jig
meter: 6/8
tuning: sawmill
capo: 2
tempo: 100
feel: swing 2:1
order: A B A

part A
| 1:0-- 1:0-- |
unit: 1/4
gait: x..x
meter: 4/4
| 1:0 1:0 1:0 1:0 |
";

    #[test]
    fn a_name_shows_its_page() {
        check(
            TUNE,
            "tempo",
            &[
                "\"tempo\" tempo",
                "beats a minute",
                "values: 20 to 400; in 6/8, 9/8 and 12/8 a beat is three eighths",
                "without it: 90",
                "may change in mid-tune, from the next bar on",
            ],
        );
        check(
            TUNE,
            ": jig",
            &[
                "\":\" kind",
                "what sort of tune it is",
                "values: any text: jig, reel, slow blues",
                "without it: nothing is said",
            ],
        );
    }

    #[test]
    fn a_value_tells_what_it_means() {
        let six =
            ["\"6/8\" meter: 6/8", "6 eighths in a bar; a beat is three of them", "a bar has 6 eighths"];
        let gait = ["count  1  2  3  4  5  6", "gait   x  .  x  x  .  x", "hand   ▼  △  ▼  ▼  △  ▼"];
        check(&TUNE.replace("metre: 6/8\n", ""), "6/8", &[&six[..], &gait].concat());
        check(
            TUNE,
            "sawmill",
            &[
                "\"sawmill\" tuning: sawmill",
                "the open strings",
                "5  G4  the drone",
                "4  D3",
                "3  G3",
                "2  C4",
                "1  D4",
            ],
        );
        check(
            TUNE,
            "2\nt",
            &[
                "\"2\" capo: 2",
                "the open strings behind a capo at fret 2",
                "5  A4  the drone",
                "4  E3",
                "3  A3",
                "2  D4",
                "1  E4",
            ],
        );
        check(
            TUNE,
            "100",
            &[
                "\"100\" tempo: 100",
                "100 beats a minute, each 3 eighths",
                "a slot takes 200 ms, a bar 1200 ms",
            ],
        );
        check(
            TUNE,
            "swing",
            &[
                "\"swing 2:1\" feel: swing 2:1",
                "of two slots the first has 2 shares of the time and the second 1",
            ],
        );
        check(TUNE, "jig", &["\"jig\" kind: jig", "what sort of tune it is", "usually in 6/8"]);
        check(
            TUNE,
            "B A",
            &[
                "\"A B A\" order: A B A",
                "part B is number 2 of 3 to be played",
                "there is no part of that name",
            ],
        );
    }

    #[test]
    fn a_change_in_mid_tune_is_told_as_it_holds_from_there() {
        let four =
            ["\"4/4\" meter: 4/4", "4 quarters in a bar; a beat is one of them", "a bar has 4 quarters"];
        let gait = [
            "count  1  &  2  &  3  &  4  &",
            "gait   x  .  x  .  x  .  x  .",
            "hand   ▼  △  ▼  △  ▼  △  ▼  △",
        ];
        check(TUNE, "4/4", &[&four[..], &gait].concat());
    }
}
