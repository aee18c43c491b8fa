use lope_hand::Fell;
use lope_syntax::Span;
use lope_tune::{BarContent, BarId, SectionId, Stroke};

use crate::Reading;

/// A part seen from afar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Outlook {
    /// How many bars one time through it takes, its pickup not counted.
    pub bars: u32,
    /// How many of the hand's falls there are in it as it is written, and how many of them strike.
    pub falls: usize,
    /// Those that strike.
    pub struck: usize,
    /// How many findings there are in it.
    pub troubles: usize,
}

impl Outlook {
    /// It in a few words: `8 bars, 92% of falls struck, 2 trouble spots`.
    pub fn words(&self) -> String {
        let count =
            |number: usize, one: &str| format!("{number} {one}{}", if number == 1 { "" } else { "s" });
        let mut words = vec![count(self.bars as usize, "bar")];
        // Rounded down, so that only all of them are a hundred.
        let share = (self.struck * 100).checked_div(self.falls);
        words.extend(share.map(|share| format!("{share}% of falls struck")));
        words.push(match self.troubles {
            0 => "no trouble".to_owned(),
            troubles => count(troubles, "trouble spot"),
        });
        words.join(", ")
    }
}

impl Reading {
    /// The name of each part, and its heading.
    pub fn parts(&self) -> impl Iterator<Item = (&str, Span)> {
        let places = &self.written().source.sections;
        let parts = self.tune().parts();
        parts.map(|(id, part)| (part.name.as_str(), places[id.index()].heading))
    }

    /// The part called `name` from afar.
    pub fn outlook(&self, name: &str) -> Option<Outlook> {
        let tune = self.tune();
        let (id, part) = tune.parts().find(|(_, part)| part.name == name)?;
        let endings = tune.endings(id).map(|(ending, _)| ending);
        let sections: Vec<SectionId> = std::iter::once(id).chain(endings).collect();
        let length = |id: &SectionId| -> u32 {
            tune.bars_of(&tune.sections[id.index()]).map(|(_, bar)| self.length(&bar.content)).sum()
        };
        let (falls, struck) = sections
            .iter()
            .map(|id| self.falls(*id))
            .fold((0, 0), |sum, more| (sum.0 + more.0, sum.1 + more.1));
        let whole = self.written().source.sections[id.index()].whole;
        Some(Outlook {
            bars: length(&id) - u32::from(part.has_pickup())
                + sections[1..].iter().map(length).max().unwrap_or(0),
            falls,
            struck,
            troubles: self.findings().iter().filter(|finding| finding.span.overlaps(whole)).count(),
        })
    }

    /// How many bars are counted for one as written: a call counts for the bars written in its phrase.
    fn length(&self, content: &BarContent) -> u32 {
        match content {
            BarContent::Phrase { section: Some(phrase), .. } => {
                self.tune().sections[phrase.index()].bars.len() as u32
            }
            _ => 1,
        }
    }

    /// How many falls there are in the bars of `section`, and how many strike.
    fn falls(&self, section: SectionId) -> (usize, usize) {
        let music = self.music();
        let (mut falls, mut struck) = (0, 0);
        for at in music.tune.sections[section.index()].bars.clone() {
            falls += music.hand.falls(music.tune, BarId(at));
            let motions =
                music.tune.bars[at as usize].events.clone().map(|event| music.hand.motions[event as usize]);
            struck +=
                motions.filter(|motion| motion.stroke == Stroke::Fall && motion.fell == Fell::Struck).count();
        }
        (falls, struck)
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;

    #[track_caller]
    fn check(text: &str, expected: &[&str]) {
        let reading = Reading::new(format!("tune: T\nmeter: 6/8\n{text}"), &Arc::default());
        let said =
            reading.parts().map(|(name, _)| format!("{name}: {}", reading.outlook(name).unwrap().words()));
        assert_eq!(said.collect::<Vec<_>>(), expected);
    }

    #[test]
    fn parts_are_told_in_a_few_words() {
        let four = "| 3:0 t 2:0  1:0 t 2:0 | 3:0 t 2:0  1:0 t 2:0 | 3:0 t 2:0  1:0 t 2:0 |";
        check(
            &format!("part A\n{four} 3:0 t 2:0  1:0 t 2:0 |\n"),
            &["A: 4 bars, 100% of falls struck, no trouble"],
        );
        check(
            &format!("part A\n{four} 3:0 t h2  1:0- - |\npart B\n| {{1:0 t 2:0}}/2 2:0 1:0- - |"),
            &[
                "A: 4 bars, 87% of falls struck, 1 trouble spot",
                "B: 1 bar, 80% of falls struck, 1 trouble spot",
            ],
        );
    }

    #[test]
    fn endings_and_phrases_count_and_a_pickup_does_not() {
        check(
            "part A\n1:0 | @l | % |\nending 1\n| 1:0- - 2:0- - |\nending 2\n| 1:0- - 2:0- - | 1:0- - 2:0- |\nphrase l\n| 1:0- - 2:0- - | 1:0- - 2:0- - |\n",
            &["A: 5 bars, 58% of falls struck, 2 trouble spots"],
        );
        check("part A\n| @none |\n", &["A: 1 bar, 1 trouble spot"]);
    }
}
