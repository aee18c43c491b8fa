//! Tunes as one page for browsers, which asks for nothing from anywhere.
//!
//! Each tune is drawn twice, for wide windows and for narrow ones such as a phone's, and the style sheet shows
//! the one that fits. A drawing is cut between its systems into pictures of their own, so that they can be
//! printed on pages of any size. What looks alike is described once, in a class of the style sheet.

mod cut;
mod path;
mod picture;
mod style;

use std::fmt::Write;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

use crate::font;
use crate::frame::{Face, Sheet};
use crate::svg::escaped;
use crate::wishes::Paper;
use cut::strips;
use picture::{Look, picture};

/// How much of a sheet's margin at either side a window keeps, in points; less where there is less.
const KEPT: f32 = 14.0;

/// A tune as it is drawn for windows of both kinds.
pub struct Drawn {
    /// For those that are wide, and for paper.
    pub wide: Sheet,
    /// For those that are narrow.
    pub narrow: Sheet,
}

/// The page of `tunes`, called `title`, as HTML.
pub fn html(title: &str, tunes: &[Drawn]) -> String {
    let mut look = Look::default();
    let level = if tunes.len() > 1 { 2 } else { 1 };
    let articles: String =
        (1..).zip(tunes).map(|(number, tune)| article(&mut look, number, level, tune)).collect();
    let mut out = String::with_capacity(articles.len() + (1 << 16));
    let title = escaped(named(title));
    let _ = write!(
        out,
        r#"<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{title}</title>
<style>
{}{}{}</style>
</head>
<body>
"#,
        faces(),
        include_str!("page.css"),
        look.styles.rules(),
    );
    if tunes.len() > 1 {
        let _ = write!(out, "<header>\n<h1>{title}</h1>\n<nav aria-label=\"Tunes\">\n<ol>\n");
        for (number, tune) in (1..).zip(tunes) {
            let title = escaped(named(&tune.wide.title));
            let _ = writeln!(out, r##"<li><a href="#tune-{number}">{title}</a></li>"##);
        }
        out.push_str("</ol>\n</nav>\n</header>\n");
    }
    out.push_str("<main>\n");
    out.push_str(&articles);
    out.push_str("</main>\n</body>\n</html>\n");
    out
}

fn article(look: &mut Look, number: u32, level: u8, tune: &Drawn) -> String {
    let mut out = String::new();
    let title = escaped(named(&tune.wide.title));
    let _ = writeln!(out, r#"<article id="tune-{number}">"#);
    let _ = writeln!(out, r#"<h{level} class="unseen">{title}</h{level}>"#);
    let _ = writeln!(out, r#"<p class="unseen">{}</p>"#, escaped(&tune.wide.about));
    for (class, sheet) in [("wide", &tune.wide), ("narrow", &tune.narrow)] {
        let _ = writeln!(out, r#"<div class="{class}">"#);
        for page in &sheet.pages {
            let aside = (Paper::Endless(page.width).margin() - KEPT).max(0.0);
            for strip in strips(page) {
                let area = [aside, strip.top, page.width - 2.0 * aside, strip.height];
                out.push_str(&picture(look, area, strip.items));
            }
        }
        out.push_str("</div>\n");
    }
    out.push_str("</article>\n");
    out
}

/// A title, or what stands for one.
fn named(title: &str) -> &str {
    if title.trim().is_empty() { "Untitled" } else { title }
}

/// The sheet's faces, for Latin; other letters come from the reader's own fonts.
fn faces() -> String {
    let face = |(face, style): (Face, &str)| {
        let (family, file) = (font::FAMILY, STANDARD.encode(font::page_bytes(face)));
        format!("@font-face{{font-family:\"{family}\";{style};src:url(data:font/woff2;base64,{file})}}\n")
    };
    let styles = ["font-weight:400", "font-weight:700", "font-style:italic"];
    [Face::Regular, Face::Bold, Face::Italic].into_iter().zip(styles).map(face).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::by_hand::{sheet, words};

    fn drawn(title: &str) -> Drawn {
        let sheet = sheet(title, vec![words(title)]);
        Drawn { wide: sheet.clone(), narrow: sheet }
    }

    #[test]
    fn words_are_never_markup() {
        let page = html("a & </title><script>", &[drawn("<img src=x onerror=alert(1)>"), drawn("\"'>")]);
        let page = page.split_once("</style>").unwrap().1;
        assert!(!page.contains("<script") && !page.contains("<img"), "{page}");
    }

    #[test]
    fn a_page_of_several_tunes_lists_them() {
        let page = html("Two", &[drawn("One"), drawn("")]);
        for part in
            ["<h1>Two</h1>", "<a href=\"#tune-2\">Untitled</a>", "<article id=\"tune-2\">", "<h2 class"]
        {
            assert!(page.contains(part), "{part}");
        }
        let page = html("One", &[drawn("One")]);
        assert!(!page.contains("<nav") && page.contains("<h1 class=\"unseen\">One</h1>"));
    }
}
