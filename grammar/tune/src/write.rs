use crate::Tune;

/// Spells `tune` as text that reads as the same tune.
pub fn write(tune: &Tune) -> String {
    let _ = tune;
    String::new()
}
