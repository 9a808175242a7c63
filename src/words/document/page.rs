//! One HTML page that needs nothing else: no network, no script. Reads on a
//! phone, in light and dark, and prints on A4.

use super::blocks::{Block, Cell, Document, Figure, Layout, Table, Tone};
use super::markup::{Element, element};
use super::palette::{Colour, GROUNDS, INKS, LINES};

/// What every page carries near its start; tells ours from another's.
pub const MARK: &str = "<meta name=\"generator\" content=\"halfsplit report\"/>";
/// Layout: a cell of so many letters is not broken, so that values stay in one
/// piece.
const ON_ONE_LINE: usize = 22;
/// Layout: columns that a phone has room for side by side.
const WIDE: usize = 2;

/// The document as a page.
pub fn written(document: &Document) -> String {
    let head = element("head")
        .hold(element("meta").with("charset", "utf-8"))
        .hold(element("meta").with("name", "generator").with("content", "halfsplit report"))
        .hold(element("meta").with("name", "viewport").with("content", "width=device-width, initial-scale=1"))
        .hold(element("meta").with("name", "color-scheme").with("content", "light dark"))
        .hold(element("title").text(&document.title))
        .style(style_sheet());
    let mut figures = 0;
    let blocks = document.blocks.iter().map(|of| {
        figures += usize::from(matches!(of, Block::Figure(_)));
        block(of, figures)
    });
    let main = element("main").hold(element("h1").text(&document.title)).hold_all(blocks);
    let body = match document.layout {
        Layout::Roomy => element("body"),
        Layout::Dense => element("body").with("class", "dense"),
    };
    let page = element("html").with("lang", "en").with("xmlns", "http://www.w3.org/1999/xhtml");
    let mut out = "<!DOCTYPE html>\n".to_string();
    page.hold(head).hold(body.hold(main)).write(&mut out);
    debug_assert!(out.contains(MARK));
    out
}

fn style_sheet() -> String {
    let values = |pick: fn(&Colour) -> &str| {
        let colours = GROUNDS.iter().chain(&INKS).chain(&LINES);
        colours.map(|colour| format!("--{}: {};", colour.name, pick(colour))).collect::<Vec<_>>().join(" ")
    };
    let classes = GROUNDS.iter().chain(&INKS).chain(&LINES).map(|colour| {
        let name = colour.name;
        format!("svg .fill-{name} {{ fill: var(--{name}); }}\nsvg .stroke-{name} {{ stroke: var(--{name}); }}\n")
    });
    format!(
        ":root {{ color-scheme: light dark; {} }}\n@media screen and (prefers-color-scheme: dark) {{ :root {{ {} }} }}\n{}{}",
        values(|colour| colour.light),
        values(|colour| colour.dark),
        classes.collect::<String>(),
        include_str!("page.css")
    )
}

fn block(block: &Block, figures: usize) -> Element {
    match block {
        Block::Heading(text) => element("h2").text(text),
        Block::Paragraph(text) | Block::Detail(text) => element("p").text(text),
        Block::Lead(text) => element("p").hold(element("strong").text(text)),
        Block::Strip(pieces) => {
            element("p").text(&pieces.iter().map(|piece| piece.text.as_str()).collect::<Vec<_>>().join(" "))
        }
        Block::Verbatim(text) => element("pre").text(text),
        Block::Terms(terms) => list(terms.iter().map(|(word, means)| format!("{word}: {means}"))),
        Block::Bars(of) => list(of.rows.iter().map(|row| format!("{}: {}", row.name, row.remark))),
        Block::Caution(text) => element("p").with("class", "caution").text(text),
        Block::List(items) => list(items.iter().cloned()),
        Block::Steps(steps) => element("ol")
            .hold_all(steps.iter().map(|(text, under)| element("li").text(text).hold(list(under.iter().cloned())))),
        Block::Table(of) => table(of),
        Block::Figure(of) => figure(of, figures),
    }
}

fn list(items: impl Iterator<Item = String>) -> Element {
    element("ul").hold_all(items.map(|item| element("li").text(&item)))
}

/// A wide table scrolls in a box of its own, by keys too, so that the page need
/// not; on a phone each row of it becomes a few lines, every cell with the head
/// of its column.
fn table(table: &Table) -> Element {
    let is_wide = table.columns.len() > WIDE;
    let head =
        element("tr").hold_all(table.columns.iter().map(|column| element("th").with("scope", "col").text(column)));
    let rows = table.rows.iter().map(|cells| {
        let head = cells.iter().take(1).map(|cell| element("th").with("scope", "row").text(&cell.text));
        let cells = head.chain(cells.iter().skip(1).map(cell)).zip(&table.columns);
        let labelled = |(cell, column): (Element, &String)| if is_wide { cell.with("data-head", column) } else { cell };
        element("tr").hold_all(cells.map(labelled))
    });
    let caption = Some(&table.caption).filter(|caption| !caption.is_empty());
    let grid = element("table")
        .hold_all(caption.map(|caption| element("caption").text(caption)))
        .hold(element("thead").hold(head))
        .hold(element("tbody").hold_all(rows));
    let scroll = element("div").with("class", if is_wide { "scroll wide" } else { "scroll" }).with("tabindex", 0);
    // A region without a name is none.
    match caption {
        Some(caption) => scroll.with("role", "region").with("aria-label", caption).hold(grid),
        None => scroll.hold(grid),
    }
}

fn cell(cell: &Cell) -> Element {
    let data = element("td");
    match cell.tone {
        Tone::Plain if cell.text.chars().count() > ON_ONE_LINE => data.with("class", "long"),
        Tone::Plain | Tone::Open => data,
        Tone::Good => data.with("class", "good"),
        Tone::Bad => data.with("class", "bad"),
        Tone::ToFillIn => data.with("class", "fill-in"),
    }
    .text(&cell.text)
}

fn figure(figure: &Figure, number: usize) -> Element {
    let drawings = figure.panels.iter().enumerate().map(|(index, panel)| {
        let id = format!("figure-{number}-{}", index + 1);
        panel.drawing.svg(&id, &panel.title, &panel.description)
    });
    element("figure")
        .hold(element("figcaption").text(&figure.caption))
        .hold(element("p").text(&figure.legend))
        .hold(element("div").with("class", "panels").hold_all(drawings))
}
