//! `lope make` of what is seen: one tune, a book, a passage, and what is said of what cannot be shown.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;

use lope_tests::book::Book;

const JIG: &str = "tune: Tin Roof\nmeter: 6/8\n\npart A x2\n1:0 | 3:0 t 2:0  1:0 t 2:0 | 3:0 t 3:0  3:0- |\n";
const REEL: &str = "tune: The Wet Step!\nmeter: 2/4\n\npart B\n| 3:0 t 2:0 t  1:0 t 2:0 t |\n";

/// The file as text, whatever bytes it is made of.
fn bytes(book: &Book, path: &str) -> String {
    fs::read(book.path(path)).unwrap().iter().map(|byte| char::from(*byte)).collect()
}

#[test]
fn one_tune_goes_to_a_document_or_a_picture() {
    let book = Book::of(&[("a.lope", JIG)]);
    for (out, start) in [("a.pdf", "%PDF-1.7"), ("a.SVG", "<svg "), ("a.png", "\u{89}PNG\r\n")] {
        assert_eq!(book.run(&["make", "a.lope", out]).expect(0), format!("{out}: made\n"));
        let made = bytes(&book, out);
        assert!(made.starts_with(start), "{out}");
        book.run(&["make", "a.lope", out]).expect(0);
        assert_eq!(bytes(&book, out), made, "the same tune makes the same file");
    }
}

#[test]
fn paper_size_and_dots_are_chosen() {
    let book = Book::of(&[("a.lope", JIG)]);
    for (paper, size) in [("a4", "/MediaBox[0 0 595.28 841.89]"), ("letter", "/MediaBox[0 0 612 792]")] {
        book.run(&["make", "a.lope", "a.pdf", "--paper", paper]).expect(0);
        assert!(bytes(&book, "a.pdf").contains(size), "{paper}");
    }
    let width = |dots: &str| {
        book.run(&["make", "a.lope", "a.png", "--dots", dots]).expect(0);
        // The PNG specification, 11.2.1: the header's first field, after a signature of 8 bytes and 8 of a chunk.
        u32::from_be_bytes(fs::read(book.path("a.png")).unwrap()[16..20].try_into().unwrap())
    };
    assert_eq!(width("144"), 2 * width("72"));
}

#[test]
fn a_book_is_one_document_and_keeps_the_order_that_is_asked_for() {
    let book =
        Book::of(&[("book/b.lope", REEL), ("book/c.lope", JIG), ("none.lope", "tune: Rest\nmeter: 6/8\n")]);
    assert_eq!(book.run(&["make", "book", "out.pdf"]).expect(0), "out.pdf: made, 2 tunes\n");
    let made = bytes(&book, "out.pdf");
    assert_eq!(made.matches("/Type/Page/").count(), 3, "a page of contents, and one for each tune");
    assert!(made.contains("/Title(book)"), "{}", made.matches("/Title").count());
    book.run(&["make", "book/c.lope", "book", "out.pdf", "--title", "Tuesday"]).expect(0);
    let made = bytes(&book, "out.pdf");
    let places = ["/Title(Tin Roof)", "/Title(The Wet Step!)"].map(|title| made.find(title).unwrap());
    assert!(made.contains("/Title(Tuesday)") && places[0] < places[1]);
    let ran = book.run(&["make", "none.lope", "book", "out.pdf"]);
    assert_eq!((ran.code(), ran.out.as_str()), (2, "out.pdf: made, 2 tunes\n"));
    assert_eq!(ran.err, "lope: none.lope: there is no music in it to show\n");
    let said = book.run(&["make", "book", "out", "--as", "pdf"]).expect(0);
    assert_eq!(said, "out/the-wet-step.pdf: made\nout/tin-roof.pdf: made\n");
}

#[test]
fn what_does_not_go_together_is_said() {
    let book = Book::of(&[("a.lope", JIG), ("none.lope", "tune: Rest\nmeter: 6/8\n")]);
    let help = "`lope make --help` lists it";
    for (args, expected) in [
        (
            &["a.lope", "a.pdf", "--speed", "50"][..],
            format!("a.pdf: a .pdf is seen: leave out what is only for files that are heard; {help}"),
        ),
        (
            &["a.lope", "a.mid", "--large"],
            format!("a.mid: a .mid is heard: leave out what is only for files that are seen; {help}"),
        ),
        (&["none.lope", "a.pdf"], "none.lope: there is no music in it to show".to_owned()),
        (&["none.lope", "a.png"], "none.lope: there is no music in it to show".to_owned()),
        (&["a.lope", "a.pdf", "--part", "C"], "a.lope: plays no part C; its parts are: A".to_owned()),
    ] {
        let ran = book.run(&[&["make"], args].concat());
        assert_eq!((ran.code(), ran.out.as_str(), ran.err), (2, "", format!("lope: {expected}\n")));
    }
    assert_eq!(fs::read_dir(book.folder()).unwrap().count(), 2, "only the tunes");
}

#[test]
fn letters_that_no_font_has_are_named() {
    // A character of no script, for private use: no font that comes with a system has it.
    let book = Book::of(&[("a.lope", JIG.replace("Tin Roof", "Tin \u{10fffd} Roof"))]);
    for out in ["a.pdf", "a.png"] {
        let ran = book.run(&["make", "a.lope", out]);
        assert_eq!((ran.code(), ran.out), (0, format!("{out}: made\n")));
        assert_eq!(
            ran.err,
            format!(
                "lope: {out}: boxes stand for what no font of this machine has: \u{10fffd} (U+10FFFD); install a \
                 font for that script and make it again\n"
            )
        );
    }
}

#[test]
fn several_tunes_go_to_one_page_or_one_text() {
    let book = Book::of(&[("book/a.lope", JIG.replace("Tin", "<Tin>")), ("book/b.lope", REEL.to_owned())]);
    assert_eq!(book.run(&["make", "book", "out.html"]).expect(0), "out.html: made, 2 tunes\n");
    let page = book.read("out.html");
    assert!(page.contains("<a href=\"#tune-1\">&lt;Tin&gt; Roof</a>") && !page.contains("<Tin>"));
    assert!(!page.contains("http://") && !page.contains("https://"), "nothing is asked for from elsewhere");
    assert_eq!(
        book.run(&["make", "book", "out.txt", "--without", "strokes,count"]).expect(0),
        "out.txt: made, 2 tunes\n"
    );
    let text = book.read("out.txt");
    assert!(text.find("<Tin> Roof").unwrap() < text.find("The Wet Step!").unwrap());
    book.run(&["make", "book", "out.txt", "--width", "40"]).expect(0);
    assert!(book.read("out.txt").lines().all(|line| line.chars().count() <= 40));
}

#[test]
fn a_part_or_some_bars_are_shown_alone() {
    let book =
        Book::of(&[("a.lope", format!("{JIG}part B\n| 1:17 t 1:17  1:17 - - | 1:19 t 1:19  1:19 - - |\n"))]);
    let shown = |args: &[&str]| {
        book.run(&[&["make", "a.lope", "a.txt", "--without", "strokes,count"], args].concat()).expect(0);
        let text = book.read("a.txt");
        ["part A", "17", "19"].map(|part| text.contains(part))
    };
    assert_eq!(shown(&[]), [true, true, true]);
    assert_eq!(shown(&["--part", "A"]), [true, false, false]);
    assert_eq!(shown(&["--part", "B", "--bars", "2"]), [false, false, true]);
}
