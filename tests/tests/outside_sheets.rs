//! Sheets as files, as Poppler, Pillow, Chromium, resvg and html5lib see them.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::Path;

use lope_sheet::frame::{Item, Point, Text};
use lope_sheet::glyphs::Fonts;
use lope_sheet::pdf::{Leaves, pdf};
use lope_sheet::png::png;
use lope_sheet::{Sheet, Wishes, lay, svg};
use lope_tests::book::Book;
use lope_tests::outside::ask;
use lope_tests::program::root;
use lope_tune::{Defaults, Tune, read};
use serde_json::{Value, json};

/// Words in Latin, Greek and Cyrillic, what markup is made of, and every sign that a sheet has.
const SIGNS: &str = "tune: Ёж & <Ωμέγα> \"Élan\"\nby: Ana Ní Ghráinne\nkind: jig\nmeter: 6/8\ntempo: 96\ncapo: 2\n\n\
                     part A x2\n| <G7> [3:0 2:0 1:3]! t 2:1  \"gently\" 1:5 h7 p5 | 3:2 s4 2:0~  1:10^ t 2:2/m |\n\
                     ending 1\n| {1:0 2:1 3:2} - t _ 3:0 | % |\nending 2\n| 3:0 - -  1:22 - - |\n";

#[test]
fn files_of_sheets_hold_what_they_should_for_programs_that_did_not_make_them() {
    let book = Book::of(&[("signs.lope", SIGNS)]);
    for name in ["the-heron-at-low-water", "slack-water-by-candle"] {
        fs::write(book.path(&format!("{name}.lope")), demo(name)).unwrap();
    }
    let heron = tune(&demo("the-heron-at-low-water"));
    let signs = tune(SIGNS);
    for args in [
        &["signs.lope", "signs.pdf", "--paper", "letter"][..],
        &["the-heron-at-low-water.lope", "heron.pdf", "--large"],
        &[".", "book.pdf", "--title", "Tuesday & after"],
        &[".", "book.html"],
        &["signs.lope", "signs.html", "--findings"],
    ] {
        assert_eq!(book.run(&[&["make"], args].concat()).code(), 0, "{args:?}");
    }
    let words = ["Ёж & <Ωμέγα> \"Élan\"", "Ana Ní Ghráinne", "gently", "G7", "22"];
    let all = ["Tuesday & after", "The Heron at Low Water", "Slack Water by Candle", words[0]];
    let frets: Vec<u8> = frets(&heron);
    let path = |name: &str| book.path(name).display().to_string();
    ask(
        "sheets",
        &json!({
            "documents": [
                { "path": path("signs.pdf"), "pages": 1, "paper": "letter", "words": words,
                  "frets": self::frets(&signs), "title": signs.header.title },
                { "path": path("heron.pdf"), "pages": pages(&heron, true), "paper": "a4",
                  "words": ["The Heron at Low Water", "jig"], "frets": frets, "title": "The Heron at Low Water" },
                { "path": path("book.pdf"), "pages": 4, "paper": "a4", "words": all, "frets": frets,
                  "title": "Tuesday & after" },
            ],
            "pages": [path("book.html"), path("signs.html")],
            "alike": page(&signs, &book.folder()),
        }),
    );
}

/// The first page of `tune` as files of each form in `folder`, and what to ask about them.
fn page(tune: &Tune, folder: &Path) -> Value {
    let (dots, fonts) = (144_u16, Fonts::new());
    let sheet = laid(tune, false);
    fs::write(folder.join("page.svg"), svg(&sheet, &sheet.pages[0])).unwrap();
    fs::write(folder.join("page.png"), png(&sheet, dots.into(), &fonts).unwrap()).unwrap();
    let leaves =
        Leaves { title: "Page", author: None, sheets: std::slice::from_ref(&sheet), contents: false };
    fs::write(folder.join("page.pdf"), pdf(&leaves, &fonts).unwrap()).unwrap();
    let Point { x, y } = first_fret(&sheet.pages[0].items).unwrap().at;
    let box_of = |left: f32, top: f32| [(x + left) * 2.0, (y + top) * 2.0];
    let fret: Vec<i32> =
        [box_of(-4.0, -7.0), box_of(4.0, 1.0)].concat().iter().map(|edge| *edge as i32).collect();
    let faces =
        ["Regular", "Bold", "Italic"].map(|face| root().join(format!("server/sheet/fonts/{face}.ttf")));
    json!({ "folder": folder, "dots": dots, "faces": faces, "most": 0.12, "fret": fret })
}

fn laid(tune: &Tune, large: bool) -> Sheet {
    lay(tune, &lope_hand::read(tune), &Wishes { large, ..Wishes::default() })
}

fn pages(tune: &Tune, large: bool) -> usize {
    laid(tune, large).pages.len()
}

/// The first number of an event.
fn first_fret(items: &[Item]) -> Option<&Text> {
    use lope_sheet::frame::Part;
    items.iter().find_map(|item| match item {
        Item::Group(group) if matches!(group.part, Part::Event(_)) => {
            group.items.iter().find_map(|item| match item {
                Item::Text(text) if text.words.parse::<u8>().is_ok() => Some(text),
                _ => None,
            })
        }
        Item::Group(group) => first_fret(&group.items),
        _ => None,
    })
}

fn frets(tune: &Tune) -> Vec<u8> {
    tune.notes.iter().map(|note| note.fret).collect()
}

fn demo(name: &str) -> String {
    fs::read_to_string(root().join(format!("server/src/cli/start/book/{name}.lope"))).unwrap()
}

fn tune(text: &str) -> Tune {
    read(text, &lope_syntax::parse(text), &Defaults::default()).tune
}
