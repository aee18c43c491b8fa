//! Nobody but the page itself gets an answer.

use lope_tests::book::Book;

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
fn every_answer_says_what_the_page_may_do() {
    let book = Book::of(&[("a.lope", JIG)]);
    let viewed = Viewed::new(&book.folder(), "a.lope");
    for path in ["", "main.js", "contents", "nothing"] {
        let headers = viewed.get(path).headers;
        for wanted in ["default-src 'none'", "script-src 'self'", "no-store", "nosniff", "no-referrer"] {
            assert!(headers.contains(wanted), "{path}: {headers}");
        }
        assert!(!headers.contains("unsafe"), "{headers}");
    }
    let page = viewed.get("");
    for foreign in ["http:", "https:", "//"] {
        assert!(!page.text().contains(foreign), "the page comes from this machine alone");
    }
}
