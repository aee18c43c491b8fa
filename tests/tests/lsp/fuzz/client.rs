use std::collections::BTreeMap;

use lope_tests::book::Book;
use lope_tests::editor::{Editor, Options, frame};
use lope_tests::mirror::{Mirror, Place};
use lope_tests::soup::WORDS;
use lope_tests::tunes::{self, Dice, Trouble};
use serde_json::{Value, json};

use super::super::{STUMBLE, able};

/// Questions about a place or a whole text.
const QUESTIONS: [&str; 20] = [
    "textDocument/codeAction",
    "textDocument/codeLens",
    "textDocument/completion",
    "textDocument/definition",
    "textDocument/diagnostic",
    "textDocument/documentHighlight",
    "textDocument/documentLink",
    "textDocument/documentSymbol",
    "textDocument/foldingRange",
    "textDocument/formatting",
    "textDocument/hover",
    "textDocument/inlayHint",
    "textDocument/onTypeFormatting",
    "textDocument/prepareRename",
    "textDocument/rangeFormatting",
    "textDocument/references",
    "textDocument/rename",
    "textDocument/selectionRange",
    "textDocument/semanticTokens/full",
    "textDocument/semanticTokens/range",
];

/// Messages that are valid JSON and make no sense.
const NONSENSE: [&str; 14] = [
    r#"{"jsonrpc":"2.0","method":"initialize"}"#,
    r#"{"jsonrpc":"2.0","method":"initialized","params":{}}"#,
    r#"{"jsonrpc":"2.0","method":"nobody"}"#,
    r#"{"jsonrpc":"2.0","method":"$/nobody","params":[1]}"#,
    r#"{"jsonrpc":"2.0","method":"textDocument/didChange","params":{"textDocument":{}}}"#,
    r#"{"jsonrpc":"2.0","method":"textDocument/didOpen","params":null}"#,
    r#"{"jsonrpc":"2.0","method":"textDocument/didClose","params":{"textDocument":{"uri":"untitled:never"}}}"#,
    r#"{"jsonrpc":"2.0","method":"$/cancelRequest","params":{"id":"never"}}"#,
    r#"{"jsonrpc":"2.0","method":"window/workDoneProgress/cancel","params":{"token":"never"}}"#,
    r#"{"jsonrpc":"2.0","method":"workspace/didChangeConfiguration","params":{"settings":[7]}}"#,
    r#"{"jsonrpc":"2.0","method":"textDocument/hover","params":{}}"#,
    r#"{"jsonrpc":"2.0","id":999999,"result":{"applied":"perhaps"}}"#,
    r#"{"jsonrpc":"2.0"}"#,
    "[[[",
];

/// Settings of a book that nobody can read.
const UNREADABLE: &str = "[rules\n";

/// A text the editor has open.
pub struct Open {
    pub version: i32,
    pub mirror: Mirror,
}

/// An editor that says whatever comes to its mind, and knows what its texts are.
pub struct Client {
    pub editor: Editor,
    pub options: Options,
    pub book: Book,
    /// What the book's `lope.toml` says.
    settings: &'static str,
    pub open: BTreeMap<String, Open>,
    /// Whether it asks for findings, and has a folder open.
    pub pulls: bool,
    pub encoding: &'static str,
    /// The numbers of some questions asked so far.
    asked: Vec<i64>,
    /// Those that were used once more, each time.
    pub again: Vec<i64>,
}

impl Client {
    /// An editor that has greeted nobody, and talks all the same: to deaf ears.
    pub fn before_the_handshake(dice: &mut Dice) -> Self {
        let book = Book::of(&[("a.lope", STUMBLE), ("b.lope", STUMBLE)]);
        let encoding = dice.pick(&["utf-8", "utf-16", "utf-32"]);
        let pulls = dice.once_in(2);
        let mut options = Options { recorded: true, ..able().counting_in(&[encoding]) };
        if pulls {
            options.folder = Some(book.folder());
        } else {
            options.capabilities["textDocument"]["diagnostic"] = Value::Null;
        }
        options.answers = !dice.once_in(4);
        let editor = Editor::spawn(options.clone());
        let mut client = Self {
            editor,
            options,
            book,
            settings: "",
            open: BTreeMap::new(),
            pulls,
            encoding,
            asked: Vec::new(),
            again: Vec::new(),
        };
        for _ in 0..dice.below(3) {
            client.open(dice);
            client.ask(dice);
        }
        client.open.clear();
        client
    }

    /// The handshake.
    pub fn begin(&mut self, dice: &mut Dice) {
        self.editor.initialize();
        self.editor.notify("initialized", json!({}));
        self.open(dice);
    }

    /// Any message.
    pub fn say_something(&mut self, dice: &mut Dice) {
        match dice.below(20) {
            0..5 => self.change(dice),
            5..7 => self.open(dice),
            7 => self.close(dice),
            8..14 => self.ask(dice),
            14 => {
                if let Some(id) = self.some_id(dice) {
                    self.editor.notify("$/cancelRequest", json!({ "id": id }));
                }
            }
            15 => self.editor.raw(&frame(dice.pick(&NONSENSE))),
            16 => self.ask_nonsense(dice),
            17 => self.tell_of_the_disk(dice),
            18 => {
                for _ in 0..10 {
                    self.close(dice);
                    self.open(dice);
                }
            }
            _ => {
                let settings = json!({ "hints": { "pitch": dice.once_in(2) } });
                // Who does not answer when asked for them has none.
                if self.options.answers {
                    self.options.settings = settings.clone();
                }
                self.editor.set(settings);
            }
        }
    }

    /// A change, or more text to change.
    pub fn type_something(&mut self, dice: &mut Dice) {
        match dice.below(12) {
            0 => self.open(dice),
            _ => self.change(dice),
        }
    }

    fn uri(&self, dice: &mut Dice) -> String {
        match dice.below(5) {
            0 => self.book.uri("a.lope"),
            1 => self.book.uri("new.lope"),
            2 => "other-scheme://host/a%20b.lope".to_owned(),
            number => format!("untitled:{number}"),
        }
    }

    /// Opens a text, or opens it again as another.
    pub fn open(&mut self, dice: &mut Dice) {
        let uri = self.uri(dice);
        let text = match dice.below(4) {
            0 => words(dice, 40),
            1 => tunes::file(dice.below(1000) as u64, 3000, Trouble::Often).replace('\n', "\r\n"),
            _ => tunes::file(dice.below(1000) as u64, dice.below(4000), Trouble::Often),
        };
        self.editor.open(&uri, &text);
        self.open.insert(uri, Open { version: 1, mirror: Mirror { text, encoding: self.encoding } });
    }

    fn close(&mut self, dice: &mut Dice) {
        let uri = self.uri(dice);
        self.editor.notify("textDocument/didClose", json!({ "textDocument": { "uri": uri } }));
        self.open.remove(&uri);
    }

    /// A change of a text, open or not, in order or not, of places that are there or not.
    pub fn change(&mut self, dice: &mut Dice) {
        let uri = self.uri(dice);
        let nobody = || Open { version: 0, mirror: Mirror { text: String::new(), encoding: "utf-16" } };
        let mut unknown = nobody();
        let open = self.open.get_mut(&uri).unwrap_or(&mut unknown);
        let late = dice.once_in(12);
        let version = if late { open.version - 1 } else { open.version + dice.below(3) as i32 };
        let mut after = open.mirror.clone();
        let changes: Vec<Value> = (0..1 + dice.below(3)).map(|_| change(&mut after, dice)).collect();
        if !late {
            *open = Open { version, mirror: after };
        }
        let document = json!({ "uri": uri, "version": version });
        let params = json!({ "textDocument": document, "contentChanges": changes });
        self.editor.notify("textDocument/didChange", params);
    }

    pub fn ask(&mut self, dice: &mut Dice) {
        let uri = self.uri(dice);
        let mirror = self.open.get(&uri).map(|open| &open.mirror);
        let [start, end] = [0, 0].map(|_| position(mirror.map_or((0, 0), |it| some_place(it, dice))));
        let params = json!({
            "textDocument": { "uri": uri }, "position": start, "positions": [start, end],
            "range": { "start": start, "end": end }, "newName": "x", "ch": "|",
            "context": { "diagnostics": [], "includeDeclaration": true },
            "options": { "tabSize": 4, "insertSpaces": true },
        });
        let method = dice.pick(&QUESTIONS);
        let id = self.editor.send(method, params);
        self.asked.push(id);
    }

    /// A question with a number that was used, with parameters that are none, or that nobody can answer.
    fn ask_nonsense(&mut self, dice: &mut Dice) {
        match (dice.below(4), self.some_id(dice)) {
            (0, Some(id)) => {
                let method = dice.pick(&QUESTIONS);
                let again = json!({ "jsonrpc": "2.0", "id": id, "method": method, "params": {} });
                self.editor.raw(&frame(again.to_string()));
                self.again.push(id);
            }
            (1, _) => {
                let params = json!({ "command": "lope.mendFile", "arguments": [self.uri(dice)] });
                self.asked.push(self.editor.send("workspace/executeCommand", params));
            }
            (2, _) => self.asked.push(self.editor.send("initialize", json!({ "capabilities": {} }))),
            _ => {
                let method = dice.pick(&["$/nobody", "nobody", "workspace/symbol", "textDocument/hover"]);
                self.asked.push(self.editor.send(method, json!([dice.below(9), { "query": null }])));
            }
        }
    }

    fn tell_of_the_disk(&mut self, dice: &mut Dice) {
        let settings = dice.pick(&["", "[rules]\noff-strike = \"hint\"\n", UNREADABLE, "nobody = 1\n"]);
        self.set_book(settings);
    }

    fn set_book(&mut self, settings: &'static str) {
        self.settings = settings;
        self.book.write("lope.toml", settings);
        let changes = ["lope.toml", "b.lope"].map(|name| json!({ "uri": self.book.uri(name), "type": 2 }));
        self.editor.notify("workspace/didChangeWatchedFiles", json!({ "changes": changes }));
    }

    /// Makes the book's settings such as can be read: those it had before stand in for others, and only who has
    /// read them knows them.
    pub fn make_book_readable(&mut self) {
        if self.settings == UNREADABLE {
            self.set_book("");
        }
    }

    fn some_id(&self, dice: &mut Dice) -> Option<i64> {
        (!self.asked.is_empty()).then(|| dice.pick(&self.asked))
    }
}

/// A content change, made in `mirror` as well.
fn change(mirror: &mut Mirror, dice: &mut Dice) -> Value {
    let text = words(dice, 4);
    if dice.once_in(30) {
        mirror.text.clone_from(&text);
        return json!({ "text": text });
    }
    let start = some_place(mirror, dice);
    let end = match dice.below(4) {
        0 => some_place(mirror, dice),
        1 => start,
        _ => (start.0, start.1.saturating_add(dice.below(6) as u32)),
    };
    mirror.edit(start, end, &text);
    json!({ "range": { "start": position(start), "end": position(end) }, "text": text })
}

fn position((line, character): Place) -> Value {
    json!({ "line": line, "character": character })
}

/// A place in the text; once in a while one that it does not have.
fn some_place(mirror: &Mirror, dice: &mut Dice) -> Place {
    if dice.once_in(15) {
        return (dice.below(99) as u32, dice.pick(&[0, 1, 7, 99, u32::MAX]));
    }
    let at = dice.below(mirror.text.len() + 1);
    let start = (0..=at).rev().find(|at| mirror.text.is_char_boundary(*at)).unwrap_or(0);
    mirror.place(start)
}

fn words(dice: &mut Dice, most: usize) -> String {
    (0..dice.below(most)).map(|_| dice.pick(WORDS)).collect()
}
