//! Elements of HTML and SVG. Text and attributes are escaped here and nowhere
//! else; what comes out is well-formed XML too.

use super::plain::tidy;

/// An element or text.
#[derive(Debug, Clone, PartialEq)]
pub enum MarkupNode {
    /// Text, shown as it is.
    Text(String),
    /// Text of a style sheet, which HTML reads without escapes.
    Style(String),
    /// An element.
    Element(Element),
}

/// A name, attributes, and what is inside.
#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    name: &'static str,
    attributes: Vec<(&'static str, String)>,
    inside: Vec<MarkupNode>,
}

/// An empty element.
pub fn element(name: &'static str) -> Element {
    Element { name, attributes: Vec::new(), inside: Vec::new() }
}

impl Element {
    /// With an attribute.
    pub fn with(mut self, attribute: &'static str, value: impl ToString) -> Self {
        self.attributes.push((attribute, value.to_string()));
        self
    }

    /// With text inside.
    pub fn text(mut self, text: &str) -> Self {
        self.inside.push(MarkupNode::Text(text.to_string()));
        self
    }

    /// With an element inside.
    pub fn hold(mut self, inside: Self) -> Self {
        self.inside.push(MarkupNode::Element(inside));
        self
    }

    /// With elements inside.
    pub fn hold_all(mut self, inside: impl IntoIterator<Item = Self>) -> Self {
        self.inside.extend(inside.into_iter().map(MarkupNode::Element));
        self
    }

    /// With a style sheet inside; it must hold none of `<`, `>` and `&`.
    pub fn style(mut self, sheet: String) -> Self {
        self.inside.push(MarkupNode::Style(sheet));
        self
    }

    /// Writes it out. Blocks start lines, so that two reports can be compared.
    pub fn write(&self, out: &mut String) {
        out.push('<');
        out.push_str(self.name);
        for (attribute, value) in &self.attributes {
            out.push_str(&format!(" {attribute}=\"{}\"", escaped(value).replace('"', "&quot;")));
        }
        // Elements that HTML knows to be empty.
        if matches!(self.name, "meta" | "line" | "rect" | "circle" | "path" | "polygon") {
            out.push_str("/>\n");
            return;
        }
        out.push('>');
        for node in &self.inside {
            match node {
                MarkupNode::Text(text) => out.push_str(&escaped(text)),
                MarkupNode::Style(sheet) => out.push_str(&format!("<style>\n{sheet}</style>\n")),
                MarkupNode::Element(element) => element.write(out),
            }
        }
        out.push_str(&format!("</{}>", self.name));
        if !matches!(self.name, "strong" | "span" | "tspan") {
            out.push('\n');
        }
    }
}

fn escaped(text: &str) -> String {
    tidy(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::element;

    #[test]
    fn text_and_attributes_are_escaped() {
        let mut out = String::new();
        element("p").with("title", "a \"b\" & <c>").text("<script>&\u{1b}[0m").write(&mut out);
        assert_eq!(out, "<p title=\"a &quot;b&quot; &amp; &lt;c&gt;\">&lt;script&gt;&amp; [0m</p>\n");
    }
}
