use lope_tune::{BarContent, DEEPEST, SectionId, SectionKind, Tune};

use crate::registry::no_mends;
use crate::{Example, Family, Level, Music, Page, Place, Report, Rule};

pub static RULE: Rule = Rule {
    name: "part-length",
    level: Some(Level::Hint),
    family: Family::Time,
    page: Page {
        finds: "A part whose bars, an ending and what its phrases hold included, are no multiple of four.",
        why: "Parts are eight bars nearly everywhere, sometimes four, twelve or sixteen, and players and \
              dancers feel the turn coming. A part of seven has usually lost a bar on the way to the page. \
              There are crooked tunes: keep the finding and say so.",
        example: Example {
            bad: "\
tune: The Missing Rung
meter: 2/4

part A
| 3:0 t 2:0 t  1:0 t 2:0 t | 3:0 t 2:0 t  1:0- 1:2- | 2:1 t 1:2 t  1:0- - - |
",
            good: "\
tune: The Missing Rung
meter: 2/4

part A
| 3:0 t 2:0 t  1:0 t 2:0 t | 3:0 t 2:0 t  1:0- 1:2- | % | 2:1 t 1:2 t  1:0- - - |
",
        },
        mend: "",
    },
    check: Some(check),
    mends: no_mends,
};

fn check(music: &Music, report: &mut Report) {
    let tune = music.tune;
    for (part, section) in tune.parts() {
        let Some(body) = bars(tune, part, 0) else { continue };
        // Quotes that do not close swallow bar lines, and the like: how many bars were meant is not known.
        let whole = music.source.sections[part.index()].whole;
        let faults = music.tree.faults();
        let first = faults.partition_point(|fault| fault.span.start < whole.start);
        if faults.get(first).is_some_and(|fault| fault.span.start < whole.end) {
            continue;
        }
        let name = &section.name;
        let is_crooked = |bars: u32| bars == 0 || !bars.is_multiple_of(4);
        let mut endings = tune.endings(part).peekable();
        let message = if endings.peek().is_none() {
            is_crooked(body).then(|| format!("part {name} has {}, not a multiple of four", say(body)))
        } else {
            endings.find_map(|(ending, passes)| {
                let whole = body.saturating_add(bars(tune, ending, 0)?);
                let pass = passes.first().copied().unwrap_or(1);
                is_crooked(whole).then(|| {
                    format!("part {name} has {} with ending {pass}, not a multiple of four", say(whole))
                })
            })
        };
        if let Some(message) = message {
            let finding = report.text(music, music.source.sections[part.index()].heading, message);
            finding.place = Place { section: Some(format!("part {name}")), ..Place::default() };
        }
    }
}

fn say(bars: u32) -> String {
    if bars == 1 { "1 bar".to_owned() } else { format!("{bars} bars") }
}

/// How many whole bars `section` is played for, `depth` calls deep; none where a phrase is not there.
fn bars(tune: &Tune, section: SectionId, depth: u32) -> Option<u32> {
    let section = &tune.sections[section.index()];
    let pickup = u32::from(matches!(section.kind, SectionKind::Part { pickup: true, .. }));
    let mut count = 0_u32;
    for (_, bar) in tune.bars_of(section) {
        count = count.saturating_add(match bar.content {
            BarContent::Slots | BarContent::Again => 1,
            BarContent::Phrase { section, .. } if depth < DEEPEST => bars(tune, section?, depth + 1)?,
            BarContent::Phrase { .. } => return None,
        });
    }
    Some(count - pickup.min(count))
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    const BAR: &str = "1:0 t 2:0  1:0 t 2:0 |";

    fn says(music: &str) -> Vec<String> {
        Piece::new(&format!("tune: T\nmeter: 6/8\n\n{music}")).says("part-length")
    }

    #[test]
    fn a_pickup_is_no_bar_and_an_ending_counts_with_its_part() {
        assert_eq!(says(&format!("part A\n1:0 | {}", BAR.repeat(4))), [""; 0]);
        assert_eq!(
            says(&format!("part A\n1:0 | {}", BAR.repeat(3))),
            ["part A at part A: part A has 3 bars, not a multiple of four"]
        );
        let endings = format!("part A\n| {}\nending 1\n{BAR}\nending 2\n{BAR}", BAR.repeat(3));
        assert_eq!(says(&endings), [""; 0]);
        assert_eq!(
            says(&format!("{endings} {BAR}")),
            ["part A at part A: part A has 5 bars with ending 2, not a multiple of four"]
        );
    }

    #[test]
    fn phrases_count_for_the_bars_in_them() {
        let phrases = format!("phrase two\n| {BAR} {BAR}\nphrase six\n| @two | @two | @two |\n");
        assert_eq!(says(&format!("{phrases}part A\n| @six | @two |")), [""; 0]);
        assert_eq!(
            says(&format!("{phrases}part A x2\n| @six | % |")),
            ["part A x2 at part A: part A has 7 bars, not a multiple of four"]
        );
        assert_eq!(
            says(&format!("{phrases}part A\n| @six | @none |")),
            [""; 0],
            "how many bars is not known"
        );
    }

    #[test]
    fn a_part_without_bars_is_none() {
        assert_eq!(says("part A x2\n"), ["part A x2 at part A: part A has 0 bars, not a multiple of four"]);
    }
}
