use lope_tune::{Frame, FramePlace, Gait};

use super::note_value::NoteValue;
use crate::{Edit, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "gait-misfit",
    level: Some(Level::Warning),
    family: Family::Time,
    page: Page {
        finds: "A gait that does not fit into the bar a whole number of times.",
        why: "The gait starts over with every bar. One that does not come out even breaks off in the middle \
              at each bar line, so the hand never gets to swing.",
        example: Example {
            bad: "\
tune: Three Legs on a Stool
meter: 4/4
gait: x.x

part A
| 3:0 t 2:0 t  1:0 t 2:0 t |
",
            good: "\
tune: Three Legs on a Stool
meter: 4/4
gait: x.

part A
| 3:0 t 2:0 t  1:0 t 2:0 t |
",
        },
        mend: "Writes the meter's own gait. No note changes, but which of them are on a fall does.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    let frames = music.tune.frames.iter().zip(&music.source.frames);
    let mut said = None;
    for (frame, place) in frames.filter(|(frame, place)| is_misfit(frame, place)) {
        // One field may stand in several frames; the first that it does not fit is enough.
        let Some(span) = place.gait.filter(|span| said != Some(*span)) else { continue };
        said = Some(span);
        let (gait, bar) = (frame.gait, frame.meter.bar());
        let value = NoteValue::of(gait.step(), &[gait.period(), bar]);
        let (period, whole) = (value.count(gait.period()), value.count(bar));
        let name = value.name(period);
        let message = format!(
            "the gait takes {period} {name}, which do not go into the {whole} of a {} bar",
            frame.meter
        );
        report.text(music, span, message);
    }
}

fn is_misfit(frame: &Frame, place: &FramePlace) -> bool {
    place.gait.is_some() && !frame.meter.bar().is_multiple_of(frame.gait.period())
}

/// Writes the meter's own gait, where its strokes are slots and the field stands in one frame alone.
fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let at_field = |(_, place): &(&Frame, &FramePlace)| place.gait == Some(finding.span);
    let mut frames = music.tune.frames.iter().zip(&music.source.frames).filter(at_field);
    let (Some((frame, _)), None, false) = (frames.next(), frames.next(), finding.span.is_empty()) else {
        return Vec::new();
    };
    let own = Gait::of(frame.meter, frame.unit);
    if own.step() != frame.unit {
        return Vec::new();
    }
    let title = format!("write `{own}`, the gait of {}", frame.meter);
    vec![Mend::risky(title, vec![Edit::replace(finding.span, own.to_string())])]
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    fn says(fields: &str) -> Vec<String> {
        Piece::new(&format!("tune: T\n{fields}\n\npart A\n| 1:0 |")).says("gait-misfit")
    }

    #[test]
    fn a_gait_fits_when_it_comes_out_even() {
        assert_eq!(says("meter: 6/8\ngait: x.x"), [""; 0]);
        assert_eq!(says("meter: 5/8\ngait: x.xx."), [""; 0]);
        assert_eq!(says("meter: 4/4\nunit: 1/16\ngait: x..x"), [""; 0]);
        assert_eq!(
            says("meter: 6/8\ngait: x.x."),
            ["x.x. at the tune: the gait takes 4 eighths, which do not go into the 6 of a 6/8 bar"]
        );
    }

    #[test]
    fn a_change_of_meter_brings_its_own_gait() {
        let music = "meter: 6/8\ngait: x.x\n\npart A\n| 1:0-- 1:0-- |\nmeter: 4/4\n| 1:0- 1:0- 1:0- 1:0- |";
        assert_eq!(Piece::new(&format!("tune: T\n{music}")).says("gait-misfit"), [""; 0]);
    }

    #[test]
    fn where_strokes_are_no_slots_no_mend_would_say_the_same() {
        let piece = Piece::new("tune: T\nmeter: 6/8\nunit: 1/16\ngait: x...x\n\npart A\n| 1:0 |");
        let found = piece.findings_of("gait-misfit");
        assert_eq!(found.len(), 1);
        assert_eq!(piece.mends(&found[0]), []);
    }
}
