//! The bodies of messages as the requests, notifications and answers they are.

use tower_lsp::jsonrpc::{Request, Response};

/// A message from the client.
#[derive(Debug)]
pub enum Message {
    /// A request, or a notification: one without an id.
    Request(Request),
    /// The answer to a request of ours.
    Response(Response),
}

/// Reads a frame's body, or says why it is no message.
pub fn read_message(body: &[u8]) -> Result<Message, String> {
    let request = serde_json::from_slice::<Request>(body);
    match request {
        Ok(request) if !request.method().is_empty() => Ok(Message::Request(request)),
        _ => match serde_json::from_slice::<Response>(body) {
            Ok(response) => Ok(Message::Response(response)),
            Err(error) => Err(request.map_or_else(|error| error, |_| error).to_string()),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kind(body: &str) -> &'static str {
        match read_message(body.as_bytes()) {
            Ok(Message::Request(request)) if request.id().is_some() => "request",
            Ok(Message::Request(_)) => "notification",
            Ok(Message::Response(_)) => "response",
            Err(_) => "nothing",
        }
    }

    #[test]
    fn tells_messages_apart() {
        assert_eq!(kind(r#"{"jsonrpc":"2.0","id":1,"method":"a"}"#), "request");
        assert_eq!(kind(r#"{"jsonrpc":"2.0","id":"x","method":"a","params":null}"#), "request");
        assert_eq!(kind(r#"{"jsonrpc":"2.0","method":"a","params":[1]}"#), "notification");
        assert_eq!(kind(r#"{"jsonrpc":"2.0","id":1,"result":null}"#), "response");
        assert_eq!(kind(r#"{"jsonrpc":"2.0","id":1,"error":{"code":-1,"message":"no"}}"#), "response");
    }

    #[test]
    fn what_is_no_message_is_nothing() {
        for body in
            ["", "{", "[]", "7", "{}", r#"{"jsonrpc":"1.0","method":"a"}"#, r#"{"jsonrpc":"2.0","id":1}"#]
        {
            assert_eq!(kind(body), "nothing", "{body}");
        }
        assert_eq!(kind(r#"{"jsonrpc":"2.0","id":1.5,"method":"a"}"#), "nothing");
        let deep = format!(r#"{{"jsonrpc":"2.0","method":"a","params":{}}}"#, "[".repeat(30_000));
        assert_eq!(kind(&deep), "nothing");
        assert!(read_message(b"{\"jsonrpc\":\"2.0\",\"method\":\"\xff\"}").is_err());
    }
}
