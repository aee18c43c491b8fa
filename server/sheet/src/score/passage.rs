use std::ops::Range;

use super::{Closing, Content, Heading, Opening, Score};
use crate::wishes::Passage;

impl Score {
    /// Leaves nothing but `passage`; nothing at all where there is no such part or no such bars.
    pub(super) fn cut_to(&mut self, passage: &Passage) {
        let kept = self.place(passage).unwrap_or(0..0);
        let is_whole = self.part(passage).is_some_and(|part| part == kept);
        // A sign for the bar before once more says nothing where that bar is left out.
        let before = (0..kept.end).rev().skip_while(|at| *at > kept.start);
        let shown = before.map(|at| &self.bars[at]).find(|bar| bar.content != Content::Again);
        let first = shown.map(|bar| (bar.bar, bar.content.clone()));
        self.bars.truncate(kept.end);
        self.bars.drain(..kept.start);
        if let Some((first, (bar, content))) = self.bars.first_mut().zip(first) {
            (first.bar, first.content) = (bar, content);
            first.heading = Some(Heading::Part(passage.part.clone()));
        }
        if !is_whole {
            // What is repeated is not all there.
            for bar in &mut self.bars {
                bar.opens = Opening::Plain;
                if matches!(bar.closes, Closing::Repeat(_)) {
                    bar.closes = Closing::Plain;
                }
            }
        }
        let place = |at: &Option<u32>| {
            at.filter(|at| kept.contains(&(*at as usize))).map(|at| at - kept.start as u32)
        };
        self.played = self.played.iter().map(place).collect();
    }

    /// The bars of the passage's part with its endings.
    fn part(&self, passage: &Passage) -> Option<Range<usize>> {
        let begins =
            |heading: &Option<Heading>| matches!(heading, Some(Heading::Part(name)) if *name == passage.part);
        let start = self.bars.iter().position(|bar| begins(&bar.heading))?;
        let rest = self.bars[start + 1..].iter().position(|bar| bar.heading.is_some());
        Some(start..rest.map_or(self.bars.len(), |rest| start + 1 + rest))
    }

    fn place(&self, passage: &Passage) -> Option<Range<usize>> {
        let part = self.part(passage)?;
        let Some(bars) = &passage.bars else { return Some(part) };
        let numbers = || self.bars[part.clone()].iter().map(|bar| bar.number);
        let start = part.start + numbers().position(|number| bars.contains(&number))?;
        // Endings go on from their part one beside the other: all of them that begin inside.
        let count = numbers().skip(start - part.start).take_while(|number| bars.contains(number)).count();
        Some(start..start + count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::tune;

    fn drawn(part: &str, bars: Option<std::ops::RangeInclusive<u32>>) -> Vec<(u32, u32, bool)> {
        let tune = tune(
            "tune: T\nmeter: 2/4\npart A x2\n1:0 | 1:1 | % | 1:2 |\nending 1\n| 1:3 |\nending 2\n| 1:4 |\npart B\n| 2:0 | 2:1 |\n",
        );
        let score = Score::of(&tune, Some(&Passage { part: part.to_owned(), bars }));
        score.bars.iter().map(|bar| (bar.number, bar.bar.0, bar.heading.is_some())).collect()
    }

    #[test]
    fn a_part_is_drawn_with_its_endings() {
        let numbers: Vec<u32> = drawn("A", None).iter().map(|bar| bar.0).collect();
        assert_eq!(numbers, [0, 1, 2, 3, 4, 4]);
        assert_eq!(drawn("B", None).len(), 2);
        assert_eq!(drawn("C", None), []);
    }

    #[test]
    fn bars_keep_their_numbers() {
        assert_eq!(drawn("B", Some(2..=2)), [(2, 7, true)]);
        assert_eq!(drawn("A", Some(7..=8)), []);
    }

    #[test]
    fn a_bar_once_more_is_written_out_where_the_bar_before_is_left_out() {
        assert_eq!(drawn("A", Some(2..=3)), [(2, 1, true), (3, 3, false)]);
    }

    #[test]
    fn what_is_not_whole_is_not_repeated() {
        let tune = tune("tune: T\nmeter: 2/4\npart A x2\n| 1:1 | 1:2 |\n");
        let passage = |bars| Passage { part: "A".to_owned(), bars };
        let closes = |bars| Score::of(&tune, Some(&passage(bars))).bars.last().map(|bar| bar.closes);
        assert_eq!(closes(None), Some(Closing::Repeat(2)));
        assert_eq!(closes(Some(2..=2)), Some(Closing::Plain));
    }
}
