//! How a session ends: every question has its one answer.

use lope_tests::editor::{By, Said};
use lope_tests::tunes::Dice;
use serde_json::Value;

use super::client::Client;

impl Client {
    /// Leaves, and talks on; then looks back at what was said.
    pub fn end(mut self, dice: &mut Dice) {
        self.editor.request("shutdown", Value::Null);
        for _ in 0..dice.below(4) {
            self.open(dice);
            self.change(dice);
            self.ask(dice);
        }
        // What the server is still at when it is told to leave, nobody hears of.
        while self.answered().len() < self.asked().len() {
            self.editor.wait(|message| message.get("method").is_none());
        }
        self.editor.notify("exit", Value::Null);
        let (_, status) = self.editor.last_words();
        assert_eq!(status.code(), Some(0), "{}", self.editor.stderr());
        assert_eq!(self.answered(), self.asked());
        for said in self.editor.recorded().iter().filter(|said| said.by == By::Server) {
            assert!(!said.message.to_string().contains("mistake of its own"), "{}", said.message);
        }
    }

    /// The numbers of all questions, in order.
    fn asked(&self) -> Vec<i64> {
        let mut asked: Vec<i64> = self.editor.recorded().iter().filter_map(question).collect();
        // Those whose number was used before went past the record.
        asked.extend(&self.again);
        asked.sort_unstable();
        asked
    }

    /// The numbers of all answers, in order.
    fn answered(&self) -> Vec<i64> {
        let said = self.editor.recorded();
        let answers =
            said.iter().filter(|said| said.by == By::Server && said.message.get("method").is_none());
        let mut answered: Vec<i64> = answers.filter_map(|said| said.message["id"].as_i64()).collect();
        answered.sort_unstable();
        answered
    }
}

/// The number of a question the editor has asked.
fn question(said: &Said) -> Option<i64> {
    (said.by == By::Client && said.message.get("method").is_some()).then(|| said.message["id"].as_i64())?
}
