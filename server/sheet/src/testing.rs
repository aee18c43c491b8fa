//! Tunes for tests.

use lope_tune::{Defaults, Tune};

/// The tune that `text` is.
pub fn tune(text: &str) -> Tune {
    let parsed = lope_syntax::parse(text);
    lope_tune::read(text, &parsed, &Defaults::default()).tune
}

/// A tune of one part.
pub fn tune_in(meter: &str, music: &str) -> Tune {
    tune(&format!("tune: Test\nmeter: {meter}\npart A\n{music}\n"))
}
