use crate::keep;
use crate::registry::numbered;
use crate::{Finding, Music, Report, Settings};

/// What every rule that is on under `settings` finds in `music` and no comment keeps, in the order of the text.
pub fn check(music: &Music, settings: &Settings) -> Vec<Finding> {
    let mut report = Report::new();
    for (id, rule) in numbered() {
        if let (Some(level), Some(check)) = (settings.level(id), rule.check) {
            report.begin(id, level);
            check(music, &mut report);
        }
    }
    let mut findings = report.into_findings();
    keep::silence(music, &mut findings);
    findings.sort_by_key(|finding| (finding.span, finding.rule));
    findings
}
