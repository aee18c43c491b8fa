//! Pictures of tunes against the definition of their form; the script names it.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use lope_sheet::{Paper, Remark, Wishes, lay, svg};
use lope_tests::outside::ask;
use lope_tests::tunes::{Trouble, tune};
use lope_tune::{BarId, Defaults, read};
use serde_json::Value;

#[test]
fn pictures_are_valid() {
    let odd = "tune: <b>\"Tide\" & 潮</b>\nkind: 'jig'\nmeter: 6/8\npart A x3\n| <G&7> \"<i>\" 3:0! h2~ p0^ [3:0 2:1/i] _ |\n| % | @no |\n";
    let texts =
        (0..12_u64).map(|seed| tune(seed, 1200, Trouble::Often)).chain([String::new(), odd.to_owned()]);
    let remark = || Remark { bar: BarId(0), event: None, text: "\"quoted\" & <marked>".to_owned() };
    let pictures = texts.enumerate().flat_map(|(number, text)| {
        let tune = read(&text, &lope_syntax::parse(&text), &Defaults::default()).tune;
        let paper = if number % 2 == 0 { Paper::A4 } else { Paper::Endless(600.0) };
        let remarks = vec![remark()];
        let sheet = lay(&tune, &lope_hand::read(&tune), &Wishes { paper, remarks, ..Wishes::default() });
        sheet.pages.iter().map(|page| Value::from(svg(&sheet, page))).collect::<Vec<_>>()
    });
    ask("drawing", &Value::from(pictures.collect::<Vec<_>>()));
}
