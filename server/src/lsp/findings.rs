//! What is found in a file, as diagnostics.

use lope_desk::{Finding, Level, Sheet};
use tower_lsp::lsp_types::{
    Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, Location, NumberOrString,
    PublishDiagnosticsParams,
};

use super::snapshot::View;

/// Where a diagnostic comes from, as editors show it.
pub const SOURCE: &str = "lope";

/// Everything found in the file.
pub fn diagnostics(view: View<'_>) -> PublishDiagnosticsParams {
    let found = view.page().findings().map(|(sheet, finding)| diagnostic(view, sheet, finding));
    PublishDiagnosticsParams::new(view.url.clone(), found.collect(), Some(view.snapshot.document.version))
}

/// A finding.
pub fn diagnostic(view: View<'_>, sheet: Sheet<'_>, finding: &Finding) -> Diagnostic {
    let related = finding.related.iter().map(|related| DiagnosticRelatedInformation {
        location: Location::new(view.url.clone(), view.range(sheet.bytes(related.span))),
        message: related.message.clone(),
    });
    let related: Option<Vec<_>> = view.features.related_places.then(|| related.collect());
    Diagnostic {
        range: view.range(sheet.bytes(finding.span)),
        severity: Some(severity(finding.level)),
        code: Some(NumberOrString::String(finding.rule.rule().name.to_owned())),
        source: Some(SOURCE.to_owned()),
        message: match finding.place.section {
            Some(_) => format!("{}: {}", finding.place, finding.message),
            None => finding.message.clone(),
        },
        related_information: related.filter(|related| !related.is_empty()),
        ..Diagnostic::default()
    }
}

/// A level in the protocol's terms.
pub const fn severity(level: Level) -> DiagnosticSeverity {
    match level {
        Level::Error => DiagnosticSeverity::ERROR,
        Level::Warning => DiagnosticSeverity::WARNING,
        Level::Hint => DiagnosticSeverity::HINT,
    }
}
