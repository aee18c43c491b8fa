//! The values of `lope.toml`, each read or met with a mistake that says what it should be.

use std::borrow::Cow;
use std::ops::{Range, RangeInclusive};

use ignore::gitignore::GitignoreBuilder;
use toml::Spanned;
use toml::de::{DeInteger, DeValue};

use super::keys::{self, Key};
use super::mistake::{Mistake, suggestion};
use crate::files::legible;

/// A key and its value.
pub type Entry<'k, 't> = (&'k Spanned<Cow<'t, str>>, &'k Spanned<DeValue<'t>>);

/// The mistakes met so far.
#[derive(Default)]
pub struct Mistakes(pub Vec<Mistake>);

impl Mistakes {
    /// One pattern, or an array of them.
    pub fn patterns(&mut self, key: &str, value: &Spanned<DeValue<'_>>) -> Vec<String> {
        let one = std::slice::from_ref(value);
        let items = value.get_ref().as_array().map_or(one, |array| array.as_ref());
        let mut patterns = Vec::new();
        for item in items {
            let Some(pattern) = item.get_ref().as_str() else {
                self.wrong(key, "a path pattern, or several in [ ]", item);
                continue;
            };
            match GitignoreBuilder::new("").add_line(None, pattern) {
                Ok(_) => patterns.push(pattern.to_owned()),
                Err(error) => {
                    self.report(item.span(), format!("`{}` is no path pattern: {error}", legible(pattern)))
                }
            }
        }
        patterns
    }

    /// A number of frets.
    pub fn frets(&mut self, value: &Spanned<DeValue<'_>>) -> Option<u8> {
        let frets = value.get_ref().as_integer().and_then(whole).filter(|n| keys::FRETS_RANGE.contains(n));
        let (low, high) = (keys::FRETS_RANGE.start(), keys::FRETS_RANGE.end());
        if frets.is_none() {
            self.wrong(keys::FRETS, &format!("a whole number from {low} to {high}"), value);
        }
        frets.and_then(|frets| u8::try_from(frets).ok())
    }

    /// A length in millimetres.
    pub fn length(
        &mut self,
        key: &str,
        value: &Spanned<DeValue<'_>>,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        let number = match value.get_ref() {
            DeValue::Integer(number) => whole(number).map(|number| number as f64),
            DeValue::Float(number) => number.as_str().parse().ok(),
            _ => None,
        };
        let length = number.filter(|length| range.contains(length));
        if length.is_none() {
            self.wrong(key, &format!("a length from {} to {} mm", range.start(), range.end()), value);
        }
        length
    }

    /// The entries of a table; none, and a mistake, where it is something else.
    pub fn table<'k, 't>(&mut self, name: &str, value: &'k Spanned<DeValue<'t>>) -> Vec<Entry<'k, 't>> {
        match value.get_ref().as_table() {
            Some(table) => table.iter().collect(),
            None => {
                self.wrong(name, "a table", value);
                Vec::new()
            }
        }
    }

    /// A key that is none of `known`, those of `place`.
    pub fn unknown(&mut self, (key, _): Entry<'_, '_>, place: &str, known: &[Key]) {
        let name = &legible(key.get_ref());
        let help = suggestion(name, known.iter().map(|key| key.name));
        self.report(key.span(), format!("there is no `{name}` in {place}{help}"));
    }

    /// A value that is not as `expected`.
    pub fn wrong(&mut self, key: &str, expected: &str, value: &Spanned<DeValue<'_>>) {
        let found = match value.get_ref() {
            DeValue::String(text) => format!("\"{}\"", legible(text)),
            DeValue::Integer(number) => number.to_string(),
            DeValue::Float(number) => number.to_string(),
            DeValue::Boolean(value) => value.to_string(),
            DeValue::Datetime(_) => "a date".to_owned(),
            DeValue::Array(_) => "an array".to_owned(),
            DeValue::Table(_) => "a table".to_owned(),
        };
        self.report(value.span(), format!("`{key}` wants {expected}, not {found}"));
    }

    /// A mistake at `span`.
    pub fn report(&mut self, span: Range<usize>, message: String) {
        self.0.push(Mistake { span, message });
    }
}

fn whole(number: &DeInteger<'_>) -> Option<i64> {
    i64::from_str_radix(number.as_str(), number.radix()).ok()
}
