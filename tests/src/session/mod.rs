//! A session in which an editor uses all that the server offers it, from the handshake to the end.
//!
//! An editor sends what it was offered and no more, and asks at every place of a text that has a bit of
//! everything in it. What it says is valid, though not always sensible: a name that cannot be, a command
//! with nothing to do.

mod about;
mod around;
mod offers;
mod within;

use serde_json::{Value, json};

pub use offers::{OFFERS, announced};

use crate::book::Book;
use crate::editor::{Document, Editor, Options, Said, range};

/// A tune with something for every question: an accent and a sign before the columns that are counted, words
/// that rules find fault with, phrases and endings, a link, blanks to tidy.
pub const TUNE: &str = "\
tune: The Loose Shutter
source: https://example.org/shutter
meter: 6/8
tuning: gDGBD
order: A A B
colour: blue

# Twice round.
part A x2
| \"é🎵\" 3:0 t   2:0  2:1 t h3 | <G7> 3:0 t 2:0  1:0 t | @stair | [3:0 2:1]! t 2:0  {1:0 2:1}- t |
  ending 1
  | 3:0 t 2:0  1:0- - |
  ending 2
  | 3:0 t 2:0  t2:1 h1 2:3 |  # keep wrong-way: as he played it

part B
| 3:0 t 2:0  2:1 t 2:3 | % | 4:9 t 1:0  2:1 t 2:3 | 3:0 t 2:0  1:0 _ |

phrase stair
| 3:0 h2 2:0  2:1 t 1:0 |
";

/// How many files more are in the book: so many that going through it is shown.
const MORE: usize = 110;

/// What came of a session.
pub struct Recorded {
    /// What the server offered.
    pub offered: Value,
    /// All that was said.
    pub said: Vec<Said>,
}

/// An editor at work.
pub struct Session {
    editor: Editor,
    book: Book,
    /// What the server offers.
    offered: Value,
    /// The tune in which everything is tried.
    document: Document,
    text: String,
}

impl Session {
    /// Has an editor with `options`, and a book of its own, do all it can.
    pub fn run(options: Options) -> Recorded {
        let mut session = Self::begin(options);
        session.ask_about_the_text();
        session.write();
        session.mend();
        session.live_in_the_book();
        session.end()
    }

    fn begin(options: Options) -> Self {
        let text = TUNE.to_owned();
        let book = Book::of(&[
            ("a.lope", TUNE),
            ("b.lope", TUNE),
            ("lope.toml", "nobody = 1\n[rules]\nuntidy = \"hint\"\n"),
        ]);
        for number in 0..MORE {
            book.write(&format!("more/{number}.lope"), format!("tune: Row {number}\nmeter: 6/8\n"));
        }
        book.write("not-text.lope", [0xff, 0xfe, 0x00]);
        let folder = Some(book.folder());
        let mut editor = Editor::spawn(Options { folder, recorded: true, ..options });
        let offered = editor.initialize()["capabilities"].take();
        editor.notify("initialized", json!({}));
        editor.notify("$/setTrace", json!({ "value": "off" }));
        let document = editor.open(&book.uri("a.lope"), &text);
        Self { editor, book, offered, document, text }
    }

    fn end(mut self) -> Recorded {
        let document = self.document.clone();
        if self.offers("/textDocumentSync/openClose") {
            self.editor.close(&document);
        }
        // Answers what the server asks meanwhile, before it is told to leave.
        self.editor.request("textDocument/hover", document.at(0, 0));
        self.editor.request("shutdown", Value::Null);
        self.editor.notify("exit", Value::Null);
        self.editor.last_words();
        Recorded { offered: self.offered, said: self.editor.recorded().to_vec() }
    }

    fn offers(&self, pointer: &str) -> bool {
        self.offered.pointer(pointer).is_some_and(|offer| *offer != json!(false) && !offer.is_null())
    }

    /// The result of a request, if the server offers it: an error, which an editor shows its user, has none.
    fn ask(&mut self, method: &str, params: Value) -> Value {
        let offered = OFFERS.iter().find(|(_, methods)| methods.contains(&method));
        let (pointer, _) = offered.unwrap_or_else(|| panic!("what offers {method}?"));
        if !self.offers(pointer) {
            return Value::Null;
        }
        self.editor.ask(method, params).unwrap_or_default()
    }

    /// The items of a list that is the result of a request.
    fn ask_list(&mut self, method: &str, params: Value) -> Vec<Value> {
        let mut found = self.ask(method, params);
        let list = if found["items"].is_array() { found["items"].take() } else { found };
        list.as_array().cloned().unwrap_or_default()
    }

    /// The parameters of a request about the whole text.
    fn whole(&self) -> Value {
        json!({ "textDocument": self.document.id(), "range": self.all() })
    }

    /// From the start to the end of the text.
    fn all(&self) -> Value {
        range((0, 0), (self.lines(), 0))
    }

    fn lines(&self) -> u32 {
        u32::try_from(self.text.lines().count()).expect("a text of some lines")
    }
}
