//! What the page is told.

use lope_tests::book::Book;
use serde_json::{Value, json};

use super::JIG;
use super::viewed::Viewed;

#[test]
fn a_book_lists_its_tunes_and_what_cannot_be_read() {
    let other = JIG.replace("Tin Roof", "<b>Slate</b>").replace("h2", "1:2");
    let book = Book::of(&[
        ("a.lope", format!("{JIG}\n{other}").as_bytes()),
        ("slow/b.lope", b"tune: \xff\n"),
        ("notes.txt", b"none"),
    ]);
    let viewed = Viewed::new(&book.folder(), ".");
    let contents = viewed.get("contents").json();
    let tunes: Vec<Value> = contents["tunes"].as_array().unwrap().clone();
    let told = |tune: &Value| (tune["title"].clone(), tune["number"].clone(), tune["warnings"].clone());
    assert_eq!(
        tunes.iter().map(told).collect::<Vec<_>>(),
        [(json!("Tin Roof"), json!(0), json!(1)), (json!("<b>Slate</b>"), json!(1), json!(0)),]
    );
    assert_eq!(tunes[0]["about"], "jig, 6/8, gDGBD");
    let problems = contents["problems"].to_string();
    assert!(problems.contains("slow/b.lope:1:7: byte 0xff is not UTF-8 text"), "{problems}");
}

#[test]
fn a_tune_is_told_with_what_was_found_and_its_mends() {
    let book = Book::of(&[("a.lope", JIG)]);
    let viewed = Viewed::new(&book.folder(), "a.lope");
    let tune = viewed.tune("a.lope");
    let finding = &tune["findings"][0];
    assert_eq!(finding["place"], "part A, bar 1, count 6");
    assert_eq!(finding["mends"][0], json!({ "title": "strike string 1 at fret 2", "safe": true }));
    let bars: Vec<String> =
        tune["bars"].as_array().unwrap().iter().map(|bar| bar["number"].to_string()).collect();
    assert_eq!(bars, ["0", "1", "2", "3", "4", "0", "1", "2", "3", "4"]);
    let drawing = tune["pages"][0].as_str().unwrap();
    assert!(drawing.contains(&format!("data-event=\"{}\"", finding["event"])), "{drawing}");
    assert_eq!(viewed.get("tune?file=b.lope&number=0&width=500").status, 404);
    assert_eq!(viewed.get("tune?file=a.lope&number=1&width=500").status, 404);
    assert!(viewed.get("rule?name=off-strike").text().starts_with("off-strike (warning, right hand)"));
    assert_eq!(viewed.get("rule?name=off-by-one").status, 404);
}

#[test]
fn nothing_in_a_tune_becomes_part_of_the_page() {
    let title = "<script>alert(1)</script>\"'&";
    let hostile = JIG
        .replace("Tin Roof", title)
        .replace("| 3:0 t 3:0  3:0- |", "| \"<img src=x>\" <A&b> 3:0 t 3:0  3:0- |");
    let book = Book::of(&[("a.lope", hostile)]);
    let viewed = Viewed::new(&book.folder(), "a.lope");
    let tune = viewed.tune("a.lope");
    assert_eq!(tune["title"], title);
    for page in tune["pages"].as_array().unwrap() {
        let drawing = page.as_str().unwrap();
        assert!(!drawing.contains("<script") && !drawing.contains("<img"), "{drawing}");
        // It is read as XML, so that nothing is mended in silence; an outside reader is asked in the browser.
        assert!(drawing.contains("&lt;script&gt;"), "{drawing}");
    }
    assert!(!viewed.get("").text().contains("alert"));
}

/// What the page asks for to play `more` of the jig.
fn play(tune: &Value, what: &str, more: &str) -> String {
    let stamp = tune["stamp"].as_str().unwrap();
    let mut asked = format!("{what}?file=a.lope&number=0&stamp={stamp}&click=false&{more}");
    for (name, usual) in
        [("speed", "100"), ("count_in", "false"), ("over", "false"), ("hands", "right,left,drone")]
    {
        if !more.contains(name) {
            asked += &format!("&{name}={usual}");
        }
    }
    asked
}

#[test]
fn the_sound_and_its_times_agree() {
    let book = Book::of(&[("a.lope", JIG)]);
    let viewed = Viewed::new(&book.folder(), "a.lope");
    let tune = viewed.tune("a.lope");
    // At 120 beats a minute a bar takes a second; two bars are played twice, after one that is counted.
    let more = "bars=1-2&over=true&count_in=true&speed=50";
    let due = viewed.get(&play(&tune, "due", more)).json();
    assert_eq!(due["start"], 2.0);
    assert_eq!(due["round"], json!([6.0, 10.0]));
    assert_eq!(due["bars"][2], json!([6.0, 8.0, 1]));
    assert_eq!(due["counts"][0], json!([2.0, "1", 0, 0]));
    let sound = viewed.get(&play(&tune, "sound", more)).body;
    assert_eq!((&sound[..4], &sound[8..12]), (&b"RIFF"[..], &b"WAVE"[..]));
    let seconds = (sound.len() - 44) as f64 / 2.0 / 44_100.0;
    assert!((10.0..16.0).contains(&seconds), "{seconds}");
    // A hand that is not heard is seen all the same.
    let muted = "hands=left";
    assert_eq!(viewed.get(&play(&tune, "due", muted)).json(), viewed.get(&play(&tune, "due", "")).json());
    assert_ne!(viewed.get(&play(&tune, "sound", muted)).body, viewed.get(&play(&tune, "sound", "")).body);
}

#[test]
fn what_cannot_be_played_is_refused_with_the_reason() {
    let long = JIG.replace("x2", "x99").replace("tempo: 120", "tempo: 20");
    let book = Book::of(&[("a.lope", &long)]);
    let viewed = Viewed::new(&book.folder(), "a.lope");
    let tune = viewed.tune("a.lope");
    let refused = |more: &str| {
        let answer = viewed.get(&play(&tune, "sound", more));
        (answer.status, answer.text().to_owned())
    };
    assert_eq!(refused("").1, "it takes longer than 15 minutes: choose some bars of it");
    for bars in ["99999-99999", "0-18446744073709551615", "3-1"] {
        assert_eq!(refused(&format!("bars={bars}")).1, "there is nothing to play in it", "{bars}");
    }
    assert_eq!(refused("bars=one").0, 400);
    book.write("a.lope", JIG);
    // Soon the file is another than the page knows, and the page is told so.
    while viewed.tune("a.lope")["stamp"] == tune["stamp"] {}
    assert_eq!(refused("").0, 409);
}

#[test]
fn a_mend_is_made_in_the_file_or_not_at_all() {
    let text = format!("# kept\n{JIG}");
    let book = Book::of(&[("a.lope", &text)]);
    let viewed = Viewed::new(&book.folder(), "a.lope");
    let stamp = viewed.tune("a.lope")["stamp"].as_str().unwrap().to_owned();
    assert_eq!(viewed.mend("a.lope", &stamp, 0, 9).status, 409);
    assert_eq!(viewed.mend("b.lope", &stamp, 0, 0).status, 404);
    assert_eq!(viewed.mend("a.lope", "0", 0, 0).status, 409);
    assert_eq!(book.read("a.lope"), text);
    assert_eq!(viewed.mend("a.lope", &stamp, 0, 0).status, 204);
    let mended = text.replace("t h2", "t 1:2");
    assert_eq!(book.read("a.lope"), mended);
    // What the page was told of is no longer there.
    assert_eq!(viewed.mend("a.lope", &stamp, 0, 0).status, 409);
    assert_eq!(book.read("a.lope"), mended);
}
