use crate::keep::{self, Keep};
use crate::registry::numbered;
use crate::{Finding, Music, Report, Settings};

/// What every rule that is on under `settings` finds in `music` and no comment keeps, in the order of the text.
pub fn check(music: &Music, settings: &Settings) -> Vec<Finding> {
    let mut findings = found(music, settings);
    keep::silence(music, &mut findings);
    findings.sort_by_key(|finding| (finding.span, finding.rule));
    findings
}

/// What `keep`, a comment in `music`, keeps from being reported, in the order of the text.
pub fn kept(music: &Music, settings: &Settings, keep: &Keep) -> Vec<Finding> {
    let mut findings = found(music, settings);
    let keep = std::slice::from_ref(keep);
    findings.retain(|finding| keep::holding(keep, finding.rule, finding.span).next().is_some());
    findings.sort_by_key(|finding| (finding.span, finding.rule));
    findings
}

/// What every rule that is on finds, kept or not.
fn found(music: &Music, settings: &Settings) -> Vec<Finding> {
    let mut report = Report::new();
    for (id, rule) in numbered() {
        if let (Some(level), Some(check)) = (settings.level(id), rule.check) {
            report.begin(id, level);
            check(music, &mut report);
        }
    }
    report.into_findings()
}
