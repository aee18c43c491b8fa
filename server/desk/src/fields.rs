//! What each field says.

/// A field's page.
pub struct FieldPage {
    /// Its name.
    pub name: &'static str,
    /// What it says of the tune.
    pub says: &'static str,
    /// What may stand there.
    pub values: &'static str,
    /// What holds without it.
    pub without: &'static str,
}

/// The pages, in the order in which a player fills in a tune.
pub const PAGES: [FieldPage; 15] = [
    page("tune", "the title", "any text", "a tune must have one"),
    page("kind", "what sort of tune it is", "any text: jig, reel, slow blues", "nothing is said"),
    page(
        "meter",
        "beats in a bar, over their length",
        "1 to 99 over 1, 2, 4, 8, 16 or 32: 6/8",
        "a tune must have one",
    ),
    page(
        "tuning",
        "the open strings",
        "five notes from string 5 to 1, or a name: gDGBD, open G",
        "gDGBD, which is open G",
    ),
    page(
        "capo",
        "the fret behind which the capo sits",
        "0 to 12; the drone is spiked or retuned to match",
        "no capo",
    ),
    page("tempo", "beats a minute", "20 to 400; in 6/8, 9/8 and 12/8 a beat is three eighths", "90"),
    page(
        "order",
        "the parts as they are played",
        "names of parts with blanks between: A A B B",
        "each part its own times, in the order of the text",
    ),
    page(
        "gait",
        "falls and rises of the right hand",
        "x for a fall and . for a rise, a slot each: x.x",
        "the gait of the meter",
    ),
    page(
        "unit",
        "the length of one slot",
        "one over 1, 2, 4, 8, 16, 32 or 64: 1/8",
        "1/8; 1/16 in 2/4; the meter's own where it is finer",
    ),
    page("feel", "how pairs of slots lean", "straight, or swing with two shares: swing 2:1", "straight"),
    page("by", "who made it", "any text", "nothing is said"),
    page("source", "where it comes from", "any text", "nothing is said"),
    page("rights", "what others may do with it", "any text", "nothing is said"),
    page("tags", "words to find it by", "words with commas between", "none"),
    page("note", "anything else; may stand several times", "any text", "nothing is said"),
];

const fn page(
    name: &'static str,
    says: &'static str,
    values: &'static str,
    without: &'static str,
) -> FieldPage {
    FieldPage { name, says, values, without }
}

/// The page of the field called `name`.
pub fn field_page(name: &str) -> Option<&'static FieldPage> {
    PAGES.iter().find(|page| page.name == name)
}

impl FieldPage {
    /// The page, a line each.
    pub fn lines(&self) -> Vec<String> {
        let Self { says, values, without, .. } = self;
        vec![(*says).to_owned(), format!("values: {values}"), format!("without it: {without}")]
    }
}

#[cfg(test)]
mod tests {
    use lope_tune::FIELDS;

    use super::*;

    #[test]
    fn every_field_has_a_page() {
        assert!(FIELDS.iter().all(|name| field_page(name).is_some()));
        assert_eq!(PAGES.len(), FIELDS.len());
    }
}
