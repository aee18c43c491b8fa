//! Files that change while they are shown.

use std::fs;

use lope_tests::book::Book;

use super::JIG;
use super::viewed::Viewed;

#[test]
fn a_save_is_told_however_an_editor_does_it() {
    let book = Book::of(&[("a.lope", JIG)]);
    let viewed = Viewed::new(&book.folder(), "a.lope");
    let mut turns = viewed.turns();
    assert_eq!(turns.next(), Some(0));
    let title = || viewed.tune("a.lope")["title"].as_str().unwrap().to_owned();
    let renamed = |title: &str| JIG.replace("Tin Roof", title);
    // Written over.
    book.write("a.lope", renamed("Slate"));
    assert_eq!((turns.next(), title()), (Some(1), "Slate".to_owned()));
    // Written beside, and moved in its place.
    book.write("a.lope~", renamed("Thatch"));
    fs::rename(book.path("a.lope~"), book.path("a.lope")).unwrap();
    assert_eq!((turns.next(), title()), (Some(2), "Thatch".to_owned()));
    // Moved away, and written anew.
    fs::rename(book.path("a.lope"), book.path("a.lope~")).unwrap();
    book.write("a.lope", renamed("Turf"));
    while title() != "Turf" {
        turns.next();
    }
}

#[test]
fn a_file_that_is_deleted_is_missed_until_it_is_back() {
    let book = Book::of(&[("a.lope", JIG)]);
    let viewed = Viewed::new(&book.folder(), "a.lope");
    let mut turns = viewed.turns();
    turns.next();
    fs::remove_file(book.path("a.lope")).unwrap();
    assert_eq!(turns.next(), Some(1));
    let contents = viewed.get("contents").json();
    assert_eq!(contents["problems"][0], "a.lope: cannot read it: there is no such file or folder");
    assert_eq!(viewed.get("tune?file=a.lope&number=0&width=500").status, 404);
    book.write("a.lope", JIG);
    assert_eq!(turns.next(), Some(2));
    assert_eq!(viewed.get("contents").json()["problems"][0], serde_json::Value::Null);
}

#[test]
fn a_book_is_told_of_new_tunes_and_of_its_settings() {
    let book = Book::of(&[("a.lope", JIG)]);
    let viewed = Viewed::new(&book.folder(), ".");
    let mut turns = viewed.turns();
    turns.next();
    let count = || viewed.get("contents").json()["tunes"].as_array().unwrap().len();
    book.write("b.lope", JIG.replace("Tin Roof", "Slate"));
    turns.next();
    assert_eq!(count(), 2);
    book.write("lope.toml", "[rules]\noff-strike = \"off\"\n");
    turns.next();
    assert_eq!(viewed.tune("a.lope")["findings"].as_array().unwrap().len(), 0);
    fs::remove_file(book.path("b.lope")).unwrap();
    while count() != 1 {
        turns.next();
    }
}
