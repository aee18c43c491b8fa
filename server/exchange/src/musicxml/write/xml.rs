//! Elements as text.

/// An XML text as it grows, two blanks deeper for each open element.
#[derive(Debug, Default)]
pub struct Xml {
    text: String,
    depth: usize,
}

/// Attributes with their values.
pub type Attributes<'a> = [(&'a str, &'a str)];

impl Xml {
    /// A text that has declared what it is.
    pub fn new() -> Self {
        Self { text: "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".to_owned(), depth: 0 }
    }

    /// The text.
    pub fn finish(self) -> String {
        self.text
    }

    /// The element `name` around what `inside` writes.
    pub fn around(&mut self, name: &str, attributes: &Attributes<'_>, inside: impl FnOnce(&mut Self)) {
        self.begin(name, attributes);
        self.text.push_str(">\n");
        self.depth += 1;
        inside(self);
        self.depth -= 1;
        self.indent();
        self.text.push_str(&format!("</{name}>\n"));
    }

    /// The element `name` that holds `text`.
    pub fn leaf(&mut self, name: &str, attributes: &Attributes<'_>, text: &str) {
        self.begin(name, attributes);
        self.text.push('>');
        escape(text, &mut self.text);
        self.text.push_str(&format!("</{name}>\n"));
    }

    /// The element `name` that holds a number.
    pub fn number(&mut self, name: &str, number: impl Into<i64>) {
        self.leaf(name, &[], &number.into().to_string());
    }

    /// The element `name` that holds nothing.
    pub fn mark(&mut self, name: &str, attributes: &Attributes<'_>) {
        self.begin(name, attributes);
        self.text.push_str("/>\n");
    }

    fn begin(&mut self, name: &str, attributes: &Attributes<'_>) {
        self.indent();
        self.text.push('<');
        self.text.push_str(name);
        for (name, value) in attributes {
            self.text.push_str(&format!(" {name}=\""));
            escape(value, &mut self.text);
            self.text.push('"');
        }
    }

    fn indent(&mut self) {
        self.text.extend(std::iter::repeat_n("  ", self.depth));
    }
}

/// Adds `text` with what XML takes for its own in other words. Characters that XML 1.0 cannot hold at all
/// become blanks.
fn escape(text: &str, into: &mut String) {
    for letter in text.chars() {
        match letter {
            '&' => into.push_str("&amp;"),
            '<' => into.push_str("&lt;"),
            '>' => into.push_str("&gt;"),
            '"' => into.push_str("&quot;"),
            '\t' | '\n' | '\r' | ' '.. if !matches!(letter, '\u{FFFE}' | '\u{FFFF}') => into.push(letter),
            _ => into.push(' '),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_xml_takes_for_its_own_is_escaped() {
        let mut xml = Xml::new();
        xml.around("a", &[("b", "\"<\"")], |xml| {
            xml.leaf("c", &[], "Tom & Ann <\u{7}>");
            xml.mark("d", &[]);
        });
        let text = xml.finish();
        assert_eq!(
            text.lines().skip(1).collect::<Vec<_>>(),
            ["<a b=\"&quot;&lt;&quot;\">", "  <c>Tom &amp; Ann &lt; &gt;</c>", "  <d/>", "</a>"]
        );
        assert!(roxmltree::Document::parse(&text).is_ok());
    }
}
