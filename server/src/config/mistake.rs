use std::ops::Range;

use lope_desk::nearest;

/// What a mistake in `lope.toml` goes by where a rule's finding goes by the rule's name.
pub const MISTAKE: &str = "bad-setting";

/// A mistake in `lope.toml`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mistake {
    /// The bytes it is about.
    pub span: Range<usize>,
    /// What is wrong and what would be right: lower case and without a stop.
    pub message: String,
}

/// The end of a message about a `name` nobody knows: the nearest in `known`, or all of them.
pub fn suggestion<'k>(name: &str, known: impl IntoIterator<Item = &'k str> + Clone) -> String {
    match nearest(name, known.clone()) {
        Some(near) => format!("; did you mean `{near}`?"),
        None => format!("; it may be {}", list(known)),
    }
}

/// `a, b or c`.
fn list<'k>(names: impl IntoIterator<Item = &'k str>) -> String {
    let names: Vec<String> = names.into_iter().map(|name| format!("`{name}`")).collect();
    match names.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} or {last}", others.join(", ")),
        None => "nothing".to_owned(),
    }
}
