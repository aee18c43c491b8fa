//! The text of `lope.toml` to a [`Draft`], key by key, so that one mistake leaves the rest standing.

use lope_desk::{Level, RULES, RuleId, rule};
use lope_tune::{Defaults, IssueKind, Neck};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::DEFAULTS_STAND;
use super::keys;
use super::mistake::{Mistake, suggestion};
use super::value::Mistakes;
use crate::files::legible;

/// Rules and the levels they are set to; none for off.
pub type Levels = Vec<(RuleId, Option<Level>)>;

/// What a `lope.toml` says, before it is applied to the defaults.
#[derive(Default)]
pub struct Draft {
    /// Whether the text is TOML; where it is not, nothing else here comes from it.
    pub is_toml: bool,
    pub leave_out: Vec<String>,
    pub rules: Levels,
    pub neck: Neck,
    pub defaults: Defaults,
    pub paths: Vec<PathRules>,
}

/// One `[[paths]]`.
#[derive(Default)]
pub struct PathRules {
    pub patterns: Vec<String>,
    pub rules: Levels,
}

/// Reads `text`; the mistakes come in the order of the text.
pub fn read(text: &str) -> (Draft, Vec<Mistake>) {
    let mut reader = Reader::default();
    let draft = match DeTable::parse(text) {
        Ok(table) => reader.draft(table.get_ref()),
        Err(error) => {
            let why = error.message().lines().next().unwrap_or_default();
            let message = format!("this is not TOML: {why}; until it is, {DEFAULTS_STAND}");
            reader.mistakes.report(error.span().unwrap_or_default(), message);
            Draft::default()
        }
    };
    let Mistakes(mut mistakes) = reader.mistakes;
    mistakes.sort_by_key(|mistake| mistake.span.start);
    (draft, mistakes)
}

#[derive(Default)]
struct Reader {
    mistakes: Mistakes,
}

impl Reader {
    fn draft(&mut self, table: &DeTable<'_>) -> Draft {
        let mut draft = Draft { is_toml: true, ..Draft::default() };
        for (key, value) in table {
            match key.get_ref().as_ref() {
                keys::LEAVE_OUT => draft.leave_out = self.mistakes.patterns(keys::LEAVE_OUT, value),
                keys::RULES => draft.rules = self.rules(value),
                keys::NECK => draft.neck = self.neck(value),
                keys::DEFAULTS => draft.defaults = self.defaults(value),
                keys::PATHS => draft.paths = self.paths(value),
                _ => self.mistakes.unknown((key, value), "lope.toml", keys::BOOK),
            }
        }
        draft
    }

    fn rules(&mut self, value: &Spanned<DeValue<'_>>) -> Levels {
        let mut levels = Levels::new();
        for (key, value) in self.mistakes.table(keys::RULES, value) {
            let name = key.get_ref().as_ref();
            let Some(id) = rule(name) else {
                let help = suggestion(name, RULES.iter().map(|rule| rule.name));
                self.mistakes.report(key.span(), format!("there is no rule `{}`{help}", legible(name)));
                continue;
            };
            match value.get_ref().as_str().filter(|level| keys::LEVELS.contains(level)) {
                Some(level) => levels.push((id, Level::ALL.into_iter().find(|known| known.name() == level))),
                None => self.mistakes.wrong(name, "\"error\", \"warning\", \"hint\" or \"off\"", value),
            }
        }
        levels
    }

    fn neck(&mut self, value: &Spanned<DeValue<'_>>) -> Neck {
        let mut neck = Neck::default();
        for (key, value) in self.mistakes.table(keys::NECK, value) {
            match key.get_ref().as_ref() {
                keys::FRETS => neck.frets = self.mistakes.frets(value).unwrap_or(neck.frets),
                keys::SCALE => {
                    neck.scale_mm =
                        self.mistakes.length(keys::SCALE, value, keys::SCALE_RANGE).unwrap_or(neck.scale_mm);
                }
                keys::REACH => {
                    neck.widest_mm =
                        self.mistakes.length(keys::REACH, value, keys::REACH_RANGE).unwrap_or(neck.widest_mm);
                }
                _ => self.mistakes.unknown((key, value), "[neck]", keys::NECK_KEYS),
            }
        }
        neck
    }

    fn defaults(&mut self, value: &Spanned<DeValue<'_>>) -> Defaults {
        let mut defaults = Defaults::default();
        for (key, value) in self.mistakes.table(keys::DEFAULTS, value) {
            let name = key.get_ref().as_ref();
            if !keys::fields().any(|field| field == name) {
                let help = suggestion(name, keys::fields());
                self.mistakes
                    .report(key.span(), format!("there is no default for a field `{}`{help}", legible(name)));
                continue;
            }
            let text = match value.get_ref() {
                DeValue::String(text) if !text.contains(['\n', '\r']) => text.to_string(),
                DeValue::Integer(number) if number.radix() == 10 => number.as_str().to_owned(),
                _ => {
                    self.mistakes.wrong(name, "one line of text or a whole number", value);
                    continue;
                }
            };
            let default = Defaults(vec![(name.to_owned(), text)]);
            match expected(&default) {
                Some(expected) => self.mistakes.wrong(name, &expected, value),
                None => defaults.0.extend(default.0),
            }
        }
        defaults
    }

    fn paths(&mut self, value: &Spanned<DeValue<'_>>) -> Vec<PathRules> {
        let Some(tables) = value.get_ref().as_array() else {
            self.mistakes.wrong(keys::PATHS, "tables that start with [[paths]]", value);
            return Vec::new();
        };
        tables.iter().map(|table| self.path_rules(table)).collect()
    }

    fn path_rules(&mut self, value: &Spanned<DeValue<'_>>) -> PathRules {
        let mut found = PathRules::default();
        let mut matches = false;
        for (key, value) in self.mistakes.table(keys::PATHS, value) {
            match key.get_ref().as_ref() {
                keys::MATCH => {
                    matches = true;
                    found.patterns = self.mistakes.patterns(keys::MATCH, value);
                }
                keys::RULES => found.rules = self.rules(value),
                _ => self.mistakes.unknown((key, value), "[[paths]]", keys::PATHS_KEYS),
            }
        }
        if !matches && value.get_ref().is_table() {
            self.mistakes.report(
                value.span(),
                "[[paths]] without `match`: say which files, as in match = \"slow/\"".to_owned(),
            );
        }
        found
    }
}

/// What a tune would say against `default`, which stands in it for a field left out.
fn expected(default: &Defaults) -> Option<String> {
    let read = lope_tune::read("", &lope_syntax::parse(""), default);
    read.issues.into_iter().find_map(|issue| match issue.kind {
        IssueKind::BadValue { expected, .. } => Some(expected),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is said against `text`, each with the text it is about.
    fn mistakes(text: &str) -> Vec<String> {
        let (_, mistakes) = read(text);
        mistakes.into_iter().map(|Mistake { span, message }| format!("{}: {message}", &text[span])).collect()
    }

    #[test]
    fn an_empty_file_has_no_mistake() {
        assert_eq!(mistakes(""), [""; 0]);
    }

    #[test]
    fn the_file_in_the_manual_has_no_mistake_and_every_key() {
        let manual = include_str!("../../BOOKS.md");
        let text = manual.split("```toml\n").nth(1).and_then(|rest| rest.split("```").next()).unwrap();
        assert_eq!(mistakes(text), [""; 0]);
        for key in keys::BOOK.iter().chain(keys::NECK_KEYS).chain(keys::PATHS_KEYS) {
            assert!(text.contains(key.name), "{}", key.name);
        }
    }

    #[test]
    fn a_key_nobody_knows_is_met_with_the_nearest_or_all() {
        assert_eq!(
            mistakes("leaveout = []\n[neck]\nlength = 3\n"),
            [
                "leaveout: there is no `leaveout` in lope.toml; did you mean `leave-out`?",
                "length: there is no `length` in [neck]; it may be `frets`, `scale-mm` or `reach-mm`",
            ]
        );
    }

    #[test]
    fn a_rule_nobody_knows_is_met_with_the_nearest() {
        let text = "[rules]\noff-the-nek = \"off\"\n";
        assert_eq!(
            mistakes(text),
            ["off-the-nek: there is no rule `off-the-nek`; did you mean `off-the-neck`?"]
        );
    }

    #[test]
    fn a_value_of_the_wrong_kind_says_what_it_wants() {
        let text = "rules = 3\nleave-out = [1, \"{a\"]\nneck.frets = 90\nneck.reach-mm = \"wide\"\n\
                    defaults.tuning = \"gDG\"\ndefaults.tempo = true\npaths = {}\n";
        let expected = [
            "3: `rules` wants a table, not 3",
            "1: `leave-out` wants a path pattern, or several in [ ], not 1",
            "90: `frets` wants a whole number from 1 to 36, not 90",
            "\"wide\": `reach-mm` wants a length from 10 to 400 mm, not \"wide\"",
            "true: `tempo` wants one line of text or a whole number, not true",
            "{}: `paths` wants tables that start with [[paths]], not a table",
        ];
        let said = mistakes(text);
        for expected in expected {
            assert!(said.iter().any(|said| said == expected), "{expected}\nnot in {said:#?}");
        }
        assert!(said.iter().any(|said| said.starts_with("\"gDG\": `tuning` wants")), "{said:#?}");
        assert!(said.iter().any(|said| said.starts_with("\"{a\": `{a` is no path pattern")), "{said:#?}");
        assert_eq!(said.len(), expected.len() + 2);
    }

    #[test]
    fn what_is_right_beside_a_mistake_stands() {
        let (draft, mistakes) =
            read("[neck]\nfrets = 19\nlength = 1\n[defaults]\nkind = \"jig\"\nreel = 2\n");
        assert_eq!(mistakes.len(), 2);
        assert_eq!(draft.neck, Neck { frets: 19, ..Neck::default() });
        assert_eq!(draft.defaults, Defaults(vec![("kind".to_owned(), "jig".to_owned())]));
    }

    #[test]
    fn what_is_not_toml_is_one_mistake_at_its_place() {
        let said = mistakes("[rules]\noff-the-neck = \"off\"\nthis is no TOML at all\n");
        assert_eq!(said.len(), 1, "{said:#?}");
        assert!(said[0].contains("this is not TOML") && said[0].contains("the defaults stand"), "{said:#?}");
    }

    #[test]
    fn a_path_rule_says_which_paths() {
        assert_eq!(
            mistakes("[[paths]]\nrules = {}\n"),
            ["[[paths]]: [[paths]] without `match`: say which files, as in match = \"slow/\""]
        );
    }
}
