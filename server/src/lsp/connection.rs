//! Messages to the service and back, until it is time to leave.
//!
//! tower-lsp's own loop (0.20, `Server::serve`) ends at the first frame it cannot read, goes on after
//! `exit`, waits at the end of input for handlers that wait for the client, polls no more than a few
//! handlers at once and does not survive one that panics. Its service does not depend on that loop; this
//! one stands in for it.
//!
//! Each handler is polled once, here, before the next message is looked at. What it does before its first
//! await is therefore done in the order of the messages; what it does after is left to the runtime.
//!
//! A client that asks faster than it can be answered, or than it reads, waits: its messages stay in the pipe,
//! in their order, and none is lost.

use std::future::Future;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::ExitCode;
use std::task::{Context, Poll, Waker};
use std::time::Duration;

use futures_util::{FutureExt, SinkExt, StreamExt};
use tokio::runtime::Runtime;
use tokio::task::JoinSet;
use tokio::time::timeout;
use tower_lsp::jsonrpc::{Error, Id, Request, Response};
use tower_lsp::{ClientSocket, LanguageServer, LspService};
use tower_service::Service;

use super::message::Message;
use super::outgoing::Outgoing;
use super::queue::Body;
use super::readable::readable;
use super::written;

/// How many questions are taken on before one of them must be answered.
const MOST: usize = 1000;

/// How long handlers may go on after the end of input.
const GRACE: Duration = Duration::from_secs(1);

/// Serves `messages` until the client leaves. The status is 0 when it had asked for a shutdown, else 1
/// (Language Server Protocol 3.17, "Exit Notification").
pub fn serve<S: LanguageServer>(
    runtime: &Runtime,
    mut service: LspService<S>,
    socket: ClientSocket,
    messages: impl Iterator<Item = Message>,
    out: &Outgoing,
) -> ExitCode {
    let _entered = runtime.enter();
    let (mut asked, mut answers) = socket.split();
    let to_client = out.clone();
    runtime.spawn(async move {
        while let Some(request) = asked.next().await {
            to_client.send(Body::new(&request));
        }
    });
    let mut shut_down = false;
    let mut handlers = JoinSet::new();
    for message in messages {
        while handlers.try_join_next().is_some() {}
        while handlers.len() >= MOST {
            runtime.block_on(handlers.join_next());
        }
        out.wait_for_room();
        match message {
            Message::Request(request) if request.method() == "exit" => return status(shut_down),
            Message::Request(request) => {
                shut_down |= request.method() == "shutdown";
                if request.method() == "initialize" {
                    out.greet();
                }
                let (request, left_out) = readable(request);
                left_out.iter().for_each(|problem| out.warn(problem));
                let mut answer = Box::pin(handle(&mut service, request));
                match answer.as_mut().poll(&mut Context::from_waker(Waker::noop())) {
                    Poll::Ready(answer) => send(out, answer),
                    Poll::Pending => {
                        let out = out.clone();
                        handlers.spawn(async move { send(&out, answer.await) });
                    }
                }
            }
            // The service takes answers at once. It refuses them after `exit`, which never reaches it.
            Message::Response(response) => drop(answers.send(response).now_or_never()),
        }
    }
    let all = async { while handlers.join_next().await.is_some() {} };
    let _ = runtime.block_on(async { timeout(GRACE, all).await });
    status(shut_down)
}

const fn status(shut_down: bool) -> ExitCode {
    if shut_down { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn send(out: &Outgoing, answer: Option<Body>) {
    if let Some(answer) = answer {
        out.send(answer);
    }
}

/// Has the service handle `request`. The future it returns is the handler's, and never panics.
fn handle<S: LanguageServer>(
    service: &mut LspService<S>,
    request: Request,
) -> impl Future<Output = Option<Body>> + Send + 'static {
    let id = request.id().cloned();
    let handler = match refusal(&request) {
        Some(refusal) => Err(Some(refusal)),
        None => {
            // The service is always ready: it waits for nothing, and `exit` never reaches it.
            catch_unwind(AssertUnwindSafe(|| service.call(request))).map_err(|_| failure(id.clone()))
        }
    };
    written::body(async move {
        match handler {
            Err(answer) => answer,
            Ok(handler) => match AssertUnwindSafe(handler).catch_unwind().await {
                Ok(answer) => answer.unwrap_or_default(),
                Err(_) => failure(id),
            },
        }
    })
}

/// The answer to a request that the service would leave without one.
fn refusal(request: &Request) -> Option<Response> {
    let optional = request.method().starts_with("$/");
    let id = request.id().filter(|_| optional)?;
    Some(Response::from_error(id.clone(), Error::method_not_found()))
}

/// The answer of a handler that panicked, which is told elsewhere; a notification has none.
fn failure(id: Option<Id>) -> Option<Response> {
    id.map(|id| Response::from_error(id, Error::internal_error()))
}

#[cfg(test)]
mod tests {
    use serde_json::Value;
    use tokio::runtime::Builder;
    use tower_lsp::async_trait;
    use tower_lsp::jsonrpc::Result;
    use tower_lsp::lsp_types::{
        DidSaveTextDocumentParams, Hover, HoverParams, InitializeParams, InitializeResult,
    };

    use super::*;

    /// A server with mistakes in it.
    struct Clumsy;

    #[async_trait]
    impl LanguageServer for Clumsy {
        async fn initialize(&self, _: InitializeParams) -> Result<InitializeResult> {
            Ok(InitializeResult::default())
        }

        async fn shutdown(&self) -> Result<()> {
            Ok(())
        }

        async fn hover(&self, _: HoverParams) -> Result<Option<Hover>> {
            panic!("a rule went wrong")
        }

        async fn did_save(&self, _: DidSaveTextDocumentParams) {
            panic!("a rule went wrong")
        }
    }

    /// The answers to `requests`, as JSON; `null` for none.
    fn answers(requests: &[&str]) -> Vec<Value> {
        let (mut service, _socket) = LspService::new(|_| Clumsy);
        let runtime = Builder::new_current_thread().build().unwrap();
        let answer = |request: &&str| {
            let (request, _) = readable(serde_json::from_str(request).unwrap());
            let answer = runtime.block_on(handle(&mut service, request));
            answer.map_or(Value::Null, |answer| serde_json::from_slice(answer.bytes()).unwrap())
        };
        requests.iter().map(answer).collect()
    }

    const HELLO: &str = r#"{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"capabilities":{}}}"#;

    #[test]
    fn a_handler_that_panics_is_an_error_and_the_next_one_answers() {
        let file = r#""textDocument":{"uri":"untitled:a"}"#;
        let hover = format!(
            r#"{{"jsonrpc":"2.0","id":2,"method":"textDocument/hover","params":{{{file},"position":{{"line":0,"character":0}}}}}}"#
        );
        let save = format!(r#"{{"jsonrpc":"2.0","method":"textDocument/didSave","params":{{{file}}}}}"#);
        let answers = answers(&[HELLO, &hover, &save, r#"{"jsonrpc":"2.0","id":3,"method":"shutdown"}"#]);
        assert_eq!((&answers[1]["id"], &answers[1]["error"]["code"]), (&2.into(), &(-32603).into()));
        assert!(answers[2].is_null());
        assert_eq!(answers[3]["id"], 3);
        assert!(answers[3]["error"].is_null());
    }

    #[test]
    fn a_shutdown_with_parameters_is_one_and_an_optional_request_is_refused() {
        let optional = r#"{"jsonrpc":"2.0","id":"x","method":"$/nobody"}"#;
        let shutdown = r#"{"jsonrpc":"2.0","id":2,"method":"shutdown","params":null}"#;
        let answers = answers(&[HELLO, optional, r#"{"jsonrpc":"2.0","method":"$/nobody"}"#, shutdown]);
        assert_eq!((&answers[1]["id"], &answers[1]["error"]["code"]), (&"x".into(), &(-32601).into()));
        assert!(answers[2].is_null());
        assert!(answers[3]["error"].is_null());
    }
}
