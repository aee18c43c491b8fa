//! Who may ask: whoever has the token, by the name of this machine, from the page itself.
//!
//! Any program on this machine, and any page in its browser, can reach a port. The token in the address keeps them
//! out. The host is looked at so that no foreign name can be made to lead here, the origin so that no foreign page
//! can ask even if it learnt the address.

use std::fmt::{self, Write};

use axum::extract::Request;
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

/// What the page may do: load its own parts, and nothing from elsewhere. It may stand in a frame of an editor: VS
/// Code's windows, and those it opens in a browser. Another page could frame it only if it knew the token.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
                      font-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; \
                      frame-ancestors 'self' vscode-webview: vscode-file: https://*.vscode-cdn.net \
                      http://127.0.0.1:* http://localhost:*";

const HEADERS: [(HeaderName, &str); 5] = [
    (header::CACHE_CONTROL, "no-store"),
    (header::CONTENT_SECURITY_POLICY, POLICY),
    (header::REFERRER_POLICY, "no-referrer"),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
];

/// Answers a request that may be answered, and says in each answer what the page may do.
pub async fn check(request: Request, next: Next) -> Response {
    let mut response = match refusal(request.method(), request.headers()) {
        Some(why) => (StatusCode::FORBIDDEN, why).into_response(),
        None => next.run(request).await,
    };
    for (name, value) in HEADERS {
        response.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    response
}

/// Why a request is none of the page's own.
fn refusal(method: &Method, headers: &HeaderMap) -> Option<&'static str> {
    let text = |name| headers.get(name).and_then(|value: &HeaderValue| value.to_str().ok());
    let Some(host) = text(header::HOST).filter(|host| is_this_machine(host)) else {
        return Some("this page goes by the name 127.0.0.1 or localhost only\n");
    };
    match text(header::ORIGIN) {
        Some(origin) => {
            (origin.strip_prefix("http://") != Some(host)).then_some("another page may not ask this one\n")
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

    fn refused(method: Method, headers: &[(HeaderName, &'static str)]) -> bool {
        let headers = headers
            .iter()
            .map(|(name, value)| (name.clone(), HeaderValue::from_bytes(value.as_bytes()).unwrap()));
        refusal(&method, &headers.collect()).is_some()
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
    fn no_two_tokens_are_alike() {
        let (one, other) = (Token::new().unwrap(), Token::new().unwrap());
        assert_eq!(one.0.len(), 32);
        assert_ne!(one.0, other.0);
    }
}
