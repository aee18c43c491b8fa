//! What words of the notation are called as semantic tokens.
//!
//! Each has a name of our own, for clients that announce it, and standard ones for those that do not. What a
//! client has not announced it is not told.

use lope_desk::{Paint, PaintKind};
use tower_lsp::lsp_types::{
    SemanticTokenModifier, SemanticTokenType, SemanticTokensClientCapabilities, SemanticTokensFullOptions,
    SemanticTokensLegend, SemanticTokensOptions, TokenFormat,
};

/// The names of token types and modifiers that the client knows, and what each word is by them.
#[derive(Clone, Debug, Default)]
pub struct Legend {
    types: Vec<SemanticTokenType>,
    modifiers: Vec<SemanticTokenModifier>,
    /// For each of [`PaintKind::ALL`]: its type and modifiers by their numbers; none where the client has no
    /// name that fits.
    looks: Vec<Option<Look>>,
    /// Whether the client asks for the tokens of a stretch.
    asks_range: bool,
    /// Whether the client asks for all tokens, and then for what has changed.
    asks_full: Option<SemanticTokensFullOptions>,
}

/// A token's type, by its number in the legend, and a set of its modifiers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// The type.
    pub kind: u32,
    /// The modifiers: a bit each.
    pub modifiers: u32,
}

/// The modifier of a name where it is given: a standard one.
const DECLARATION: &str = "declaration";

/// What `kind` is called, the name that says most first.
const fn type_names(kind: PaintKind) -> &'static [&'static str] {
    match kind {
        PaintKind::Field => &["field", "property", "variable"],
        PaintKind::Value => &["value", "string"],
        PaintKind::Heading => &["heading", "keyword"],
        PaintKind::Part => &["part", "class", "type"],
        PaintKind::Phrase => &["phrase", "function"],
        PaintKind::Count => &["count", "number"],
        // By standard names the hand that sounds a note shows in the type, by ours in a modifier.
        PaintKind::Strike => &["fret", "number"],
        PaintKind::Thumb => &["fret", "parameter", "variable"],
        PaintKind::Slur => &["fret", "method", "function"],
        PaintKind::Pitch => &["pitch", "number"],
        PaintKind::BarLine => &["barLine", "operator"],
        PaintKind::Hold => &["hold", "operator"],
        PaintKind::Rest => &["rest", "operator"],
        PaintKind::Again => &["again", "macro", "keyword"],
        PaintKind::Bracket => &["bracket", "operator"],
        PaintKind::Mark => &["mark", "decorator", "modifier"],
        PaintKind::Chord => &["chord", "type", "class"],
        PaintKind::Words => &["words", "string"],
        PaintKind::Comment => &["comment"],
        PaintKind::Keep => &["keep", "macro", "keyword"],
        PaintKind::Rule => &["rule", "enumMember", "property"],
    }
}

/// The modifier that says more of `kind`.
const fn modifier_name(kind: PaintKind) -> Option<&'static str> {
    match kind {
        PaintKind::Strike => Some("strike"),
        PaintKind::Thumb => Some("thumb"),
        PaintKind::Slur => Some("slur"),
        _ => None,
    }
}

impl Legend {
    /// The legend for a client that can do `has`.
    pub fn new(has: &SemanticTokensClientCapabilities) -> Self {
        if !has.formats.is_empty() && !has.formats.contains(&TokenFormat::RELATIVE) {
            return Self::default();
        }
        let mut legend = Self {
            asks_range: has.requests.range == Some(true),
            asks_full: has
                .requests
                .full
                .clone()
                .filter(|full| *full != SemanticTokensFullOptions::Bool(false)),
            ..Self::default()
        };
        legend.modifier(DECLARATION, has);
        for kind in PaintKind::ALL {
            let known = |name: &&&str| has.token_types.iter().any(|known| known.as_str() == **name);
            let name = type_names(kind).iter().find(known);
            let look = name.map(|name| Look {
                kind: number(&mut legend.types, &SemanticTokenType::new(name)),
                modifiers: modifier_name(kind).map_or(0, |name| legend.modifier(name, has)),
            });
            legend.looks.push(look);
        }
        legend
    }

    /// The set of the one modifier called `name`; the empty one where the client does not know it.
    fn modifier(&mut self, name: &'static str, has: &SemanticTokensClientCapabilities) -> u32 {
        let known = has.token_modifiers.iter().any(|known| known.as_str() == name);
        if known { 1 << number(&mut self.modifiers, &SemanticTokenModifier::new(name)) } else { 0 }
    }

    /// What a word is by this legend.
    pub fn look(&self, paint: Paint) -> Option<Look> {
        let look = self.looks.get(paint.kind as usize).copied().flatten()?;
        let is_given = paint.gives && self.modifiers.first().is_some_and(|it| it.as_str() == DECLARATION);
        Some(Look { modifiers: look.modifiers | u32::from(is_given), ..look })
    }

    /// What the server offers a client with this legend; nothing where it has no names or asks for nothing.
    pub fn offer(&self) -> Option<SemanticTokensOptions> {
        let asks = self.asks_range || self.asks_full.is_some();
        (asks && !self.types.is_empty()).then(|| SemanticTokensOptions {
            legend: SemanticTokensLegend {
                token_types: self.types.clone(),
                token_modifiers: self.modifiers.clone(),
            },
            range: Some(self.asks_range),
            full: self.asks_full.clone(),
            ..SemanticTokensOptions::default()
        })
    }
}

/// The place of `name` in `names`, where it is put if it is not there.
fn number<T: PartialEq + Clone>(names: &mut Vec<T>, name: &T) -> u32 {
    let place = names.iter().position(|known| known == name).unwrap_or_else(|| {
        names.push(name.clone());
        names.len() - 1
    });
    place as u32
}

#[cfg(test)]
mod tests {
    use lope_desk::Span;

    use super::*;

    fn legend(types: &[&'static str], modifiers: &[&'static str]) -> Legend {
        Legend::new(&SemanticTokensClientCapabilities {
            token_types: types.iter().map(|name| SemanticTokenType::new(name)).collect(),
            token_modifiers: modifiers.iter().map(|name| SemanticTokenModifier::new(name)).collect(),
            ..SemanticTokensClientCapabilities::default()
        })
    }

    /// The type and the modifiers of `kind` by their names.
    fn look(legend: &Legend, kind: PaintKind, gives: bool) -> String {
        let paint = Paint { span: Span::default(), kind, gives };
        let Some(look) = legend.look(paint) else { return String::new() };
        let names = (0..).zip(&legend.modifiers).filter(|(bit, _)| look.modifiers >> bit & 1 == 1);
        let names = names.map(|(_, name)| format!(".{}", name.as_str()));
        format!("{}{}", legend.types[look.kind as usize].as_str(), names.collect::<String>())
    }

    #[test]
    fn every_kind_has_its_own_place() {
        let places: Vec<usize> = PaintKind::ALL.iter().map(|kind| *kind as usize).collect();
        assert_eq!(places, (0..PaintKind::ALL.len()).collect::<Vec<_>>());
    }

    #[test]
    fn a_client_is_told_the_names_it_knows() {
        let standard = legend(&["number", "variable", "parameter", "method", "class"], &["declaration"]);
        assert_eq!(look(&standard, PaintKind::Strike, false), "number");
        assert_eq!(look(&standard, PaintKind::Thumb, false), "parameter");
        assert_eq!(look(&standard, PaintKind::Slur, false), "method");
        assert_eq!(look(&standard, PaintKind::Part, true), "class.declaration");
        assert_eq!(look(&standard, PaintKind::Words, false), "");
        let ours = legend(&["number", "fret", "part"], &["thumb", "slur"]);
        assert_eq!(look(&ours, PaintKind::Strike, false), "fret");
        assert_eq!(look(&ours, PaintKind::Thumb, false), "fret.thumb");
        assert_eq!(look(&ours, PaintKind::Part, true), "part");
    }

    #[test]
    fn a_client_that_knows_no_names_is_offered_nothing() {
        assert_eq!(legend(&["namespace"], &[]).offer(), None);
        assert_eq!(
            Legend::default().look(Paint { span: Span::default(), kind: PaintKind::Hold, gives: true }),
            None
        );
    }
}
