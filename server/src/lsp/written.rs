//! Answers that are text already.
//!
//! tower-lsp (0.20) makes a tree of JSON of every answer before it makes text of it: for the tokens of a long file
//! that is a hundred megabytes, and most of the time. So a handler writes its answer down here, where it was found,
//! and answers the service with nothing; what the service refuses, such as a cancelled question, stays refused.

use std::cell::Cell;
use std::future::Future;

use serde::Serialize;
use serde_json::value::{RawValue, to_raw_value};
use tokio::task_local;
use tower_lsp::jsonrpc::{Id, Response};

use super::queue::Body;

/// The result of a request, as text.
pub struct Written(Box<RawValue>);

impl Written {
    pub fn new(result: &impl Serialize) -> Option<Self> {
        to_raw_value(result).ok().map(Self)
    }

    /// Answers the request that is being handled with this, in place of the handler's own result.
    pub fn answer(self) {
        // Outside a request there is nobody to answer.
        let _ = ANSWER.try_with(|answer| answer.set(Some(self)));
    }
}

task_local! {
    static ANSWER: Cell<Option<Written>>;
}

/// What there is to send once `handler` is done: its response, or what was written in place of it.
pub async fn body(handler: impl Future<Output = Option<Response>>) -> Option<Body> {
    let done = async { (handler.await, ANSWER.with(Cell::take)) };
    let (response, written) = ANSWER.scope(Cell::default(), done).await;
    let response = response?;
    Some(match written.filter(|_| response.is_ok()) {
        Some(Written(result)) => Body::new(&Answer { jsonrpc: "2.0", id: response.id(), result: &result }),
        None => Body::new(&response),
    })
}

#[derive(Serialize)]
struct Answer<'a> {
    jsonrpc: &'static str,
    id: &'a Id,
    result: &'a RawValue,
}

#[cfg(test)]
mod tests {
    use serde_json::json;
    use tokio::runtime::Builder;
    use tower_lsp::jsonrpc::Error;

    use super::*;

    /// Checks what is sent where a handler writes 7 and ends with `response`.
    #[track_caller]
    fn check(response: Option<Response>, expected: Option<serde_json::Value>) {
        let handler = async {
            Written::new(&7).unwrap().answer();
            response
        };
        let body = Builder::new_current_thread().build().unwrap().block_on(body(handler));
        let sent = body.map(|body| serde_json::from_slice::<serde_json::Value>(body.bytes()).unwrap());
        assert_eq!(sent, expected);
    }

    #[test]
    fn what_is_written_is_sent_unless_the_request_is_refused_or_none() {
        check(
            Some(Response::from_ok(Id::Number(3), json!(null))),
            Some(json!({ "jsonrpc": "2.0", "id": 3, "result": 7 })),
        );
        let refused = Response::from_error(Id::Number(3), Error::request_cancelled());
        check(Some(refused.clone()), Some(serde_json::to_value(&refused).unwrap()));
        check(None, None);
    }

    #[test]
    fn what_is_written_outside_a_request_is_nothing() {
        Written::new(&7).unwrap().answer();
    }
}
