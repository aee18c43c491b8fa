//! Who may ask: whoever has the token, by the name of this machine, from the page itself.
//!
//! Any program on this machine, and any page in its browser, can reach a port. The token in the address keeps them
//! out. The host is looked at so that no foreign name can be made to lead here, the origin so that no foreign page
//! can ask even if it learnt the address. An editor that runs in a browser hands our port on by its own name, and
//! says so to the program it started ([`super::attached`]); no other name is believed.

use std::fmt::{self, Write};
use std::sync::{Arc, PoisonError, RwLock};

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// What only the page's own address holds.
#[derive(Clone)]
pub struct Token(String);

impl Token {
    /// A new one, of 128 random bits.
    pub fn new() -> Result<Self, String> {
        let mut bytes = [0; 16];
        getrandom::fill(&mut bytes)
            .map_err(|error| format!("the system gives no random numbers: {error}"))?;
        Ok(Self(bytes.iter().fold(String::new(), |mut text, byte| {
            let _ = write!(text, "{byte:02x}");
            text
        })))
    }
}

impl fmt::Display for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// By what other names the page goes: origins, as browsers write them.
#[derive(Clone, Default)]
pub struct Names(Arc<RwLock<Vec<String>>>);

impl Names {
    /// From now on it goes by `origin` as well. That of a port of this machine goes without saying.
    pub fn add(&self, origin: String) {
        if origin.strip_prefix("http://").is_some_and(is_this_machine) {
            return;
        }
        self.0.write().unwrap_or_else(PoisonError::into_inner).push(origin);
    }

    fn have(&self, is_meant: impl Fn(&str) -> bool) -> bool {
        self.0.read().unwrap_or_else(PoisonError::into_inner).iter().any(|origin| is_meant(origin))
    }
}

/// What the page may do: load its own parts, and nothing from elsewhere.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
                      font-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'";

/// What it may stand in: frames of an editor, which are VS Code's windows, and those it opens in a browser. Another
/// page could frame it only if it knew the token. Where it is handed on by another name, this is left out: by which
/// names the frames go there, no extension is told.
const FRAMES: &str = "frame-ancestors 'self' vscode-webview: vscode-file: https://*.vscode-cdn.net \
                      http://127.0.0.1:* http://localhost:*";

const HEADERS: [(HeaderName, &str); 5] = [
    (header::CACHE_CONTROL, "no-store"),
    (header::CONTENT_SECURITY_POLICY, POLICY),
    (header::REFERRER_POLICY, "no-referrer"),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
];

/// Answers a request that may be answered, and says in each answer what the page may do.
pub async fn check(State(names): State<Names>, request: Request, next: Next) -> Response {
    let mut response = match refusal(request.method(), request.headers(), &names) {
        Some(why) => (StatusCode::FORBIDDEN, why).into_response(),
        None => next.run(request).await,
    };
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if !names.have(|_| true) {
        headers.append(header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(FRAMES));
    }
    response
}

/// Why a request is none of the page's own.
fn refusal(method: &Method, headers: &HeaderMap, names: &Names) -> Option<&'static str> {
    let text = |name| headers.get(name).and_then(|value: &HeaderValue| value.to_str().ok());
    let is_told =
        |host: &str| names.have(|origin| origin.split_once("://").is_some_and(|(_, name)| name == host));
    let Some(host) = text(header::HOST).filter(|host| is_this_machine(host) || is_told(host)) else {
        return Some("this page goes by the name 127.0.0.1 or localhost only\n");
    };
    match text(header::ORIGIN) {
        Some(origin) => {
            let is_here = is_this_machine(host) && origin.strip_prefix("http://") == Some(host);
            // Who hands the page on may ask by our name or by its own.
            let is_own = is_here || names.have(|told| told == origin);
            (!is_own).then_some("another page may not ask this one\n")
        }
        // Browsers name the origin of whatever changes something.
        None => {
            (headers.contains_key(header::ORIGIN) || method != Method::GET).then_some("no origin is named\n")
        }
    }
}

/// Whether `host` is a name of this machine, with any port: an editor may hand the page on from another.
fn is_this_machine(host: &str) -> bool {
    let name = host.rsplit_once(':').map_or(host, |(name, _)| name);
    matches!(name, "127.0.0.1" | "localhost")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused_by(names: &Names, method: Method, headers: &[(HeaderName, &'static str)]) -> bool {
        let headers = headers
            .iter()
            .map(|(name, value)| (name.clone(), HeaderValue::from_bytes(value.as_bytes()).unwrap()));
        refusal(&method, &headers.collect(), names).is_some()
    }

    fn refused(method: Method, headers: &[(HeaderName, &'static str)]) -> bool {
        refused_by(&Names::default(), method, headers)
    }

    #[test]
    fn only_the_page_itself_may_ask() {
        let (host, origin) = (header::HOST, header::ORIGIN);
        let at = |name| (host.clone(), name);
        for name in ["127.0.0.1:80", "localhost:80", "localhost"] {
            assert!(!refused(Method::GET, &[at(name)]), "{name}");
        }
        for name in ["evil.example:80", "127.0.0.1.evil.example", "localhost.evil.example:80", "", "[::1]:80"]
        {
            assert!(refused(Method::GET, &[at(name)]), "{name}");
        }
        assert!(refused(Method::GET, &[]));
        for (from, is_refused) in [
            ("http://127.0.0.1:80", false),
            ("http://127.0.0.1:81", true),
            ("http://evil.example", true),
            ("https://127.0.0.1:80", true),
            ("null", true),
            ("\u{fc}", true),
        ] {
            let headers = [at("127.0.0.1:80"), (origin.clone(), from)];
            assert_eq!(refused(Method::GET, &headers), is_refused, "{from}");
            assert_eq!(refused(Method::POST, &headers), is_refused, "{from}");
        }
        assert!(refused(Method::POST, &[at("127.0.0.1:80")]));
    }

    #[test]
    fn a_page_that_is_handed_on_may_ask_by_that_name_and_by_no_other() {
        let names = Names::default();
        names.add("https://code.example".to_owned());
        let refused = |method, host, origin| {
            refused_by(&names, method, &[(header::HOST, host), (header::ORIGIN, origin)])
        };
        assert!(!refused_by(&names, Method::GET, &[(header::HOST, "code.example")]));
        for (host, origin, is_refused) in [
            ("code.example", "https://code.example", false),
            ("127.0.0.1:80", "https://code.example", false),
            ("127.0.0.1:80", "http://127.0.0.1:80", false),
            ("code.example", "http://code.example", true),
            ("code.example", "http://127.0.0.1:80", true),
            ("code.example", "https://evil.example", true),
            ("evil.example", "https://evil.example", true),
            ("code.example:80", "https://code.example", true),
            ("evil.code.example", "https://code.example", true),
        ] {
            assert_eq!(refused(Method::POST, host, origin), is_refused, "{host} {origin}");
        }
    }

    #[test]
    fn no_two_tokens_are_alike() {
        let (one, other) = (Token::new().unwrap(), Token::new().unwrap());
        assert_eq!(one.0.len(), 32);
        assert_ne!(one.0, other.0);
    }
}
