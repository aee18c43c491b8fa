use lope_rules::Edit;
use lope_syntax::{Span, TokenKind};

use crate::{Entry, Page, Reading};

/// A name that is given or used somewhere, with every place it has in its tune.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Naming {
    /// What it names.
    pub names: Named,
    /// The name.
    pub name: String,
    /// Where it was asked about.
    pub here: Span,
    /// Every place it has, in the order of the text.
    pub uses: Vec<Use>,
}

/// What can have a name. Parts and phrases do not share theirs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Named {
    /// A part.
    Part,
    /// A phrase.
    Phrase,
}

/// A place of a name, in bytes from the start of its tune's text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Use {
    /// The name, without the `@` of a call.
    pub span: Span,
    /// Whether it is a heading, which gives the name.
    pub gives: bool,
}

/// What no name can hold, since each of them begins something else in a line of music.
const RESERVED: [char; 11] = ['|', '{', '}', '[', ']', '"', '<', '>', '@', '#', '%'];

impl Page {
    /// The name at `offset`, in bytes from the start of the file.
    pub fn naming(&self, offset: usize) -> Option<(Entry<'_>, Naming)> {
        let entry = self.entry_at(offset)?;
        let naming = entry.reading.naming(u32::try_from(offset - entry.offset).ok()?)?;
        Some((entry, naming))
    }
}

impl Reading {
    /// The name at `at`; of two that touch there, the one that starts.
    pub fn naming(&self, at: u32) -> Option<Naming> {
        let places = self.names();
        // The `@` of a call is part of what a cursor may be on.
        let starts = |place: &Place| place.used.span.start - u32::from(place.called);
        let mut touching = places.iter().filter(|place| starts(place) <= at && at <= place.used.span.end);
        let found = *touching.next_back()?;
        let name = found.used.span.of(self.text());
        let same = |place: &&Place| place.names == found.names && place.used.span.of(self.text()) == name;
        Some(Naming {
            names: found.names,
            name: name.to_owned(),
            here: found.used.span,
            uses: places.iter().filter(same).map(|place| place.used).collect(),
        })
    }

    /// The heading that gives the name of `naming`, the first where there are more: where the name stands,
    /// and all of the part or phrase.
    pub fn given(&self, naming: &Naming) -> Option<(Span, Span)> {
        let name = naming.uses.iter().find(|place| place.gives)?.span;
        let sections = &self.music().source.sections;
        let section = sections.iter().find(|section| section.heading.touches(name.start))?;
        Some((name, section.whole))
    }

    /// The edits that change the name of `naming` to `name`, in order.
    ///
    /// # Errors
    /// When `name` is none, or something of the kind has it: the words say which.
    pub fn rename(&self, naming: &Naming, name: &str) -> Result<Vec<Edit>, String> {
        if name == naming.name {
            return Ok(Vec::new());
        }
        if !is_name(name) {
            let reserved = RESERVED.map(String::from).join(" ");
            return Err(format!(
                "{name:?} is not a name: a name is one word that does not begin with : and has none of {reserved}"
            ));
        }
        // A call of a phrase that is not there yet counts too: it would find this one.
        let taken = |place: &Place| place.names == naming.names && place.used.span.of(self.text()) == name;
        if self.names().iter().any(taken) {
            let kind = if naming.names == Named::Part { "part" } else { "phrase" };
            return Err(format!("the name {kind} {name} is in use in this tune already: choose another"));
        }
        Ok(naming.uses.iter().map(|place| Edit::replace(place.span, name)).collect())
    }

    /// Every place of every name, in the order of the text.
    fn names(&self) -> Vec<Place> {
        let (mut heading, mut in_order) = (Some(Named::Part), false);
        let mut places = Vec::new();
        for token in self.tree().tokens() {
            let text = token.span.of(self.text());
            match token.kind {
                TokenKind::PartWord => heading = Some(Named::Part),
                TokenKind::PhraseWord => heading = Some(Named::Phrase),
                // Nothing goes by the name of a melody.
                TokenKind::MelodyWord => heading = None,
                TokenKind::Name => {
                    places.extend(heading.map(|heading| Place::of(heading, token.span, true, false)));
                }
                TokenKind::PhraseCall => {
                    let name = Span::new(token.span.start + 1, token.span.end);
                    places.push(Place::of(Named::Phrase, name, false, true));
                }
                TokenKind::FieldName => in_order = text == "order",
                TokenKind::FieldText if in_order => {
                    let words = words(text, token.span.start);
                    places.extend(words.map(|word| Place::of(Named::Part, word, false, false)));
                }
                _ => {}
            }
        }
        places
    }
}

/// A place of some name.
#[derive(Clone, Copy)]
struct Place {
    names: Named,
    used: Use,
    /// Whether an `@` stands before it.
    called: bool,
}

impl Place {
    const fn of(names: Named, span: Span, gives: bool, called: bool) -> Self {
        Self { names, used: Use { span, gives }, called }
    }
}

/// The words of `text`, which starts at the byte `start`.
pub fn words(text: &str, start: u32) -> impl Iterator<Item = Span> {
    text.split_whitespace().map(move |word| {
        let at = start + (word.as_ptr().addr() - text.as_ptr().addr()) as u32;
        Span::new(at, at + word.len() as u32)
    })
}

/// Whether `name` can name a part or phrase, and be called and put in an order.
fn is_name(name: &str) -> bool {
    let stray = |letter: char| letter.is_whitespace() || letter.is_control() || RESERVED.contains(&letter);
    // With a colon after it the heading's own word is the name of a field.
    !name.is_empty() && !name.starts_with(':') && !name.contains(stray)
}

#[cfg(test)]
mod tests {
    use lope_rules::apply;
    use proptest::prelude::*;

    use super::*;
    use crate::testing::Fixture;

    const TUNE: &str = "tune: 🎵 T\r\norder: A B  A\r\n\r\npart A x2\r\n@A | @lick @lick |\r\npart B\r\n\
                        @lick |\r\nphrase lick\r\n1:0 | @A |\r\nphrase A\r\n2:0 |\r\n";

    /// Where the name at each `cursor` is used: with `=` where it is given.
    #[track_caller]
    fn check(marked: &str, expected: &str) {
        let fixture = Fixture::new(marked);
        let (entry, naming) = fixture.page.naming(fixture.at).unwrap();
        let shown = naming
            .uses
            .iter()
            .map(|place| (entry.bytes(place.span), if place.gives { "=" } else { "" }.to_owned()));
        assert_eq!(fixture.show(shown), expected);
        assert!(naming.here.touches((fixture.at - entry.offset) as u32) || marked.contains("$0@"));
    }

    #[test]
    fn parts_are_used_in_headings_and_in_the_order() {
        let expected = TUNE.replace("order: A B  A", "order: «A» B  «A»").replace("part A", "part «A=»");
        check(&TUNE.replace("part A", "part $0A"), &expected);
        check(&TUNE.replace("B  A", "B  A$0"), &expected);
    }

    #[test]
    fn phrases_are_used_in_headings_and_calls() {
        let expected = TUNE.replace("@lick", "@«lick»").replace("phrase lick", "phrase «lick=»");
        check(&TUNE.replace("phrase lick", "phrase li$0ck"), &expected);
        check(&TUNE.replace("@lick @lick", "@lick $0@lick"), &expected);
        let expected = TUNE.replace("@A", "@«A»").replace("phrase A", "phrase «A=»");
        check(&TUNE.replace("| @A |", "| @A$0 |"), &expected);
    }

    #[test]
    fn a_name_is_given_by_its_first_heading() {
        let fixture = Fixture::new("tune: T\npart A\n@l$0ick |\nphrase lick\n1:0 |\n2:0\nphrase lick\n3:0\n");
        let (entry, naming) = fixture.page.naming(fixture.at).unwrap();
        let (name, whole) = entry.reading.given(&naming).unwrap();
        assert_eq!(name.start as usize, fixture.text.find("lick\n").unwrap());
        assert_eq!(whole.of(&fixture.text), "phrase lick\n1:0 |\n2:0");
        let fixture = Fixture::new("tune: T\npart A\n@l$0ick |\n");
        let (entry, naming) = fixture.page.naming(fixture.at).unwrap();
        assert_eq!(entry.reading.given(&naming), None);
    }

    #[test]
    fn elsewhere_there_is_no_name() {
        for marked in [TUNE.replace("tune", "tu$0ne"), TUNE.replace("1:0", "1:$00"), String::new()] {
            let fixture = Fixture::new(&marked);
            assert!(fixture.page.naming(fixture.at).is_none(), "{marked}");
        }
        assert!(Fixture::new(TUNE).page.naming(9999).is_none());
    }

    #[track_caller]
    fn check_rename(marked: &str, name: &str, expected: Result<&str, &str>) {
        let fixture = Fixture::new(marked);
        let (entry, naming) = fixture.page.naming(fixture.at).unwrap();
        let renamed = entry.reading.rename(&naming, name).map(|edits| apply(&fixture.text, &edits));
        assert_eq!(renamed, expected.map(str::to_owned).map_err(str::to_owned));
    }

    #[test]
    fn a_name_changes_everywhere_or_not_at_all() {
        let phrase = TUNE.replace("| @A |", "| @$0A |");
        check_rename(&phrase, "é🎵", Ok(&TUNE.replace("@A", "@é🎵").replace("phrase A", "phrase é🎵")));
        check_rename(&phrase, "A", Ok(TUNE));
        // A part may have the name of a phrase.
        let part = TUNE.replace("part B", "part $0B");
        check_rename(&part, "lick", Ok(&TUNE.replace("A B  A", "A lick  A").replace("part B", "part lick")));
        check_rename(&part, "A", Err("the name part A is in use in this tune already: choose another"));
        check_rename(
            &phrase,
            "two words",
            Err(
                "\"two words\" is not a name: a name is one word that does not begin with : and has none of \
                 | { } [ ] \" < > @ # %",
            ),
        );
    }

    #[test]
    fn a_call_of_what_is_not_there_keeps_its_name_for_itself() {
        let text = "tune: T\npart A\n@turn | @li$0ck |\nphrase lick\n1:0 |\n";
        let taken = "the name phrase turn is in use in this tune already: choose another";
        check_rename(text, "turn", Err(taken));
    }

    proptest! {
        /// What is taken for a name is read as one, in a heading, a call and an order.
        #[test]
        fn names_are_read_as_such(name in "[ -~é🎵\u{a0}\t\r\n]{0,4}") {
            let text = "tune: T\norder: A\npart A\n@l |\nphrase l\n1:0 |\n";
            let fixture = Fixture::new(text);
            for at in [fixture.text.find("A\n@").unwrap(), fixture.text.find("l |").unwrap()] {
                let (entry, naming) = fixture.page.naming(at).unwrap();
                let Ok(edits) = entry.reading.rename(&naming, &name) else {
                    prop_assert!(!is_name(&name) || name == naming.name);
                    continue;
                };
                let renamed = Fixture::new(&apply(text, &edits));
                let at = edits.first().map_or(at, |edit| edit.span.start as usize);
                let (_, again) = renamed.page.naming(at).unwrap();
                prop_assert_eq!(again.uses.len(), naming.uses.len());
                prop_assert_eq!(again.name, name.as_str());
            }
        }
    }
}
