//! Parts, endings and phrases: how often they are played, and what follows them.

use lope_rules::Music;
use lope_syntax::NodeKind;
use lope_tune::{BarContent, Section, SectionId, SectionKind, Tune};

use super::{Hover, Look, count, often};

/// The most lines of a phrase that are shown.
const TALLEST: usize = 12;

/// What there is to say of a heading.
pub fn hover(look: Look<'_>) -> Option<Hover> {
    let tune = look.music.tune;
    let sections = &look.music.source.sections;
    let heading = look.music.tree.span(look.inside(NodeKind::Heading)?);
    let number = sections.iter().position(|place| place.heading == heading)?;
    let (id, section) = (SectionId(number as u32), &tune.sections[number]);
    let bars = count(section.bars.len(), "bar");
    let (title, lines, drawing) = match &section.kind {
        SectionKind::Part { times: written, pickup } => {
            (format!("part {}", section.name), part(tune, id, *written, *pickup), Vec::new())
        }
        SectionKind::Ending { of, passes } => {
            let part = &tune.sections[of.index()].name;
            let numbers: Vec<String> = passes.iter().map(u32::to_string).collect();
            let played = tune.passes().iter().filter(|pass| pass.ending == Some(id)).count();
            let when = format!("of part {part}: {bars}, {}", often("played", played));
            (
                format!("ending {}", numbers.join(",")),
                [vec![when], after_section(tune, id)].concat(),
                Vec::new(),
            )
        }
        SectionKind::Phrase => {
            let line = format!("{bars}, {}", called(tune, &section.name));
            (format!("phrase {}", section.name), vec![line], tab_of(&look.music, number))
        }
    };
    Some(Hover { span: heading, title, lines, drawing })
}

fn part(tune: &Tune, id: SectionId, written: u32, pickup: bool) -> Vec<String> {
    let section = &tune.sections[id.index()];
    let own = section.bars.len() - usize::from(pickup);
    let mut holds = vec![count(own, "bar")];
    holds.extend(pickup.then(|| "a pickup".to_owned()));
    let endings = tune.endings(id).count();
    holds.extend((endings > 0).then(|| count(endings, "ending")));
    let passes = tune.passes();
    let played = passes.iter().filter(|pass| pass.part == id).count();
    let mut lines = vec![holds.join(", "), often("played", played)];
    if !tune.header.order.is_empty() && played != written as usize {
        lines.push(format!("as the order says: {}", tune.header.order.join(" ")));
    }
    if endings == 0 && played > 0 {
        lines.extend(after_section(tune, id));
    }
    lines
}

/// What is played once the bars of the section `id` are over, a line for each time that differs.
pub fn after_section(tune: &Tune, id: SectionId) -> Vec<String> {
    let section = &tune.sections[id.index()];
    let part = match section.kind {
        SectionKind::Phrase => return vec!["then on from where it is called".to_owned()],
        SectionKind::Ending { of, .. } => of,
        SectionKind::Part { .. } => id,
    };
    let passes = tune.passes();
    let body = part == id;
    let (mut number, mut next) = (0, Vec::new());
    for (at, pass) in passes.iter().enumerate().filter(|(_, pass)| pass.part == part) {
        number += 1;
        let after = match pass.ending {
            Some(ending) if body => ending_name(&tune.sections[ending.index()]),
            ending if body || ending == Some(id) => match passes.get(at + 1) {
                None => "the tune is over".to_owned(),
                Some(next) if next.part == part => format!("part {} again", tune.sections[part.index()].name),
                Some(next) => format!("part {}", tune.sections[next.part.index()].name),
            },
            _ => continue,
        };
        next.push((number, after));
    }
    match next.as_slice() {
        [] => vec!["the order leaves it out".to_owned()],
        [(_, first), rest @ ..] if rest.iter().all(|(_, after)| after == first) => {
            vec![format!("then {first}")]
        }
        _ => next.iter().take(TALLEST).map(|(number, after)| format!("time {number}: {after}")).collect(),
    }
}

fn ending_name(section: &Section) -> String {
    let SectionKind::Ending { passes, .. } = &section.kind else { return section.name.clone() };
    let passes: Vec<String> = passes.iter().map(u32::to_string).collect();
    format!("ending {}", passes.join(","))
}

/// How often the phrase `name` is called in the text: `called twice`.
pub fn called(tune: &Tune, name: &str) -> String {
    let calls =
        |content: &BarContent| matches!(content, BarContent::Phrase { name: called, .. } if called == name);
    often("called", tune.bars.iter().filter(|bar| calls(&bar.content)).count())
}

/// The lines of music of the section numbered `section`, without the blanks before them.
pub fn tab_of(music: &Music, section: usize) -> Vec<String> {
    let Some(place) = music.source.sections.get(section) else { return Vec::new() };
    let text = lope_syntax::Span::new(place.heading.end, place.whole.end).of(music.text);
    let lines = text.split(['\r', '\n']).skip(1).map(str::trim).filter(|line| !line.is_empty());
    let mut tab: Vec<String> = lines.clone().take(TALLEST).map(str::to_owned).collect();
    tab.extend((lines.count() > TALLEST).then(|| "...".to_owned()));
    tab
}

#[cfg(test)]
mod tests {
    use super::super::testing::check;

    const TUNE: &str = "\
tune: T
meter: 6/8
order: A A B A

part A  # twice
1:0 | 3:0 t 3:0  3:0- - | 3:0 t 3:0  3:0- |
  ending 1,3
  | 2:0-- 2:0- |
  ending 2
  | 2:0-- 1:0- |

part B x2
| @lick |

phrase lick
| 1:0 t 1:2
  1:0 t 2:0 |

part C
| % |
";

    #[test]
    fn a_part_tells_how_it_is_played() {
        let a = ["\"part A\" part A", "2 bars, a pickup, 2 endings", "played 3 times"];
        check(TUNE, "part A", &a);
        check(TUNE, "A  #", &a);
        let b = ["\"part B x2\" part B", "1 bar", "played once", "as the order says: A A B A", "then part A"];
        check(TUNE, "x2", &b);
        check(TUNE, "part C", &["\"part C\" part C", "1 bar", "never played", "as the order says: A A B A"]);
    }

    #[test]
    fn an_ending_tells_when_it_is_taken() {
        let first = [
            "\"ending 1,3\" ending 1,3",
            "of part A: 1 bar, played twice",
            "time 1: part A again",
            "time 3: the tune is over",
        ];
        check(TUNE, "1,3", &first);
        check(TUNE, "ending 2", &["\"ending 2\" ending 2", "of part A: 1 bar, played once", "then part B"]);
    }

    #[test]
    fn a_phrase_shows_its_music() {
        let lick = ["\"phrase lick\" phrase lick", "1 bar, called once", "| 1:0 t 1:2", "1:0 t 2:0 |"];
        check(TUNE, "lick\n|", &lick);
    }
}
