/// The one of `known` that `word` was most likely meant to be: few letters away for its length.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let allowed = word.chars().count() / 3 + 1;
    known
        .into_iter()
        .map(|name| (strsim::osa_distance(word, name), name))
        .filter(|(distance, _)| *distance <= allowed)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn a_slip_finds_its_word_and_a_stranger_finds_none() {
        assert_eq!(nearest("tunning", ["tune", "tuning", "tempo"]), Some("tuning"));
        assert_eq!(nearest("metre", ["meter", "kind"]), Some("meter"));
        assert_eq!(nearest("colour", ["meter", "kind", "unit"]), None);
    }
}
