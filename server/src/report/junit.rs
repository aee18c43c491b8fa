//! The report as JUnit XML: a test case for each file, failed by findings at the level the check fails at.

use std::borrow::Cow;
use std::io::{self, Write};

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};

use super::{FileReport, Item, Report};
use crate::files::{Problem, shown};

pub fn write(report: &Report, out: &mut dyn Write) -> io::Result<()> {
    let failed =
        report.files.iter().filter(|file| file.items.iter().any(|item| report.fails_for(item))).count();
    let counts = [
        ("tests", (report.files.len() + report.problems.len()).to_string()),
        ("failures", failed.to_string()),
        ("errors", report.problems.len().to_string()),
    ];
    let counts = counts.each_ref().map(|(name, count)| (*name, count.as_str()));
    let mut xml = Writer::new_with_indent(out, b' ', 2);
    xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    let name = [("name", "lope check")];
    xml.create_element("testsuites").with_attributes(name).with_attributes(counts).write_inner_content(
        |xml| {
            xml.create_element("testsuite")
                .with_attributes(name)
                .with_attributes(counts)
                .write_inner_content(|xml| {
                    for file in &report.files {
                        write_file(report, file, xml)?;
                    }
                    for problem in &report.problems {
                        write_problem(problem, xml)?;
                    }
                    Ok(())
                })?;
            Ok(())
        },
    )?;
    writeln!(xml.get_mut())
}

fn write_file(report: &Report, file: &FileReport, xml: &mut Writer<&mut dyn Write>) -> io::Result<()> {
    let path = shown(&file.path);
    let (failing, others): (Vec<&Item>, Vec<&Item>) =
        file.items.iter().partition(|item| report.fails_for(item));
    let case = xml.create_element("testcase").with_attributes(case(&path));
    if file.items.is_empty() {
        case.write_empty()?;
        return Ok(());
    }
    case.write_inner_content(|xml| {
        for item in failing {
            let message = item.sentence();
            let about = [("type", item.rule), ("message", &legal(&message))];
            let text = line(item, &path);
            xml.create_element("failure")
                .with_attributes(about)
                .write_text_content(BytesText::new(&legal(&text)))?;
        }
        if !others.is_empty() {
            let lines: Vec<String> = others.into_iter().map(|item| line(item, &path)).collect();
            let text = lines.join("\n");
            xml.create_element("system-out").write_text_content(BytesText::new(&legal(&text)))?;
        }
        Ok(())
    })?;
    Ok(())
}

fn write_problem(problem: &Problem, xml: &mut Writer<&mut dyn Write>) -> io::Result<()> {
    let path = shown(&problem.path);
    let text = problem.to_string();
    xml.create_element("testcase").with_attributes(case(&path)).write_inner_content(|xml| {
        let about = [("type", "file"), ("message", &legal(&problem.message))];
        xml.create_element("error")
            .with_attributes(about)
            .write_text_content(BytesText::new(&legal(&text)))?;
        Ok(())
    })?;
    Ok(())
}

fn case(path: &str) -> [(&str, &str); 2] {
    [("name", path), ("classname", "lope")]
}

fn line(item: &Item, path: &str) -> String {
    let at = item.at.start;
    format!("{path}:{}:{}: {}: {} ({})", at.line, at.column, item.level, item.sentence(), item.rule)
}

/// Text without what XML 1.0 cannot hold, not even escaped: control characters and two non-characters.
fn legal(text: &str) -> Cow<'_, str> {
    let illegal = |letter: char| matches!(letter, '\0'..='\u{8}' | '\u{b}' | '\u{c}' | '\u{e}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}');
    if text.contains(illegal) { text.replace(illegal, "\u{fffd}").into() } else { text.into() }
}
