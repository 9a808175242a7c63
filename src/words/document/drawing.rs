//! A drawing: shapes with what they are for, before they become SVG.

use super::markup::{Element, element};

/// What a shape is drawn with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// Wires, marks, text.
    Plain,
    /// Text that stands back.
    Quiet,
    /// As it should be.
    Good,
    /// Not as it should be.
    Bad,
    /// Ground of the part in question.
    Tint,
    /// Expected band.
    Band,
    /// Grid.
    Line,
    /// Wire hidden behind a symbol.
    Page,
}

impl Ink {
    fn class(self) -> &'static str {
        match self {
            Self::Plain => "ink",
            Self::Quiet => "quiet",
            Self::Good => "good",
            Self::Bad => "bad",
            Self::Tint => "tint",
            Self::Band => "band",
            Self::Line => "line",
            Self::Page => "page",
        }
    }
}

/// Where text hangs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// It starts at its place.
    Start,
    /// It is centred on it.
    Middle,
    /// It ends there.
    End,
}

/// DrawingSize of text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DrawingSize {
    /// Names.
    Name,
    /// What stands under or beside them.
    Note,
}

/// One shape; lengths are CSS pixels.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A straight line.
    Line {
        /// From x, y.
        from: (f64, f64),
        /// To x, y.
        to: (f64, f64),
        /// Width of the stroke.
        width: f64,
        /// Ink.
        ink: Ink,
    },
    /// A filled rectangle.
    Block {
        /// Upper left corner.
        at: (f64, f64),
        /// Width and height.
        size: (f64, f64),
        /// Ink.
        ink: Ink,
    },
    /// The outline of a rectangle, filled with the page.
    Frame {
        /// Upper left corner.
        at: (f64, f64),
        /// Width and height.
        size: (f64, f64),
        /// Ink.
        ink: Ink,
    },
    /// A ring filled with the page, or a full disc.
    Round {
        /// Centre.
        at: (f64, f64),
        /// Radius.
        radius: f64,
        /// Ink.
        ink: Ink,
        /// Fill.
        fill: Ink,
    },
    /// A filled polygon.
    Polygon {
        /// Corners.
        corners: Vec<(f64, f64)>,
        /// Ink.
        ink: Ink,
    },
    /// Text.
    Text {
        /// Where it hangs.
        at: (f64, f64),
        anchor: Anchor,
        /// How big.
        size: DrawingSize,
        /// Ink.
        ink: Ink,
        text: String,
    },
}

/// Shapes in a frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Width, CSS pixels.
    pub width: f64,
    /// Height, CSS pixels.
    pub height: f64,
    /// What is in it, back to front.
    pub shapes: Vec<Shape>,
}

impl Drawing {
    /// As SVG, with its title and description; `id` must be the page's only one.
    pub fn svg(&self, id: &str, title: &str, description: &str) -> Element {
        let (title_id, description_id) = (format!("{id}-title"), format!("{id}-text"));
        element("svg")
            .with("xmlns", "http://www.w3.org/2000/svg")
            .with("viewBox", format!("0 0 {} {}", number(self.width), number(self.height)))
            .with("width", number(self.width))
            .with("height", number(self.height))
            .with("role", "img")
            .with("aria-labelledby", format!("{title_id} {description_id}"))
            .hold(element("title").with("id", &title_id).text(title))
            .hold(element("desc").with("id", &description_id).text(description))
            .hold_all(self.shapes.iter().map(shape))
    }
}

fn shape(shape: &Shape) -> Element {
    match shape {
        Shape::Line { from, to, width, ink } => element("line")
            .with("class", format!("stroke-{}", ink.class()))
            .with("x1", number(from.0))
            .with("y1", number(from.1))
            .with("x2", number(to.0))
            .with("y2", number(to.1))
            .with("stroke-width", number(*width)),
        Shape::Block { at, size, ink } => {
            rectangle(*at, *size).with("class", format!("fill-{}", ink.class())).with("rx", 2)
        }
        Shape::Frame { at, size, ink } => {
            rectangle(*at, *size).with("class", format!("fill-page stroke-{}", ink.class())).with("stroke-width", 1.5)
        }
        Shape::Round { at, radius, ink, fill } => element("circle")
            .with("class", format!("fill-{} stroke-{}", fill.class(), ink.class()))
            .with("cx", number(at.0))
            .with("cy", number(at.1))
            .with("r", number(*radius))
            .with("stroke-width", 1.5),
        Shape::Polygon { corners, ink } => {
            let corners: Vec<String> = corners.iter().map(|(x, y)| format!("{},{}", number(*x), number(*y))).collect();
            element("polygon").with("class", format!("fill-{}", ink.class())).with("points", corners.join(" "))
        }
        Shape::Text { at, anchor, size, ink, text } => {
            let anchor = match anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            };
            let size = match size {
                DrawingSize::Name => "name",
                DrawingSize::Note => "note",
            };
            element("text")
                .with("class", format!("{size} fill-{}", ink.class()))
                .with("x", number(at.0))
                .with("y", number(at.1))
                .with("text-anchor", anchor)
                .text(text)
        }
    }
}

fn rectangle(at: (f64, f64), size: (f64, f64)) -> Element {
    element("rect")
        .with("x", number(at.0))
        .with("y", number(at.1))
        .with("width", number(size.0))
        .with("height", number(size.1))
}

/// A tenth of a pixel is fine enough.
fn number(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map(str::to_string).unwrap_or(text)
}
