//! Colours by what they are for, for light and dark. Contrast of text is at
//! least 4.5 to 1, of lines and marks 3 to 1 (WCAG 2.2, 1.4.3 and 1.4.11).

/// A colour: its name in the style sheet, in light, in dark.
pub struct Colour {
    /// Name in the style sheet.
    pub name: &'static str,
    /// On a light page, and on paper.
    pub light: &'static str,
    /// On a dark page.
    pub dark: &'static str,
}

const fn colour(name: &'static str, light: &'static str, dark: &'static str) -> Colour {
    Colour { name, light, dark }
}

/// Grounds that text stands on.
pub const GROUNDS: [Colour; 3] = [
    colour("page", "#ffffff", "#15181c"),
    colour("raised", "#f2f4f6", "#20252b"),
    colour("tint", "#fdebd3", "#46300f"),
];

/// Inks of text and marks; each can stand on any ground.
pub const INKS: [Colour; 4] = [
    colour("ink", "#16191d", "#eceff2"),
    colour("quiet", "#4a535d", "#b4bdc7"),
    colour("good", "#0b5e3c", "#74d6a4"),
    colour("bad", "#9c1f14", "#ffaa9c"),
];

/// Lines and fills that no text stands on.
pub const LINES: [Colour; 2] = [colour("line", "#c3cad1", "#47505a"), colour("band", "#4a7fb5", "#6f9fd0")];

#[cfg(test)]
mod tests {
    use super::*;

    /// Contrast of two colours, WCAG 2.2 "contrast ratio" and "relative luminance".
    fn contrast(a: &str, b: &str) -> f64 {
        let luminance = |text: &str| {
            let channel = |at: usize| {
                let value = f64::from(u8::from_str_radix(&text[at..at + 2], 16).expect("hex")) / 255.0;
                if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn black_on_white_is_21_to_1() {
        assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
    }

    #[test]
    fn text_can_be_read_on_every_ground() {
        for ground in &GROUNDS {
            for ink in &INKS {
                let (light, dark) = (contrast(ink.light, ground.light), contrast(ink.dark, ground.dark));
                assert!(light >= 4.5, "{} on {}: {light:.2}", ink.name, ground.name);
                assert!(dark >= 4.5, "{} on {}, dark: {dark:.2}", ink.name, ground.name);
            }
        }
    }

    #[test]
    fn the_expected_band_stands_out_from_the_page() {
        let (page, band) = (&GROUNDS[0], &LINES[1]);
        assert!(contrast(page.light, band.light) >= 3.0 && contrast(page.dark, band.dark) >= 3.0);
    }
}
