//! The rules: one a file, each with its page, its check and its mends.
//!
//! [`check`] runs every rule over one tune; [`mends`] says how a finding can be put right. Severity and
//! wording live here, so that the editor and the terminal say the same.
//!
//! Absent here: files, clocks, environment, output, and any protocol.

mod finding;
mod level;
mod place;
mod registry;
mod settings;

pub use finding::{About, Edit, Finding, Mend, Related};
pub use level::Level;
pub use place::Place;
pub use registry::{Example, Family, Page, RULES, Rule, RuleId, rule};
pub use settings::Settings;
