//! What a line can begin with beside music: fields and headings.

use lope_rules::Music;
use lope_tune::{CHANGING, SectionKind};

use super::names::{next_ending, next_part};
use super::{Completion, CompletionKind};
use crate::fields::{FieldPage, PAGES};
use crate::topic::{Subject, Topic};

/// The fields and headings that can stand at the start of the line at `at`, which is below a heading or not,
/// and may have its colon already.
pub fn items(music: &Music, at: u32, in_section: bool, has_colon: bool) -> Vec<Completion> {
    let fields = |wanted: &dyn Fn(&FieldPage) -> bool| -> Vec<Completion> {
        PAGES.iter().filter(|page| wanted(page)).map(|page| field(page, music, has_colon)).collect()
    };
    let changes = |page: &FieldPage| CHANGING.contains(&page.name);
    if in_section {
        let headings = if has_colon { Vec::new() } else { headings(music, at) };
        return [headings, fields(&changes), fields(&|page| page.name == "tune")].concat();
    }
    let given = |page: &FieldPage| page.name != "note" && is_given(music, page.name, at);
    let begun = ["tune", "meter", "tuning"].iter().all(|name| is_given(music, name, at));
    let mut headings = if has_colon { Vec::new() } else { headings(music, at) };
    let missing = fields(&|page| !given(page));
    let late = if begun { Vec::new() } else { std::mem::take(&mut headings) };
    [headings, missing, late, fields(&given)].concat()
}

/// Whether a field called `name` stands in the header, on another line than the one at `at`.
fn is_given(music: &Music, name: &str, at: u32) -> bool {
    let mut fields = music.source.fields.iter();
    fields.any(|(known, id)| *known == name && !music.tree.span(*id).touches(at))
}

fn field(page: &FieldPage, music: &Music, has_colon: bool) -> Completion {
    let item = Completion::new(CompletionKind::Field, page.name, page.says)
        .about(Topic::new(Subject::Field, page.name));
    let start = format!("{}: ", page.name);
    match has_colon {
        true => item.putting(start.trim_end()),
        false => item.filled_in(&[&start, &example(page.name, music)]).putting(start.clone()),
    }
}

/// A value to start from.
fn example(name: &str, music: &Music) -> String {
    let frame = music.tune.frames.first().copied().unwrap_or_default();
    let knows_meter = music.tune.header.kind.is_some() || is_given(music, "meter", u32::MAX);
    let example = match name {
        "tune" => "Title",
        "kind" => "jig",
        "meter" if knows_meter => return frame.meter.to_string(),
        "meter" => "6/8",
        "tuning" => "gDGBD",
        "capo" => "2",
        "tempo" => "100",
        "order" => "A A B B",
        "gait" => return frame.gait.to_string(),
        "unit" => "1/8",
        "feel" => "swing 2:1",
        _ => "text",
    };
    example.to_owned()
}

/// The headings that can stand at `at`.
fn headings(music: &Music, at: u32) -> Vec<Completion> {
    let heading = |label: String, detail: &str| Completion::new(CompletionKind::Heading, label, detail);
    let name = next_part(music);
    let part = heading(format!("part {name}"), "a part; its music stands below");
    let mut headings = vec![part.filled_in(&["part ", &name, " x", "2", ""])];
    let above = music.source.sections.iter().rposition(|place| place.heading.end < at);
    if let Some(above) = above
        && music.tune.sections[above].kind != SectionKind::Phrase
    {
        let number = next_ending(music, above);
        headings.push(heading(format!("ending {number}"), "an ending of the part above"));
    }
    let phrase = heading("phrase".to_owned(), "bars with a name, played wherever @name stands");
    headings.push(phrase.filled_in(&["phrase ", "name", ""]).putting("phrase "));
    let melody = heading("melody".to_owned(), "bars in pitches, to be turned into tab");
    headings.push(melody.filled_in(&["melody ", "A", ""]).putting("melody "));
    headings
}

#[cfg(test)]
mod tests {
    use super::super::testing::{complete, item, labels};
    use super::super::{Piece, testing};

    #[test]
    fn fields_that_are_missing_come_first() {
        let head = labels("tune: T\nkind: jig\n$0");
        assert_eq!(head[..4], ["meter", "tuning", "capo", "tempo"]);
        assert_eq!(head[head.len() - 4..], ["phrase", "melody", "tune", "kind"]);
    }

    #[test]
    fn a_part_comes_first_once_the_head_is_there() {
        let ready = labels("tune: T\nmeter: 6/8\ntuning: gDGBD\nnote: a\n$0\n");
        assert_eq!(ready[..4], ["part A", "phrase", "melody", "kind"]);
        assert!(ready.iter().position(|name| name == "note") < ready.iter().position(|name| name == "tune"));
    }

    #[test]
    fn a_name_that_has_its_colon_keeps_what_follows() {
        let (word, _) = complete("tune: T\nme$0: 6/8\n");
        assert_eq!(word, "me:");
        let meter = item("tune: T\nme$0: 6/8\n", "meter");
        assert_eq!((meter.text.as_str(), meter.template), ("meter:", None));
        let meter = item("tune: T\nkind: waltz\n$0", "meter");
        let pieces = [Piece::Text("meter: ".to_owned()), Piece::Hole("3/4".to_owned())];
        assert_eq!((meter.text.as_str(), meter.template), ("meter: ", Some(pieces.to_vec())));
    }

    #[test]
    fn between_bars_headings_and_changes_are_offered() {
        let found = labels(&testing::jig("| 3:0-- 3:0-- |\nending 1\n| 3:0-- 3:0-- |\n$0"));
        let heads: Vec<_> = found.iter().skip_while(|label| *label != "part B").collect();
        assert_eq!(
            heads,
            ["part B", "ending 2", "phrase", "melody", "meter", "tempo", "gait", "unit", "tune"]
        );
    }
}
