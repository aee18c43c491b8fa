//! What the client can do, as far as it changes what it is told.

use tower_lsp::lsp_types::{ClientCapabilities, MarkupKind};

use super::legend::Legend;
use super::position::Encoding;

/// What the client can do.
#[derive(Clone, Debug, Default)]
pub struct Features {
    /// What positions count in.
    pub encoding: Encoding,
    /// It shows other places beside a finding.
    pub related_places: bool,
    /// It shows hovers as Markdown.
    pub markdown: bool,
    /// It shows symbols inside symbols.
    pub nested_symbols: bool,
    /// It checks that an edit is for the version it has.
    pub versioned_edits: bool,
    /// It asks for an action's edits when the action is chosen.
    pub resolves_edits: bool,
    /// It shows actions that cannot be made, and why.
    pub shows_refusals: bool,
    /// It asks for what else there is to say of a hint when that is wanted.
    pub resolves_hints: bool,
    /// It asks again for hints when it is told to.
    pub refreshes_hints: bool,
    /// It asks again for lenses when it is told to.
    pub refreshes_lenses: bool,
    /// It makes edits that it is asked to make.
    pub applies_edits: bool,
    /// It says its user's settings when asked.
    pub says_settings: bool,
    /// It tells when its user's settings change, if asked to.
    pub watches_settings: bool,
    /// It asks for findings when it wants to show them, and is not sent any.
    pub pulls: bool,
    /// It asks for findings again when told that they are others.
    pub pulls_again: bool,
    /// It shows how far something has come.
    pub shows_progress: bool,
    /// It tells of files that change, if asked to.
    pub watches_files: bool,
    /// It shows where a link that leads to a definition begins.
    pub linked_definitions: bool,
    /// It asks what would be renamed before it asks for the new name.
    pub prepares_rename: bool,
    /// It folds whole lines only.
    pub folds_lines: bool,
    /// How many folds it wants at most.
    pub most_folds: Option<usize>,
    /// It shows what a link is for.
    pub link_tooltips: bool,
    /// What it calls the words of a text.
    pub legend: Legend,
    /// It leads through the holes of a text that is put in.
    pub snippets: bool,
    /// It asks for what there is to read about a completion when it shows it.
    pub resolves_documentation: bool,
    /// It shows what there is to read about a completion as Markdown.
    pub markdown_items: bool,
}

impl Features {
    /// What a client with `capabilities` can do.
    pub fn new(capabilities: &ClientCapabilities) -> Self {
        let general = capabilities.general.as_ref();
        let text = capabilities.text_document.as_ref();
        let workspace = capabilities.workspace.as_ref();
        let offered = general.and_then(|general| general.position_encodings.as_deref());
        let diagnostics = text.and_then(|text| text.publish_diagnostics.as_ref());
        let hover = text.and_then(|text| text.hover.as_ref()?.content_format.as_deref());
        let symbols = text.and_then(|text| text.document_symbol.as_ref());
        let edits = workspace.and_then(|workspace| workspace.workspace_edit.as_ref());
        let actions = text.and_then(|text| text.code_action.as_ref());
        let resolves = actions.and_then(|has| has.resolve_support.as_ref());
        let keeps_data = actions.and_then(|has| has.data_support) == Some(true);
        let definition = text.and_then(|text| text.definition.as_ref());
        let rename = text.and_then(|text| text.rename.as_ref());
        let folding = text.and_then(|text| text.folding_range.as_ref());
        let links = text.and_then(|text| text.document_link.as_ref());
        let tokens = text.and_then(|text| text.semantic_tokens.as_ref());
        let hints = text.and_then(|text| text.inlay_hint.as_ref()?.resolve_support.as_ref());
        let of_hint = |name: &str| hints.is_some_and(|has| has.properties.iter().any(|it| it == name));
        let hints_again = workspace.and_then(|workspace| workspace.inlay_hint.as_ref());
        let lenses_again = workspace.and_then(|workspace| workspace.code_lens.as_ref());
        let settings = workspace.and_then(|workspace| workspace.did_change_configuration.as_ref());
        let pulling = workspace.and_then(|workspace| workspace.diagnostic.as_ref());
        let window = capabilities.window.as_ref();
        let watching = workspace.and_then(|workspace| workspace.did_change_watched_files.as_ref());
        let items = text.and_then(|text| text.completion.as_ref()?.completion_item.as_ref());
        let late = items.and_then(|has| has.resolve_support.as_ref());
        let read = items.and_then(|has| has.documentation_format.as_deref());
        Self {
            encoding: Encoding::choose(offered.unwrap_or_default()),
            related_places: diagnostics.and_then(|has| has.related_information) == Some(true),
            markdown: hover.is_some_and(|formats| formats.contains(&MarkupKind::Markdown)),
            nested_symbols: symbols.and_then(|has| has.hierarchical_document_symbol_support) == Some(true),
            versioned_edits: edits.and_then(|has| has.document_changes) == Some(true),
            resolves_edits: keeps_data
                && resolves.is_some_and(|has| has.properties.iter().any(|it| it == "edit")),
            shows_refusals: actions.and_then(|has| has.disabled_support) == Some(true),
            resolves_hints: of_hint("tooltip") && of_hint("label.location"),
            refreshes_hints: hints_again.and_then(|has| has.refresh_support) == Some(true),
            refreshes_lenses: lenses_again.and_then(|has| has.refresh_support) == Some(true),
            applies_edits: workspace.and_then(|workspace| workspace.apply_edit) == Some(true),
            says_settings: workspace.and_then(|workspace| workspace.configuration) == Some(true),
            watches_settings: settings.and_then(|has| has.dynamic_registration) == Some(true),
            pulls: text.is_some_and(|text| text.diagnostic.is_some()),
            pulls_again: pulling.and_then(|has| has.refresh_support) == Some(true),
            shows_progress: window.and_then(|has| has.work_done_progress) == Some(true),
            watches_files: watching.and_then(|has| has.dynamic_registration) == Some(true),
            linked_definitions: definition.and_then(|has| has.link_support) == Some(true),
            prepares_rename: rename.and_then(|has| has.prepare_support) == Some(true),
            folds_lines: folding.and_then(|has| has.line_folding_only) == Some(true),
            most_folds: folding.and_then(|has| has.range_limit).map(|limit| limit as usize),
            link_tooltips: links.and_then(|has| has.tooltip_support) == Some(true),
            legend: tokens.map(Legend::new).unwrap_or_default(),
            snippets: items.and_then(|has| has.snippet_support) == Some(true),
            resolves_documentation: late
                .is_some_and(|has| has.properties.iter().any(|it| it == "documentation")),
            markdown_items: read.is_some_and(|formats| formats.contains(&MarkupKind::Markdown)),
        }
    }
}
