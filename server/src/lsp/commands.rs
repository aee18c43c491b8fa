//! Commands: mends made when an editor says so, by way of an edit that the server asks it to make.

use std::sync::Arc;

use lope_desk::{Scope, rule};
use serde_json::Value;
use tower_lsp::Client;
use tower_lsp::jsonrpc::{Error, Result};
use tower_lsp::lsp_types::{ExecuteCommandParams, MessageType, Url, WorkspaceEdit};

use super::edits::mends;
use super::outgoing::Outgoing;
use super::session::Session;

/// Mends a part: the file's address, the tune's title, the part's name.
pub const MEND_PART: &str = "lope.mendPart";
/// Mends a file: its address.
const MEND_FILE: &str = "lope.mendFile";
/// Mends what one rule finds in a file: the file's address, the rule's name.
const MEND_RULE: &str = "lope.mendRule";

/// Every command.
pub const COMMANDS: [&str; 3] = [MEND_PART, MEND_FILE, MEND_RULE];

/// What a command is to mend.
#[derive(Debug, PartialEq)]
enum Wanted {
    File,
    Rule(String),
    Part { tune: String, part: String },
}

/// Does what `params` say. The answer comes when it is known what is to be edited; the edit itself is the
/// client's to make, and is waited for in a task of its own.
///
/// # Errors
/// A command nobody knows, arguments it cannot take, a file that is not open.
pub async fn execute(
    client: &Client,
    session: &Arc<Session>,
    params: ExecuteCommandParams,
) -> Result<Option<Value>> {
    let (url, wanted) = read(&params).map_err(Error::invalid_params)?;
    let mended = session.ask(&url, move |view| Some(mends(view, wanted.scope()))).await?;
    match mended {
        None => return Err(Error::invalid_params(format!("{url} is not open"))),
        Some(None) => tell(
            client,
            MessageType::INFO,
            "there is nothing here that can be mended with the same music".to_owned(),
        ),
        Some(Some(edit)) if session.features().applies_edits => apply(client, &session.out, edit),
        Some(Some(_)) => {
            let message =
                format!("{} cannot edit the text in this editor: choose a quick fix", params.command);
            tell(client, MessageType::WARNING, message);
        }
    }
    Ok(None)
}

fn read(params: &ExecuteCommandParams) -> std::result::Result<(Url, Wanted), String> {
    let words: Option<Vec<&str>> = params.arguments.iter().map(Value::as_str).collect();
    let words = words.unwrap_or_default();
    let (url, wanted) = match (params.command.as_str(), words.as_slice()) {
        (MEND_PART, [url, tune, part]) => {
            (url, Wanted::Part { tune: (*tune).to_owned(), part: (*part).to_owned() })
        }
        (MEND_PART, _) => {
            return Err(format!("{MEND_PART} takes a file's address, a tune's title and a part's name"));
        }
        (MEND_FILE, [url]) => (url, Wanted::File),
        (MEND_FILE, _) => return Err(format!("{MEND_FILE} takes a file's address")),
        (MEND_RULE, [url, name]) if rule(name).is_some() => (url, Wanted::Rule((*name).to_owned())),
        (MEND_RULE, _) => return Err(format!("{MEND_RULE} takes a file's address and a rule's name")),
        (other, _) => return Err(format!("no command is called {other}: there are {}", COMMANDS.join(", "))),
    };
    let url = Url::parse(url).map_err(|error| format!("{url} is no address: {error}"))?;
    Ok((url, wanted))
}

impl Wanted {
    fn scope(&self) -> Scope<'_> {
        match self {
            Self::File => Scope::All,
            Self::Rule(name) => rule(name).map_or(Scope::All, Scope::Rule),
            Self::Part { tune, part } => Scope::Part { tune, part },
        }
    }
}

/// Has the client make `edit`, for as long as that takes it.
fn apply(client: &Client, out: &Outgoing, edit: WorkspaceEdit) {
    let (client, out) = (client.clone(), out.clone());
    tokio::spawn(async move {
        match client.apply_edit(edit).await {
            Ok(answer) if answer.applied => {}
            Ok(answer) => {
                let why = answer.failure_reason.unwrap_or_else(|| "it does not say why".to_owned());
                out.warn(&format!("the client did not mend the text: {why}"));
            }
            Err(error) => out.warn(&format!("the client did not mend the text: {error}")),
        }
    });
}

/// Shows the player a message.
fn tell(client: &Client, kind: MessageType, message: String) {
    let client = client.clone();
    tokio::spawn(async move { client.show_message(kind, message).await });
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[track_caller]
    fn check(command: &str, arguments: Value, expected: std::result::Result<Wanted, &str>) {
        let arguments = arguments.as_array().unwrap().clone();
        let params = ExecuteCommandParams { command: command.to_owned(), arguments, ..Default::default() };
        let said = read(&params).map(|(url, wanted)| {
            assert_eq!(url.as_str(), "untitled:a");
            wanted
        });
        assert_eq!(said, expected.map_err(str::to_owned));
    }

    #[test]
    fn commands_take_what_they_need_and_nothing_else() {
        check("lope.mendFile", json!(["untitled:a"]), Ok(Wanted::File));
        let off_strike = Wanted::Rule("off-strike".to_owned());
        check("lope.mendRule", json!(["untitled:a", "off-strike"]), Ok(off_strike));
        let part = Wanted::Part { tune: "T".to_owned(), part: "A".to_owned() };
        check("lope.mendPart", json!(["untitled:a", "T", "A"]), Ok(part));
        for wrong in [json!([]), json!([7]), json!(["untitled:a", "nobody", "x", "y"])] {
            check("lope.mendFile", wrong.clone(), Err("lope.mendFile takes a file's address"));
            check("lope.mendRule", wrong, Err("lope.mendRule takes a file's address and a rule's name"));
        }
        check("lope.mendFile", json!(["::"]), Err(":: is no address: relative URL without a base"));
        check(
            "lope.play",
            json!([]),
            Err("no command is called lope.play: there are lope.mendPart, lope.mendFile, lope.mendRule"),
        );
    }
}
