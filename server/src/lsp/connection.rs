//! Messages to the service and back, until it is time to leave.
//!
//! tower-lsp's own loop (0.20, `Server::serve`) ends at the first frame it cannot read, goes on after
//! `exit`, waits at the end of input for handlers that wait for the client, polls no more than a few
//! handlers at once and does not survive one that panics. Its service does not depend on that loop; this
//! one stands in for it.
//!
//! Each handler is polled once before the next message is looked at. What it does before its first await
//! is therefore done in the order of the messages, whatever happens after it.

use std::any::Any;
use std::future::{Future, poll_fn};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::ExitCode;
use std::time::Duration;

use futures_util::{FutureExt, SinkExt, StreamExt, poll};
use tokio::sync::mpsc::UnboundedReceiver;
use tokio::task::JoinSet;
use tokio::time::timeout;
use tower_lsp::jsonrpc::{Error, Id, Request, Response};
use tower_lsp::{ClientSocket, LanguageServer, LspService};
use tower_service::Service;

use super::incoming::Event;
use super::message::Message;
use super::outgoing::{Body, Outgoing};

/// How long handlers may go on after the end of input.
const GRACE: Duration = Duration::from_secs(1);

/// Serves `events` until the client leaves. The status is 0 when it had asked for a shutdown, else 1
/// (Language Server Protocol 3.17, "Exit Notification").
pub async fn serve<S: LanguageServer>(
    mut service: LspService<S>,
    socket: ClientSocket,
    mut events: UnboundedReceiver<Event>,
    out: Outgoing,
) -> ExitCode {
    let (mut asked, mut answers) = socket.split();
    let to_client = out.clone();
    tokio::spawn(async move {
        while let Some(request) = asked.next().await {
            to_client.send(Body::new(&request));
        }
    });
    let mut shut_down = false;
    let mut handlers = JoinSet::new();
    while let Some(event) = events.recv().await {
        while handlers.try_join_next().is_some() {}
        match event {
            Event::Message(Message::Request(request)) => match request.method() {
                "exit" => break,
                method => {
                    shut_down |= method == "shutdown";
                    let mut answer = Box::pin(handle(&mut service, request).await);
                    if let std::task::Poll::Ready(answer) = poll!(&mut answer) {
                        answer.inspect(|answer| out.send(Body::new(answer)));
                    } else {
                        let out = out.clone();
                        handlers.spawn(async move {
                            drop(answer.await.inspect(|answer| out.send(Body::new(answer))))
                        });
                    }
                }
            },
            // The only error is that the service has seen `exit`, which this loop keeps from it.
            Event::Message(Message::Response(response)) => drop(answers.send(response).await),
            Event::EndOfInput => {
                let all = async { while handlers.join_next().await.is_some() {} };
                let _ = timeout(GRACE, all).await;
                break;
            }
            Event::ClientGone => break,
        }
    }
    if shut_down { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// Has the service handle `request`. The future it returns is the handler's, and never panics.
async fn handle<S: LanguageServer>(
    service: &mut LspService<S>,
    request: Request,
) -> impl Future<Output = Option<Response>> + Send + 'static {
    let id = request.id().cloned();
    let handler = match refuse(&request) {
        Some(refusal) => Err(refusal),
        None => {
            let ready = poll_fn(|context| service.poll_ready(context)).await;
            let request = if request.method() == "shutdown" { without_params(request) } else { request };
            catch_unwind(AssertUnwindSafe(|| ready.map(|()| service.call(request))))
                .map_err(|panic| failure(id.clone(), &*panic))
        }
    };
    async move {
        match handler {
            Err(answer) => answer,
            Ok(Err(_)) => None,
            Ok(Ok(handler)) => match AssertUnwindSafe(handler).catch_unwind().await {
                Ok(answer) => answer.unwrap_or_default(),
                Err(panic) => failure(id, &*panic),
            },
        }
    }
}

/// The answer to a request that the service would leave without one.
fn refuse(request: &Request) -> Option<Option<Response>> {
    let optional = request.method().starts_with("$/");
    let id = request.id().filter(|_| optional)?;
    Some(Some(Response::from_error(id.clone(), Error::method_not_found())))
}

/// `request` as the service wants one that has no parameters: some clients send `null` all the same.
fn without_params(request: Request) -> Request {
    let (method, id, _) = request.into_parts();
    let bare = Request::build(method);
    id.into_iter().fold(bare, |bare, id| bare.id(id)).finish()
}

/// The answer of a handler that panicked; a notification has none.
fn failure(id: Option<Id>, panic: &(dyn Any + Send)) -> Option<Response> {
    let said = panic.downcast_ref::<&str>().copied().or_else(|| panic.downcast_ref().map(String::as_str));
    eprintln!("lope lsp: a mistake in lope itself: {}", said.unwrap_or("no more is known"));
    id.map(|id| Response::from_error(id, Error::internal_error()))
}

#[cfg(test)]
mod tests {
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
    fn answers(requests: &[&str]) -> Vec<serde_json::Value> {
        let (mut service, _socket) = LspService::new(|_| Clumsy);
        let runtime = Builder::new_current_thread().build().unwrap();
        let answer = |request: &&str| {
            let request = serde_json::from_str(request).unwrap();
            let answer = runtime.block_on(async { handle(&mut service, request).await.await });
            serde_json::to_value(answer).unwrap()
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
