//! The report as SARIF 2.1.0, the OASIS standard for findings.

use std::io::{self, Write};
use std::path::Path;

use lope_desk::{Level, RULES, Rule};
use serde::{Serialize, Serializer};
use serde_json::{Value, json};

use super::{Item, Remark, Repair, Report, Stretch};
use crate::config::MISTAKE;
use crate::files::{Problem, shown};

pub fn write(report: &Report, out: &mut dyn Write) -> io::Result<()> {
    serde_json::to_writer(&mut *out, &Document::new(report))?;
    writeln!(out)
}

#[derive(Serialize)]
struct Document<'r> {
    #[serde(rename = "$schema")]
    schema: &'static str,
    version: &'static str,
    runs: [Run<'r>; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Run<'r> {
    tool: Value,
    column_kind: &'static str,
    invocations: Value,
    results: Results<'r>,
}

/// The results, each made when it is written: the report of a large book would not fit a small memory as one
/// value.
struct Results<'r>(&'r Report);

impl Serialize for Results<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let Self(report) = self;
        let results =
            report.files.iter().flat_map(|file| file.items.iter().map(|item| result(item, &file.path)));
        serializer.collect_seq(results)
    }
}

impl<'r> Document<'r> {
    fn new(report: &'r Report) -> Self {
        let run = Run {
            tool: json!({ "driver": driver() }),
            column_kind: "unicodeCodePoints",
            invocations: json!([{
                "executionSuccessful": report.problems.is_empty(),
                "toolExecutionNotifications": report.problems.iter().map(notification).collect::<Vec<_>>(),
            }]),
            results: Results(report),
        };
        Self {
            schema: "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
            version: "2.1.0",
            runs: [run],
        }
    }
}

fn driver() -> Value {
    let mistake = json!({
        "id": MISTAKE,
        "shortDescription": { "text": "a mistake in lope.toml" },
        "defaultConfiguration": { "level": "error" },
    });
    let rules: Vec<Value> = RULES.iter().map(|rule| descriptor(rule)).chain([mistake]).collect();
    json!({ "name": "lope", "version": env!("CARGO_PKG_VERSION"), "rules": rules })
}

fn descriptor(rule: &Rule) -> Value {
    let page = super::page(rule);
    json!({
        "id": rule.name,
        "shortDescription": { "text": rule.page.finds },
        "fullDescription": { "text": rule.page.why },
        "help": { "text": page },
        "defaultConfiguration": match rule.level {
            Some(of) => json!({ "level": level(of) }),
            None => json!({ "enabled": false }),
        },
    })
}

fn level(level: Level) -> &'static str {
    match level {
        Level::Error => "error",
        Level::Warning => "warning",
        Level::Hint => "note",
    }
}

fn result(item: &Item, path: &Path) -> Value {
    let place = item.place.as_ref().map(ToString::to_string);
    let named = [Some(&item.tune).filter(|title| !title.is_empty()), place.as_ref()];
    let named: Vec<&str> = named.into_iter().flatten().map(String::as_str).collect();
    let mut location = location(path, item.at);
    if !named.is_empty() {
        location["logicalLocations"] = json!([{ "fullyQualifiedName": named.join(", ") }]);
    }
    let mut result = json!({
        "ruleId": item.rule,
        "ruleIndex": RULES.iter().position(|rule| rule.name == item.rule).unwrap_or(RULES.len()),
        "level": level(item.level),
        "message": { "text": item.sentence() },
        "locations": [location],
    });
    if !item.related.is_empty() {
        result["relatedLocations"] = item.related.iter().map(|remark| related(remark, path)).collect();
    }
    if !item.mends.is_empty() {
        result["fixes"] = item.mends.iter().map(|mend| fix(mend, path)).collect();
    }
    result
}

fn related(remark: &Remark, path: &Path) -> Value {
    let mut location = location(path, remark.at);
    location["message"] = json!({ "text": remark.message });
    location
}

fn fix(mend: &Repair, path: &Path) -> Value {
    let replacements: Vec<Value> = mend
        .edits
        .iter()
        .map(|edit| json!({ "deletedRegion": region(edit.at), "insertedContent": { "text": edit.text } }))
        .collect();
    json!({
        "description": { "text": mend.title },
        "artifactChanges": [{ "artifactLocation": { "uri": uri(path) }, "replacements": replacements }],
        "properties": { "safe": mend.safe },
    })
}

fn notification(problem: &Problem) -> Value {
    let mut physical = json!({ "artifactLocation": { "uri": uri(&problem.path) } });
    if let Some((line, column)) = problem.at {
        physical["region"] = json!({ "startLine": line, "startColumn": column });
    }
    json!({
        "level": "error",
        "message": { "text": problem.message },
        "locations": [{ "physicalLocation": physical }],
    })
}

fn location(path: &Path, at: Stretch) -> Value {
    json!({ "physicalLocation": { "artifactLocation": { "uri": uri(path) }, "region": region(at) } })
}

fn region(at: Stretch) -> Value {
    json!({
        "startLine": at.start.line,
        "startColumn": at.start.column,
        "endLine": at.end.line,
        "endColumn": at.end.column,
    })
}

/// A path as a URI: relative where the path is, with what is not plain written in percent.
fn uri(path: &Path) -> String {
    let mut uri = if path.is_absolute() { "file://".to_owned() } else { String::new() };
    for byte in shown(path).bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'/' | b'-' | b'.' | b'_' | b'~' => {
                uri.push(char::from(byte))
            }
            _ => uri.push_str(&format!("%{byte:02X}")),
        }
    }
    uri
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_makes_a_uri() {
        assert_eq!(uri(Path::new("./my jigs/50% é.lope")), "my%20jigs/50%25%20%C3%A9.lope");
        assert_eq!(uri(Path::new("/book/a.lope")), "file:///book/a.lope");
    }
}
