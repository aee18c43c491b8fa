//! Nobody but the page itself gets an answer.

use std::io::{BufRead, Write};
use std::process::Stdio;

use lope_tests::book::Book;
use lope_tests::program;

use super::JIG;
use super::viewed::Viewed;
use super::wire::ask;

#[test]
fn only_who_has_the_whole_address_is_answered() {
    let book = Book::of(&[("a.lope", JIG)]);
    let viewed = Viewed::new(&book.folder(), "a.lope");
    let host = format!("host: 127.0.0.1:{}", viewed.port);
    let status = |path: &str| ask(viewed.port, &[&format!("GET {path}"), &host], "").status;
    assert_eq!(status(&viewed.below), 200);
    let other = viewed.below.replace(&viewed.below[1..5], "0000");
    for path in ["/", "/contents", "/tune", "//contents", &other, &format!("{other}contents"), "/%2e%2e/"] {
        assert_eq!(status(path), 403, "{path}");
    }
    for path in ["nothing", "..%2fCargo.toml", "%2e%2e/page.css", "page.css/more"] {
        assert_eq!(status(&format!("{}{path}", viewed.below)), 404, "{path}");
    }
    assert_ne!(viewed.below, Viewed::new(&book.folder(), "a.lope").below, "a token is used once");
}

#[test]
fn another_page_is_refused_even_where_it_knows_the_address() {
    let book = Book::of(&[("a.lope", JIG)]);
    let viewed = Viewed::new(&book.folder(), "a.lope");
    let here = format!("127.0.0.1:{}", viewed.port);
    let status = |method: &str, headers: &[String]| {
        let first = format!("{method} {}contents", viewed.below);
        let lines: Vec<&str> =
            std::iter::once(first.as_str()).chain(headers.iter().map(String::as_str)).collect();
        ask(viewed.port, &lines, "").status
    };
    let host = format!("host: {here}");
    assert_eq!(status("GET", std::slice::from_ref(&host)), 200);
    assert_eq!(status("GET", &[host.clone(), format!("origin: http://{here}")]), 200);
    assert_eq!(status("GET", &["host: harbour.example".to_owned()]), 403);
    assert_eq!(status("GET", &[host.clone(), "origin: http://harbour.example".to_owned()]), 403);
    assert_eq!(status("POST", &[host]), 403);
}

#[test]
fn a_page_that_an_editor_hands_on_goes_by_the_name_it_has_there() {
    let book = Book::of(&[("a.lope", JIG)]);
    let mut command = program::command(&book.folder());
    command.args(["view", "--no-open", "--attached", "a.lope"]).stdin(Stdio::piped());
    let mut viewed = Viewed::of(&mut command);
    let path = format!("{}contents", viewed.below);
    let (port, below) = (viewed.port, viewed.below.clone());
    let get = |host: &str| ask(port, &[&format!("GET {path}"), &format!("host: {host}")], "");
    assert_eq!(get("code.example").status, 403);
    let mut editor = viewed.child.stdin.take().unwrap();
    editor.write_all(b"http://localhost:4000/\nhttps://code.example/proxy/1/\n").unwrap();
    let mut told = || {
        let mut line = String::new();
        viewed.out.read_line(&mut line).unwrap();
        line
    };
    // By a name of this machine it goes anyway, and who frames it there is known.
    assert_eq!(told(), format!("http://localhost:4000{below}\n"));
    assert_eq!(told(), format!("https://code.example/proxy/1{below}\n"));
    assert_eq!(get("code.example").status, 200);
    assert_eq!(get("harbour.example").status, 403);
    let post = |origin: &str| {
        let lines = [&format!("POST {below}mend"), "host: code.example", &format!("origin: {origin}")];
        ask(port, &lines, "{}").status
    };
    // What is asked makes no sense, but it is not refused for where it comes from.
    assert_eq!(post("https://code.example"), 415);
    assert_eq!(post("https://harbour.example"), 403);
    assert!(!get("code.example").headers.contains("frame-ancestors"));
    assert!(get("code.example").headers.contains("script-src 'self'"));
}

#[test]
fn every_answer_says_what_the_page_may_do() {
    let book = Book::of(&[("a.lope", JIG)]);
    let viewed = Viewed::new(&book.folder(), "a.lope");
    for path in ["", "main.js", "contents", "nothing"] {
        let headers = viewed.get(path).headers;
        for wanted in [
            "default-src 'none'",
            "script-src 'self'",
            "no-store",
            "nosniff",
            "no-referrer",
            "frame-ancestors",
        ] {
            assert!(headers.contains(wanted), "{path}: {headers}");
        }
        assert!(!headers.contains("unsafe"), "{headers}");
    }
    let page = viewed.get("");
    for foreign in ["http:", "https:", "//"] {
        assert!(!page.text().contains(foreign), "the page comes from this machine alone");
    }
}
