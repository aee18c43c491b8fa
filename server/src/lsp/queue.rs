//! What there is to say to the client and is not written yet.
//!
//! A client may read slowly, or not at all for a while. What it must hear waits for it; of what only the
//! newest counts no more than that waits; and of remarks for the log only so many that they can be read.

use std::collections::{BTreeMap, HashMap};
use std::mem;
use std::sync::Arc;

use serde::Serialize;
use tower_lsp::lsp_types::{ProgressToken, Url};

/// So much may wait to be read before no more is taken on, in bytes.
const MUCH: usize = 1 << 23;

/// How many remarks wait at most.
const REMARKS: usize = 100;

/// A message ready to be sent; clones share it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Body(Arc<[u8]>);

impl Body {
    /// A request or an answer.
    pub fn new(message: &impl Serialize) -> Self {
        // What the protocol's types hold is JSON by their making: there is no error to speak of.
        Self(Arc::from(serde_json::to_vec(message).unwrap_or_default()))
    }

    /// A notification.
    pub fn notification(method: &str, params: &impl Serialize) -> Self {
        #[derive(Serialize)]
        struct Envelope<'a, P> {
            jsonrpc: &'static str,
            method: &'a str,
            params: &'a P,
        }
        Self::new(&Envelope { jsonrpc: "2.0", method, params })
    }

    /// The bytes to write.
    pub fn bytes(&self) -> &[u8] {
        &self.0
    }
}

/// What only the newest word counts of.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Topic {
    /// What is found in a file.
    Findings(Url),
    /// How far something has come.
    Progress(ProgressToken),
}

/// How much it matters that the client hears something.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Weight {
    /// It must.
    Needed,
    /// It must, unless there is something newer of the same by then.
    Newest(Topic),
    /// It may, for its log.
    Remark,
}

/// What waits to be written, first in, first out.
#[derive(Default)]
pub struct Queue {
    waiting: BTreeMap<u64, (Body, Weight)>,
    /// The number of what comes next.
    next: u64,
    newest: HashMap<Topic, u64>,
    /// The size of all that waits.
    bytes: usize,
    /// How many remarks wait.
    remarks: usize,
    /// How many were left out since they would have been too many.
    left_out: usize,
}

impl Queue {
    /// Puts a message at the end.
    pub fn push(&mut self, body: Body, weight: Weight) {
        match &weight {
            Weight::Needed => {}
            Weight::Newest(topic) => {
                if let Some(older) = self.newest.insert(topic.clone(), self.next) {
                    self.take(older);
                }
            }
            Weight::Remark if self.remarks == REMARKS => {
                self.left_out += 1;
                return;
            }
            Weight::Remark => self.remarks += 1,
        }
        self.bytes += body.bytes().len();
        self.waiting.insert(self.next, (body, weight));
        self.next += 1;
    }

    /// Takes the first message out.
    pub fn pop(&mut self) -> Option<Body> {
        let (number, _) = self.waiting.first_key_value()?;
        let (body, weight) = self.take(*number)?;
        match weight {
            Weight::Needed => {}
            Weight::Newest(topic) => drop(self.newest.remove(&topic)),
            Weight::Remark => self.remarks -= 1,
        }
        Some(body)
    }

    /// How many remarks were left out, once those before them are written: told once.
    pub fn take_left_out(&mut self) -> Option<usize> {
        (self.remarks == 0 && self.left_out > 0).then(|| mem::take(&mut self.left_out))
    }

    /// Whether nothing waits.
    pub fn is_empty(&self) -> bool {
        self.waiting.is_empty()
    }

    /// Whether so much waits that the client should read first.
    pub fn is_full(&self) -> bool {
        self.bytes >= MUCH
    }

    fn take(&mut self, number: u64) -> Option<(Body, Weight)> {
        let (body, weight) = self.waiting.remove(&number)?;
        self.bytes -= body.bytes().len();
        Some((body, weight))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn findings(of: &str) -> Weight {
        Weight::Newest(Topic::Findings(Url::parse(of).unwrap()))
    }

    /// Checks in which order what is pushed comes out.
    #[track_caller]
    fn check(pushed: &[(&str, Weight)], expected: &[&str]) {
        let mut queue = Queue::default();
        for (body, weight) in pushed {
            queue.push(Body::new(body), weight.clone());
        }
        let popped: Vec<Body> = std::iter::from_fn(|| queue.pop()).collect();
        assert_eq!(popped, expected.iter().map(Body::new).collect::<Vec<_>>());
        assert!(queue.is_empty() && queue.newest.is_empty());
        assert_eq!((queue.bytes, queue.remarks), (0, 0));
    }

    #[test]
    fn of_findings_the_newest_are_told() {
        let (a, b) = (findings("x:a"), findings("x:b"));
        check(
            &[("a1", a.clone()), ("answer", Weight::Needed), ("b1", b), ("a2", a.clone()), ("a3", a)],
            &["answer", "b1", "a3"],
        );
    }

    #[test]
    fn remarks_beyond_what_can_be_read_are_counted() {
        let mut queue = Queue::default();
        for _ in 0..REMARKS + 7 {
            queue.push(Body::new(&1), Weight::Remark);
        }
        assert_eq!(queue.take_left_out(), None);
        assert_eq!(std::iter::from_fn(|| queue.pop()).count(), REMARKS);
        assert_eq!((queue.take_left_out(), queue.take_left_out()), (Some(7), None));
    }

    #[test]
    fn it_is_full_until_it_is_read() {
        let mut queue = Queue::default();
        let large = Body::new(&"x".repeat(MUCH));
        queue.push(large.clone(), findings("x:a"));
        queue.push(large, findings("x:a"));
        assert!(queue.is_full());
        assert!(queue.pop().is_some());
        assert!(!queue.is_full() && queue.is_empty());
    }
}
