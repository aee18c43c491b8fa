//! What an editor or a terminal asks, in plain types.
//!
//! A [`Reading`] is all there is to know of one tune's text; a [`Page`] is a file: its tunes in a row,
//! each with its reading, kept up to date through edits by reading again only the tunes an edit touched.
//! Findings, mends, hovers, symbols and formatting are asked of these two by the editor and the terminal
//! alike, which is why they cannot disagree.
//!
//! Absent here: protocols, disks, threads.

mod chord;
mod complete;
mod counts;
mod edits;
mod fields;
mod fold;
mod highlight;
mod hints;
mod hover;
mod keep;
mod lens;
mod letter;
mod line;
mod links;
mod mend;
mod names;
mod page;
mod paint;
mod reading;
mod refactor;
mod scale;
mod search;
mod selection;
mod symbols;
#[cfg(test)]
mod testing;
mod text;
mod tidy;
mod topic;
mod typed;

pub use complete::{Completion, CompletionKind, Completions, Piece};
pub use edits::edits_between;
pub use fold::{Fold, FoldKind};
pub use highlight::Highlight;
pub use hints::{Hint, HintKinds};
pub use hover::Hover;
pub use lens::Outlook;
pub use line::{Spot, breaks, spot};
pub use links::Link;
pub use lope_rules::{
    About, Edit, Family, Finding, Level, Mend, Place, RULES, Related, Rule, RuleId, Settings, apply, called,
    is_kept, rule, same_title, same_titles,
};
pub use lope_syntax::{Span, nearest, tunes};
pub use mend::{Mended, Scope};
pub use names::{Named, Naming, Use};
pub use page::{Entry, Page};
pub use paint::{Paint, PaintKind};
pub use reading::Reading;
pub use refactor::{Offer, REFACTORINGS, Refactoring, RunRequest};
pub use search::{Found, fits};
pub use symbols::{Symbol, SymbolKind};
pub use text::{Change, Text};
pub use tidy::tidied;
pub use topic::{Explanation, Topic};
pub use typed::Typed;
