//! The JSON Schema of `lope.toml`, for editors that check and complete TOML by one.
//!
//! It is kept in `server/lope.schema.json`; a test holds that file to what is said here.

use lope_desk::{Level, RULES};
use serde_json::{Map, Value, json};

use super::keys::{self, Key};

/// The schema.
pub fn schema() -> Value {
    let rules = rules();
    let neck = table(keys::NECK_KEYS, |key| match key {
        keys::FRETS => {
            json!({ "type": "integer", "minimum": keys::FRETS_RANGE.start(), "maximum": keys::FRETS_RANGE.end() })
        }
        keys::SCALE => length(*keys::SCALE_RANGE.start(), *keys::SCALE_RANGE.end()),
        _ => length(*keys::REACH_RANGE.start(), *keys::REACH_RANGE.end()),
    });
    let paths = table(keys::PATHS_KEYS, |key| if key == keys::MATCH { patterns() } else { rules.clone() });
    let mut schema = table(keys::BOOK, |key| match key {
        keys::LEAVE_OUT => patterns(),
        keys::RULES => rules.clone(),
        keys::NECK => neck.clone(),
        keys::DEFAULTS => defaults(),
        _ => json!({ "type": "array", "items": with_required(paths.clone(), keys::MATCH) }),
    });
    schema["$schema"] = json!("http://json-schema.org/draft-07/schema#");
    schema["title"] = json!("lope.toml");
    schema["description"] =
        json!("What a book of tunes says about all of them; the file stands at the book's root.");
    schema
}

fn table(keys: &[Key], holds: impl Fn(&str) -> Value) -> Value {
    let properties: Map<String, Value> = keys
        .iter()
        .map(|key| {
            let mut value = holds(key.name);
            value["description"] = json!(key.about);
            (key.name.to_owned(), value)
        })
        .collect();
    object(properties)
}

fn object(properties: Map<String, Value>) -> Value {
    json!({ "type": "object", "properties": properties, "additionalProperties": false })
}

fn with_required(mut table: Value, key: &str) -> Value {
    table["required"] = json!([key]);
    table
}

fn rules() -> Value {
    let properties = RULES.iter().map(|rule| {
        let usual = rule.level.map_or("off", Level::name);
        let level = json!({ "enum": keys::LEVELS, "default": usual, "description": rule.page.finds });
        (rule.name.to_owned(), level)
    });
    object(properties.collect())
}

fn defaults() -> Value {
    let text = json!({ "type": ["string", "integer"] });
    object(keys::fields().map(|field| (field.to_owned(), text.clone())).collect())
}

fn length(low: f64, high: f64) -> Value {
    json!({ "type": "number", "minimum": low, "maximum": high })
}

fn patterns() -> Value {
    let one = json!({ "type": "string" });
    json!({ "anyOf": [one, { "type": "array", "items": one }] })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// To write the file anew: `LOPE_WRITE=1 cargo test -p lope schema`.
    #[test]
    fn the_file_in_the_repository_is_this_schema() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/lope.schema.json");
        let said = format!("{:#}\n", schema());
        if std::env::var_os("LOPE_WRITE").is_some() {
            std::fs::write(path, &said).unwrap();
        }
        assert!(
            std::fs::read_to_string(path).unwrap_or_default() == said,
            "write {path} anew with LOPE_WRITE=1"
        );
    }

    /// A value that the schema allows is read without a mistake, whatever it is for.
    #[test]
    fn what_the_schema_allows_is_read() {
        let neck = [(keys::FRETS, "22"), (keys::SCALE, "666.75"), (keys::REACH, "110")];
        assert_eq!(neck.len(), schema()["properties"][keys::NECK]["properties"].as_object().unwrap().len());
        let neck: String = neck.iter().map(|(key, value)| format!("{key} = {value}\n")).collect();
        let rules: String = RULES.iter().map(|rule| format!("{} = \"hint\"\n", rule.name)).collect();
        let text = format!(
            "leave-out = \"a/\"\n[rules]\n{rules}[neck]\n{neck}[defaults]\nmeter = \"6/8\"\ntempo = 100\n\
             [[paths]]\nmatch = [\"a/\", \"*.b\"]\n[paths.rules]\n{rules}"
        );
        let (_, mistakes) = super::super::read::read(&text);
        assert_eq!(mistakes, []);
        let schema = schema();
        let named: Vec<&String> = schema["properties"].as_object().unwrap().keys().collect();
        assert_eq!(named, ["defaults", "leave-out", "neck", "paths", "rules"]);
    }
}
