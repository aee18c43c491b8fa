//! A call of a phrase replaced by the bars it plays.

use lope_rules::Edit;
use lope_syntax::{Span, TokenKind};
use lope_tune::{BarContent, BarId, SectionId};

use super::scene::Scene;
use super::{Offer, Refactoring};

pub static REFACTORING: Refactoring = Refactoring { kind: "refactor.inline.phrase", offers };

fn offers(scene: &Scene<'_>) -> Vec<Offer> {
    let Some(bar) = scene.bar().filter(|bar| scene.touches(scene.music.source.bars[bar.index()].span)) else {
        return Vec::new();
    };
    let BarContent::Phrase { name, section: Some(phrase) } = &scene.music.tune.bars[bar.index()].content
    else {
        return Vec::new();
    };
    let removal = removal(scene, *phrase);
    let title = match removal {
        Some(_) => format!("write out phrase {name} here, the only place that calls it, and remove it"),
        None => format!("write out phrase {name} here"),
    };
    vec![Offer { title, edits: inline(scene, bar, *phrase, removal) }]
}

fn inline(
    scene: &Scene<'_>,
    bar: BarId,
    phrase: SectionId,
    removal: Option<Span>,
) -> Result<Vec<Edit>, String> {
    let music = &scene.music;
    let contents = scene.reading.contents(phrase).ok_or("the phrase is empty")?;
    let frame = music.tune.frame(&music.tune.bars[bar.index()]);
    let mut bars = music.tune.bars_of(&music.tune.sections[phrase.index()]);
    if scene.has(contents, TokenKind::FieldName) || bars.any(|(_, bar)| music.tune.frame(bar) != frame) {
        return Err("the phrase is in another time than the place that calls it".to_owned());
    }
    let mut text = contents.of(scene.text()).to_owned();
    let (places, at) = (&music.source.bars, bar.index());
    let section = &music.tune.sections[places[at].section.index()];
    // Calls between the same two bar lines share the line that closes them; bars of slots need their own.
    let beside =
        |other: u32| section.bars.contains(&other) && places[other as usize].close == places[at].close;
    let opens = bar.0 == section.bars.start
        && !scene.has(Span::new(heading_end(scene, bar), places[at].span.start), TokenKind::BarLine);
    if opens || bar.0.checked_sub(1).is_some_and(beside) {
        text.insert_str(0, "| ");
    }
    if beside(bar.0 + 1) {
        text.push_str(" |");
    }
    let mut edits = vec![Edit::replace(places[at].span, text)];
    edits.extend(removal.map(|span| Edit::replace(span, "")));
    scene.same_music(edits, "the phrase would sound otherwise in its place")
}

fn heading_end(scene: &Scene<'_>, bar: BarId) -> u32 {
    scene.music.source.sections[scene.section_of(bar).index()].heading.end
}

/// The lines of `phrase`, where it is called once and nothing would be lost with them but its bars.
fn removal(scene: &Scene<'_>, phrase: SectionId) -> Option<Span> {
    let music = &scene.music;
    let calls = music.tune.bars.iter().filter(
        |bar| matches!(bar.content, BarContent::Phrase { section: Some(called), .. } if called == phrase),
    );
    if calls.count() != 1 {
        return None;
    }
    let (text, contents) = (scene.text(), scene.reading.contents(phrase)?);
    let whole = music.source.sections[phrase.index()].whole;
    let start = text[..whole.start as usize].rfind(['\n', '\r']).map_or(0, |at| at + 1) as u32;
    let end = scene.next(whole.end, TokenKind::LineBreak).map_or(text.len() as u32, |line| line.span.end);
    let above = text[..start as usize].trim_end_matches(['\n', '\r']);
    let commented = above.rsplit(['\n', '\r']).next().is_some_and(|line| line.trim_start().starts_with('#'));
    let comment = |span: Span| scene.has(span, TokenKind::Comment);
    let loses =
        commented || comment(Span::new(start, contents.start)) || comment(Span::new(contents.end, end));
    // The blank lines above go as well.
    let blank = (above.len() + scene.reading.line_break().len()) as u32;
    (!loses).then(|| Span::new(start.min(blank), end))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, check_none, check_refused};

    const KIND: &str = "refactor.inline.phrase";

    #[test]
    fn a_call_is_written_out() {
        check(
            KIND,
            "tune: T\nmeter: 6/8\npart A\n| @l$0ick | @lick |\nphrase lick\n| 3:0 t 2:0 1:0 t 2:0 | <G> 1:0 - - 1:0 - - |\n",
            "write out phrase lick here",
            "tune: T\nmeter: 6/8\npart A\n| 3:0 t 2:0 1:0 t 2:0 | <G> 1:0 - - 1:0 - - | @lick |\nphrase lick\n| 3:0 t 2:0 1:0 t 2:0 | <G> 1:0 - - 1:0 - - |\n",
        );
    }

    #[test]
    fn a_phrase_that_nothing_else_calls_goes_with_its_lines() {
        check(
            KIND,
            "tune: T\nmeter: 6/8\n\npart A\n| @lick$0 |\n\nphrase lick\n| 3:0 t 2:0  1:0 t 2:0 |\n",
            "write out phrase lick here, the only place",
            "tune: T\nmeter: 6/8\n\npart A\n| 3:0 t 2:0  1:0 t 2:0 |\n",
        );
        check(
            KIND,
            "tune: T\nmeter: 6/8\n\npart A\n| @lick$0 |\n\n# dear to me\nphrase lick\n| 3:0 t 2:0  1:0 t 2:0 |\n",
            "write out phrase lick here",
            "tune: T\nmeter: 6/8\n\npart A\n| 3:0 t 2:0  1:0 t 2:0 |\n\n# dear to me\nphrase lick\n| 3:0 t 2:0  1:0 t 2:0 |\n",
        );
    }

    #[test]
    fn calls_between_two_bar_lines_get_their_own() {
        check(
            KIND,
            "tune: T\nmeter: 6/8\npart A\n@a $0@b @a\nphrase b\n| 3:0 - - 1:0 - -\n# end\nphrase a\n| 2:0 - - 1:0 - - |",
            "write out phrase b",
            "tune: T\nmeter: 6/8\npart A\n@a | 3:0 - - 1:0 - - | @a\n# end\nphrase a\n| 2:0 - - 1:0 - - |",
        );
    }

    #[test]
    fn what_would_sound_otherwise_is_refused() {
        check_refused(
            KIND,
            "tune: T\nmeter: 6/8\npart A\n| @l$0ick |\nmeter: 9/8\n| 1:0 |\nphrase lick\n| 3:0 - - |\n",
            "write out",
            "another time",
        );
        check_refused(
            KIND,
            "tune: T\nmeter: 6/8\npart A\n| 1:0 - - - - - | @l$0ick |\nphrase lick\n| h2 - - 3:0 - - |\n",
            "write out",
            "sound otherwise",
        );
        check_none(KIND, "tune: T\nmeter: 6/8\npart A\n| @n$0obody |\n");
    }
}
