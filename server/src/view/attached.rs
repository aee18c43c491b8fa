//! The program that started this one, such as an editor's extension, and what it says by standard input.
//!
//! While that is open, the page is wanted. A line of it is an address at which the editor's server hands our port on,
//! to whoever sits before a browser elsewhere: from then on the page goes by that name as well, and its whole address
//! there is printed.

use std::io::{self, BufRead, Write};
use std::thread;

use tokio::sync::oneshot;
use url::Url;

use super::guard::{Names, Token};

/// Comes back when standard input ends; never, unless it `is_attached`.
pub async fn ends(is_attached: bool, token: &Token, names: &Names) {
    if !is_attached {
        return std::future::pending().await;
    }
    let (ended, end) = oneshot::channel::<()>();
    let (token, names) = (token.clone(), names.clone());
    // A thread of its own: one of the runtime's could not be left waiting in a read.
    thread::spawn(move || {
        for line in io::stdin().lock().lines().map_while(Result::ok) {
            match handed_on(&line, &token) {
                Some(page) => {
                    names.add(page.origin().ascii_serialization());
                    let mut out = io::stdout();
                    let _ = writeln!(out, "{page}").and_then(|()| out.flush());
                }
                None => {
                    let _ = writeln!(io::stderr(), "lope: {line}: not an address of a page on the web");
                }
            }
        }
        drop(ended);
    });
    let _ = end.await;
}

/// Where the page is, if our port is handed on at the address in `line`: below it.
fn handed_on(line: &str, token: &Token) -> Option<Url> {
    let mut url = Url::parse(line.trim()).ok().filter(|url| matches!(url.scheme(), "http" | "https"))?;
    url.path_segments_mut().ok()?.pop_if_empty().push(&token.to_string()).push("");
    url.set_fragment(None);
    Some(url)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_is_below_where_the_port_is_handed_on() {
        let token = Token::new().unwrap();
        let at = |line| handed_on(line, &token).map(|url| url.to_string());
        for (line, before, after) in [
            ("http://localhost:4000/\n", "http://localhost:4000", ""),
            ("https://code.example:443/proxy/4000", "https://code.example/proxy/4000", ""),
            ("https://4000.code.example/proxy/?door=1#top", "https://4000.code.example/proxy", "?door=1"),
        ] {
            assert_eq!(at(line), Some(format!("{before}/{token}/{after}")));
        }
        for line in ["", "code.example", "file:///tmp/", "javascript:alert(1)"] {
            assert_eq!(at(line), None, "{line}");
        }
    }
}
