//! A page as a picture of its own: SVG 1.1.
//!
//! Colours are given as attributes, which every program knows, and as a class for each ink, by which a page
//! around the picture can give it other ones. A bar has `data-bar`, an event `data-event`, a count
//! `data-count` and a remark `data-finding`, each with its number, and what they say as their title.
//!
//! Words are held to the width they were laid out in, so that nothing runs into anything where the sheet's
//! font is not at hand.

mod number;
mod writer;

use crate::font;
use crate::frame::{Anchor, Face, Group, Item, Line, Page, Part, Pen, Shape, Sheet, Step, Text};
use number::Number;
use writer::Svg;
pub use writer::class;

/// Writes `page` of `sheet`.
pub fn svg(sheet: &Sheet, page: &Page) -> String {
    let mut out = Svg { text: String::with_capacity(1 << 16) };
    let (width, height) = (page.width, page.height);
    out.raw(r#"<svg xmlns="http://www.w3.org/2000/svg" role="group" width=""#);
    out.number(width);
    out.raw(r#"pt" height=""#);
    out.number(height);
    out.raw(r#"pt" viewBox="0 0 "#);
    out.number(width);
    out.number(height);
    out.raw(r#"" font-family="'"#);
    out.raw(font::FAMILY);
    out.raw(r#"','Source Sans 3','Source Sans Pro',sans-serif"><title>"#);
    out.escaped(&sheet.title);
    out.raw("</title><desc>");
    out.escaped(&sheet.about);
    out.raw("</desc>\n");
    out.items(&page.items);
    out.raw("</svg>\n");
    out.text
}

/// `text` as it stands between tags, or between quotes in them.
pub fn escaped(text: &str) -> String {
    let mut out = Svg { text: String::with_capacity(text.len()) };
    out.escaped(text);
    out.text
}

impl Svg {
    fn items(&mut self, items: &[Item]) {
        let mut at = 0;
        while at < items.len() {
            match &items[at] {
                Item::Group(group) => self.group(group),
                Item::Shape(shape) => self.shape(shape),
                Item::Text(text) => self.text(text),
                Item::Line(first) => {
                    // Lines of a kind in a row are one path.
                    let alike = |item: &Item| matches!(item, Item::Line(line) if (line.width, line.ink) == (first.width, first.ink));
                    let count = items[at..].iter().take_while(|item| alike(item)).count();
                    self.lines(&items[at..at + count], first);
                    at += count - 1;
                }
            }
            at += 1;
        }
    }

    fn group(&mut self, Group { part, reading, items }: &Group) {
        self.raw("<g");
        self.name(*part);
        if !reading.is_empty() {
            self.raw(r#" role="img""#);
            self.attribute("aria-label", reading);
        }
        self.raw(">");
        if !reading.is_empty() {
            self.raw("<title>");
            self.escaped(reading);
            self.raw("</title>");
        }
        self.items(items);
        self.raw("</g>");
        if matches!(part, Part::Bar(_) | Part::System) {
            self.raw("\n");
        }
    }

    /// Says what a group is, and its number.
    fn name(&mut self, part: Part) {
        let (class, data) = match part {
            Part::Heading => ("heading", None),
            Part::System => ("system", None),
            Part::Bar(number) => ("bar", Some(number)),
            Part::Event(number) => ("event", Some(number)),
            Part::Count(number) => ("count", Some(number)),
            Part::Finding(number) => ("finding", Some(number)),
            Part::Footing => ("footing", None),
        };
        self.attribute("class", class);
        if let Some(number) = data {
            self.raw(" data-");
            self.raw(class);
            self.raw("=\"");
            Number::whole(number, &mut self.text);
            self.raw("\"");
        }
    }

    fn lines(&mut self, lines: &[Item], first: &Line) {
        self.path(first.ink);
        for item in lines {
            if let Item::Line(Line { from, to, .. }) = item {
                self.raw("M");
                self.point(*from);
                if from.y == to.y {
                    self.raw("H");
                    self.number(to.x);
                } else {
                    self.raw("L");
                    self.point(*to);
                }
            }
        }
        self.stroke(first.ink, first.width);
        self.raw("/>");
    }

    fn shape(&mut self, Shape { steps, pen, ink }: &Shape) {
        self.path(*ink);
        for step in steps {
            match step {
                Step::Move(to) => {
                    self.raw("M");
                    self.point(*to);
                }
                Step::Line(to) => {
                    self.raw("L");
                    self.point(*to);
                }
                Step::Curve(one, two, to) => {
                    self.raw("C");
                    self.point(*one);
                    self.point(*two);
                    self.point(*to);
                }
                Step::Close => self.raw("Z"),
            }
        }
        match pen {
            Pen::Fill => {
                self.fill(*ink);
                self.raw("/>");
            }
            Pen::Stroke(width) => {
                self.stroke(*ink, *width);
                self.raw(" stroke-linecap=\"round\" stroke-linejoin=\"round\"/>");
            }
        }
    }

    fn text(&mut self, Text { at, anchor, face, size, ink, words }: &Text) {
        self.raw("<text class=\"");
        self.raw(class(*ink));
        self.raw("\" x=\"");
        self.number(at.x);
        self.raw("\" y=\"");
        self.number(at.y);
        self.raw("\" font-size=\"");
        self.number(*size);
        self.raw("\"");
        match anchor {
            Anchor::Start => {}
            Anchor::Middle => self.raw(" text-anchor=\"middle\""),
            Anchor::End => self.raw(" text-anchor=\"end\""),
        }
        match face {
            Face::Regular => {}
            Face::Bold => self.raw(" font-weight=\"bold\""),
            Face::Italic => self.raw(" font-style=\"italic\""),
        }
        // Frets and counts are too short to run into anything.
        if words.len() > 3 {
            self.raw(" textLength=\"");
            self.number(font::width(*face, *size, words));
            self.raw("\" lengthAdjust=\"spacingAndGlyphs\"");
        }
        self.colour("fill", *ink);
        self.raw(">");
        self.escaped(words);
        self.raw("</text>");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::tune;
    use crate::{Wishes, lay};

    fn drawn(source: &str) -> String {
        let tune = tune(source);
        let sheet = lay(&tune, &lope_hand::read(&tune), &Wishes::default());
        svg(&sheet, &sheet.pages[0])
    }

    #[test]
    fn what_is_written_is_escaped_everywhere() {
        let evil = "<script>alert(1)</script>&\"'\u{1}]]>";
        let source = format!(
            "tune: {evil}\nkind: {evil}\nby: {evil}\nnote: {evil}\nrights: {evil}\nmeter: 6/8\npart A<b>\n| <{}> \"{}\" 3:0 t 3:0 |\n| @<b> |",
            "&amp;", "<i>&"
        );
        let svg = drawn(&source);
        assert!(!svg.contains("<script") && !svg.contains("<b>") && !svg.contains("<i>"), "{svg}");
        let document = roxmltree::Document::parse(&svg).unwrap();
        let title = document.descendants().find(|node| node.has_tag_name("title")).unwrap();
        assert_eq!(title.text().unwrap(), evil.replace('\u{1}', "\u{fffd}"));
    }

    #[test]
    fn bars_events_and_counts_can_be_found_and_bars_are_read_aloud() {
        let svg = drawn("tune: T\nmeter: 6/8\npart A x2\n| <G> 3:0 t 3:2  h4 _ [3:0 2:0] |\n");
        let document = roxmltree::Document::parse(&svg).unwrap();
        let all = |name: &str| -> Vec<String> {
            document.descendants().filter_map(|node| node.attribute(name)).map(str::to_owned).collect()
        };
        assert_eq!(all("data-bar"), ["0"]);
        assert_eq!(all("data-event"), ["0", "1", "2", "3", "5"]);
        assert_eq!(all("data-count"), ["0", "1", "2", "3", "4", "5"]);
        let said = "part A, bar 1: repeat from here; G chord: strike open third string; thumb the drone; \
                    strike third string fret 2; hammer on third string fret 4; silence; \
                    brush open third string and open second string; repeat";
        assert_eq!(all("aria-label"), [said]);
    }

    #[test]
    fn words_keep_their_width_and_lines_of_a_kind_are_one_path() {
        let svg = drawn("tune: The Long Title\nmeter: 6/8\npart A\n| 3:0 t 3:0 |\n");
        assert!(svg.contains("lengthAdjust"));
        assert!(svg.matches("<path class=\"staff\"").count() <= 5, "{svg}");
    }
}
