//! The rules: one a file, each with its page, its check and its mends.
//!
//! [`check`] runs every rule over one tune; [`mends`] says how a finding can be put right, and
//! [`mend_all`] puts right at once all that can be without changing the music. Severity and wording live
//! here, so that the editor and the terminal say the same.
//!
//! Absent here: files, clocks, environment, output, and any protocol.

mod book;
mod check;
mod elsewhere;
mod finding;
mod fingered;
mod keep;
mod left;
mod level;
mod mend;
mod music;
mod place;
mod registry;
mod report;
mod restrike;
mod right;
mod settings;
mod slur;
mod spell;
#[cfg(test)]
mod testing;
mod time;

pub use book::same_title::{called, same_title, same_titles};
pub use book::untidy::untidy;
pub use check::{check, kept};
pub use elsewhere::moves;
pub use finding::{About, Finding, Related};
pub use keep::{Keep, KeptRule, can_be_kept, is_kept, keeps};
pub use level::Level;
pub use mend::{Edit, Mend, Mending, apply, mend_all, mends};
pub use music::Music;
pub use place::Place;
pub use registry::{Example, Family, Page, RULES, Rule, RuleId, rule};
pub use report::Report;
pub use settings::Settings;
pub use spell::{is_unnamed, respell, respell_at};
pub use time::off_time::off_time;
