//! A long page cut between what stands below each other.

use crate::frame::{Item, Page, Step};

/// A piece of a page, as wide as the page.
pub struct Strip<'p> {
    /// Where it begins.
    pub top: f32,
    /// How high it is.
    pub height: f32,
    /// What stands on it.
    pub items: &'p [Item],
}

/// The pieces of `page` from its top to its bottom. What is written before something else but reaches below it
/// stays in one piece with it.
pub fn strips(page: &Page) -> Vec<Strip<'_>> {
    let reach: Vec<(f32, f32)> = page.items.iter().map(reach).collect();
    let mut strips: Vec<Strip<'_>> = Vec::new();
    let (mut top, mut first, mut lowest) = (0.0_f32, 0, f32::MIN);
    for at in 0..page.items.len() {
        lowest = lowest.max(reach[at].1);
        let next = reach[at + 1..].iter().map(|(top, _)| *top).fold(page.height, f32::min);
        if lowest < next || at + 1 == page.items.len() {
            let bottom = if at + 1 == page.items.len() { page.height } else { f32::midpoint(lowest, next) };
            strips.push(Strip { top, height: bottom - top, items: &page.items[first..=at] });
            (top, first) = (bottom, at + 1);
        }
    }
    strips
}

/// From where to where an item reaches. Letters are at most a size high, and a third of it deep.
fn reach(item: &Item) -> (f32, f32) {
    let round = |from: f32, to: f32, width: f32| (from.min(to) - width / 2.0, from.max(to) + width / 2.0);
    match item {
        Item::Group(group) => group.items.iter().map(reach).fold((f32::MAX, f32::MIN), wider),
        Item::Line(line) => round(line.from.y, line.to.y, line.width),
        Item::Text(text) => (text.at.y - text.size, text.at.y + text.size / 3.0),
        Item::Shape(shape) => shape.steps.iter().fold((f32::MAX, f32::MIN), |reach, step| match step {
            Step::Move(to) | Step::Line(to) => wider(reach, round(to.y, to.y, 1.0)),
            Step::Curve(one, two, to) => {
                wider(reach, wider(round(one.y, two.y, 1.0), round(to.y, to.y, 1.0)))
            }
            Step::Close => reach,
        }),
    }
}

fn wider(one: (f32, f32), other: (f32, f32)) -> (f32, f32) {
    (one.0.min(other.0), one.1.max(other.1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::{Ink, Line, Point};

    fn line(from: f32, to: f32) -> Item {
        let point = |y| Point { x: 0.0, y };
        Item::Line(Line { from: point(from), to: point(to), width: 2.0, ink: Ink::Text })
    }

    fn cut(items: Vec<Item>) -> Vec<(f32, f32, usize)> {
        let page = Page { width: 10.0, height: 100.0, items };
        strips(&page).iter().map(|strip| (strip.top, strip.height, strip.items.len())).collect()
    }

    #[test]
    fn a_page_is_cut_halfway_between_its_items() {
        assert_eq!(cut(vec![line(10.0, 20.0), line(40.0, 50.0)]), [(0.0, 30.0, 1), (30.0, 70.0, 1)]);
        assert_eq!(cut(Vec::new()), []);
    }

    #[test]
    fn what_reaches_into_something_else_stays_with_it() {
        assert_eq!(
            cut(vec![line(10.0, 50.0), line(20.0, 30.0), line(70.0, 80.0)]),
            [(0.0, 60.0, 2), (60.0, 40.0, 1)]
        );
    }
}
