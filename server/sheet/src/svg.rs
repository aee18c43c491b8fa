//! A page as a picture of its own: SVG 1.1.

use std::fmt::Write;

use crate::frame::{Anchor, Face, Group, Ink, Item, Line, Page, Part, Pen, Point, Shape, Sheet, Step, Text};

/// Writes `page` of `sheet`.
pub fn svg(sheet: &Sheet, page: &Page) -> String {
    let mut out = String::with_capacity(page.items.len() * 4096);
    let (width, height) = (page.width, page.height);
    let _ = write!(
        out,
        r#"<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{width}pt" height="{height}pt" viewBox="0 0 {width} {height}">"#
    );
    let _ = write!(out, "<title>{}</title><desc>{}</desc>", escaped(&sheet.title), escaped(&sheet.about));
    page.items.iter().for_each(|item| write_item(&mut out, item));
    out.push_str("</svg>\n");
    out
}

fn write_item(out: &mut String, item: &Item) {
    let _ = match item {
        Item::Group(group) => write_group(out, group),
        Item::Line(line) => write_line(out, line),
        Item::Shape(shape) => write_shape(out, shape),
        Item::Text(text) => write_text(out, text),
    };
}

fn write_group(out: &mut String, Group { part, reading, items }: &Group) -> std::fmt::Result {
    match part {
        Part::Heading => out.push_str(r#"<g class="heading""#),
        Part::System => out.push_str(r#"<g class="system""#),
        Part::Bar(number) => write!(out, r#"<g class="bar" data-bar="{number}""#)?,
        Part::Event(number) => write!(out, r#"<g class="event" data-event="{number}""#)?,
        Part::Count(number) => write!(out, r#"<g class="count" data-count="{number}""#)?,
        Part::Finding(number) => write!(out, r#"<g class="finding" data-finding="{number}""#)?,
        Part::Footing => out.push_str(r#"<g class="footing""#),
    }
    if reading.is_empty() {
        out.push('>');
    } else {
        write!(out, r#" role="img" aria-label="{0}"><title>{0}</title>"#, escaped(reading))?;
    }
    items.iter().for_each(|item| write_item(out, item));
    out.push_str("</g>");
    Ok(())
}

fn write_line(out: &mut String, Line { from, to, width, ink }: &Line) -> std::fmt::Result {
    let (class, colour) = of_ink(*ink);
    write!(
        out,
        r#"<path class="{class}" d="M{} {}L{} {}" fill="none" stroke="{colour}" stroke-width="{width}"/>"#,
        from.x, from.y, to.x, to.y
    )
}

fn write_shape(out: &mut String, Shape { steps, pen, ink }: &Shape) -> std::fmt::Result {
    let (class, colour) = of_ink(*ink);
    write!(out, r#"<path class="{class}" d=""#)?;
    for step in steps {
        match step {
            Step::Move(Point { x, y }) => write!(out, "M{x} {y}")?,
            Step::Line(Point { x, y }) => write!(out, "L{x} {y}")?,
            Step::Curve(a, b, to) => write!(out, "C{} {} {} {} {} {}", a.x, a.y, b.x, b.y, to.x, to.y)?,
            Step::Close => out.push('Z'),
        }
    }
    match pen {
        Pen::Fill => write!(out, r#"" fill="{colour}"/>"#),
        Pen::Stroke(width) => write!(
            out,
            r#"" fill="none" stroke="{colour}" stroke-width="{width}" stroke-linecap="round" stroke-linejoin="round"/>"#
        ),
    }
}

fn write_text(out: &mut String, Text { at, anchor, face, size, ink, words }: &Text) -> std::fmt::Result {
    let (class, colour) = of_ink(*ink);
    let anchor = match anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    let style = match face {
        Face::Regular => "",
        Face::Bold => r#" font-weight="bold""#,
        Face::Italic => r#" font-style="italic""#,
    };
    write!(
        out,
        r#"<text class="{class}" x="{}" y="{}" text-anchor="{anchor}" font-family="'Lope Sheet','Source Sans 3',sans-serif" font-size="{size}"{style} fill="{colour}">{}</text>"#,
        at.x,
        at.y,
        escaped(words)
    )
}

/// The class that a page can colour anew, and the colour without it.
const fn of_ink(ink: Ink) -> (&'static str, &'static str) {
    match ink {
        Ink::Text => ("text", "#16181d"),
        Ink::Staff => ("staff", "#8a8f98"),
        Ink::Faint => ("faint", "#5d636e"),
        Ink::Fall => ("fall", "#0b4f9e"),
        Ink::Thumb => ("thumb", "#a8480b"),
        Ink::Left => ("left", "#1a6b45"),
        Ink::Finding => ("finding", "#a3123c"),
        Ink::Paper => ("paper", "#ffffff"),
    }
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            // XML 1.0 has no way to write these.
            '\0'..' ' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            _ => out.push(letter),
        }
    }
    out
}
