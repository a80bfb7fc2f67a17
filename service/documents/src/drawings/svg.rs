//! A writer for the few SVG shapes that the drawings are made of. Lengths are millimetres on paper.
//!
//! Figures are written to a hundredth of a millimetre, so that the same drawing has the same bytes. Every text is
//! escaped here and nowhere else; there are no scripts, no styles and no references to anything outside the file.

pub(super) use super::geometry::{Area, At, at};
use super::lettering::{self, Face};
use crate::words::clean;

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stroke {
    pub(super) colour: &'static str,
    pub(super) width: f64,
    /// Lengths of stroke and gap in millimetres; empty for an unbroken line.
    pub(super) dash: &'static str,
}

/// What the pens are called on a drawing board: thin for leaders and dimensions, medium for outlines, thick for what
/// the drawing is about.
pub(super) const THIN: Stroke = Stroke { colour: "#000000", width: 0.18, dash: "" };
pub(super) const MEDIUM: Stroke = Stroke { colour: "#000000", width: 0.35, dash: "" };
pub(super) const THICK: Stroke = Stroke { colour: "#000000", width: 0.7, dash: "" };
pub(super) const GREY: Stroke = Stroke { colour: "#8a8a8a", width: 0.18, dash: "" };
/// The line round what stands in one enclosure.
pub(super) const ENCLOSURE: Stroke = Stroke { colour: "#000000", width: 0.25, dash: "4 1 0.6 1" };

/// Where a text stands against its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Align {
    Start,
    Middle,
    End,
}

/// A line of text; its place is on the base line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Text<'a> {
    pub(super) place: At,
    pub(super) size: f64,
    pub(super) align: Align,
    pub(super) face: Face,
    pub(super) colour: &'static str,
    /// A white edge, so that lines behind the text do not make it unreadable.
    pub(super) edged: bool,
    pub(super) text: &'a str,
}

impl<'a> Text<'a> {
    pub(super) fn new(place: At, size: f64, text: &'a str) -> Self {
        Self { place, size, align: Align::Start, face: Face::Plain, colour: "#000000", edged: false, text }
    }

    pub(super) fn bold(self) -> Self {
        Self { face: Face::Bold, ..self }
    }

    pub(super) fn middle(self) -> Self {
        Self { align: Align::Middle, ..self }
    }

    pub(super) fn end(self) -> Self {
        Self { align: Align::End, ..self }
    }

    pub(super) fn edged(self) -> Self {
        Self { edged: true, ..self }
    }

    pub(super) fn coloured(self, colour: &'static str) -> Self {
        Self { colour, ..self }
    }

    /// The room that it takes.
    pub(super) fn area(&self) -> Area {
        let width = lettering::width(self.text, self.size, self.face);
        let left = match self.align {
            Align::Start => self.place.x,
            Align::Middle => self.place.x - width / 2.0,
            Align::End => self.place.x - width,
        };
        Area {
            left,
            top: self.place.y - self.size * lettering::ASCENT,
            width,
            height: self.size * (lettering::ASCENT + lettering::DESCENT),
        }
    }
}

/// A drawing while it is made. It remembers how far it reaches, so that the sheet is cut to it.
#[derive(Debug, Default)]
pub(super) struct Svg {
    body: String,
    open: usize,
    lettered: Vec<Area>,
}

impl Svg {
    pub(super) fn line(&mut self, from: At, to: At, stroke: Stroke) {
        self.body.push_str("<line");
        self.figure("x1", from.x);
        self.figure("y1", from.y);
        self.figure("x2", to.x);
        self.figure("y2", to.y);
        self.stroke(stroke);
        self.body.push_str("/>\n");
    }

    /// A line with corners.
    pub(super) fn polyline(&mut self, places: &[At], stroke: Stroke) {
        self.corners("<polyline", places);
        self.body.push_str(" fill=\"none\"");
        self.stroke(stroke);
        self.body.push_str(" stroke-linejoin=\"round\"/>\n");
    }

    pub(super) fn polygon(&mut self, places: &[At], fill: &str, stroke: Stroke) {
        self.corners("<polygon", places);
        self.attribute("fill", fill);
        self.stroke(stroke);
        self.body.push_str(" stroke-linejoin=\"miter\"/>\n");
    }

    pub(super) fn rectangle(&mut self, area: Area, fill: &str, stroke: Stroke) {
        self.body.push_str("<rect");
        self.figure("x", area.left);
        self.figure("y", area.top);
        self.figure("width", area.width);
        self.figure("height", area.height);
        self.attribute("fill", fill);
        self.stroke(stroke);
        self.body.push_str("/>\n");
    }

    pub(super) fn circle(&mut self, middle: At, radius: f64, fill: &str, stroke: Stroke) {
        self.body.push_str("<circle");
        self.figure("cx", middle.x);
        self.figure("cy", middle.y);
        self.figure("r", radius);
        self.attribute("fill", fill);
        self.stroke(stroke);
        self.body.push_str("/>\n");
    }

    pub(super) fn ellipse(&mut self, middle: At, (across, down): (f64, f64), stroke: Stroke) {
        self.body.push_str("<ellipse");
        self.figure("cx", middle.x);
        self.figure("cy", middle.y);
        self.figure("rx", across);
        self.figure("ry", down);
        self.attribute("fill", "none");
        self.stroke(stroke);
        self.body.push_str("/>\n");
    }

    /// Half a circle round `middle`, open towards larger y, its ends on the middle's own line.
    pub(super) fn half_circle(&mut self, middle: At, radius: f64, fill: &str, stroke: Stroke) {
        self.body.push_str("<path d=\"M");
        number(&mut self.body, middle.x - radius);
        self.body.push(' ');
        number(&mut self.body, middle.y);
        self.body.push('A');
        for figure in [radius, radius] {
            number(&mut self.body, figure);
            self.body.push(' ');
        }
        self.body.push_str("0 0 1 ");
        number(&mut self.body, middle.x + radius);
        self.body.push(' ');
        number(&mut self.body, middle.y);
        self.body.push('"');
        self.attribute("fill", fill);
        self.stroke(stroke);
        self.body.push_str("/>\n");
    }

    pub(super) fn text(&mut self, text: Text<'_>) {
        if text.text.trim().is_empty() {
            return;
        }
        self.lettered.push(text.area());
        self.body.push_str("<text");
        self.figure("x", text.place.x);
        self.figure("y", text.place.y);
        self.figure("font-size", text.size);
        match text.align {
            Align::Start => {}
            Align::Middle => self.attribute("text-anchor", "middle"),
            Align::End => self.attribute("text-anchor", "end"),
        }
        if text.face == Face::Bold {
            self.attribute("font-weight", "bold");
        }
        if text.colour != "#000000" {
            self.attribute("fill", text.colour);
        }
        if text.edged {
            self.attribute("paint-order", "stroke");
            self.attribute("stroke", "#ffffff");
            self.figure("stroke-width", 0.5);
        }
        self.body.push('>');
        escape(&mut self.body, text.text);
        self.body.push_str("</text>\n");
    }

    /// Begins a group that says in its attributes what it shows.
    pub(super) fn open(&mut self, attributes: &[(&str, &str)]) {
        self.body.push_str("<g");
        for (name, value) in attributes {
            self.attribute(name, value);
        }
        self.body.push_str(">\n");
        self.open += 1;
    }

    /// Begins a group whose origin is there, turned by quarters of a circle.
    pub(super) fn open_at(&mut self, place: At, quarters: u8) {
        self.body.push_str("<g transform=\"translate(");
        number(&mut self.body, place.x);
        self.body.push(' ');
        number(&mut self.body, place.y);
        self.body.push(')');
        match quarters % 4 {
            1 => self.body.push_str(" rotate(90)"),
            2 => self.body.push_str(" rotate(180)"),
            3 => self.body.push_str(" rotate(270)"),
            _ => {}
        }
        self.body.push_str("\">\n");
        self.open += 1;
    }

    pub(super) fn close(&mut self) {
        debug_assert!(self.open > 0, "no group is open");
        self.open = self.open.saturating_sub(1);
        self.body.push_str("</g>\n");
    }

    /// What a reader is told who rests on the thing, or hears the drawing read.
    pub(super) fn note(&mut self, text: &str) {
        self.body.push_str("<title>");
        escape(&mut self.body, text);
        self.body.push_str("</title>\n");
    }

    /// Where texts stand.
    #[cfg(test)]
    pub(super) fn lettered(&self) -> &[Area] {
        &self.lettered
    }

    /// The whole file, on a sheet of that size.
    pub(super) fn finish(self, width: f64, height: f64, title: &str, description: &str) -> String {
        debug_assert_eq!(self.open, 0, "a group was left open");
        let mut file = String::with_capacity(self.body.len() + 1_000);
        file.push_str("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"");
        number(&mut file, width);
        file.push_str("mm\" height=\"");
        number(&mut file, height);
        file.push_str("mm\" viewBox=\"0 0 ");
        number(&mut file, width);
        file.push(' ');
        number(&mut file, height);
        file.push_str("\" font-family=\"Arial, Helvetica, sans-serif\" role=\"img\">\n<title>");
        escape(&mut file, title);
        file.push_str("</title>\n<desc>");
        escape(&mut file, description);
        file.push_str("</desc>\n<rect x=\"0\" y=\"0\" width=\"");
        number(&mut file, width);
        file.push_str("\" height=\"");
        number(&mut file, height);
        file.push_str("\" fill=\"#ffffff\"/>\n");
        file.push_str(&self.body);
        file.push_str("</svg>\n");
        file
    }

    fn corners(&mut self, element: &str, places: &[At]) {
        self.body.push_str(element);
        self.body.push_str(" points=\"");
        for (index, place) in places.iter().enumerate() {
            if index > 0 {
                self.body.push(' ');
            }
            number(&mut self.body, place.x);
            self.body.push(',');
            number(&mut self.body, place.y);
        }
        self.body.push('"');
    }

    fn stroke(&mut self, stroke: Stroke) {
        self.attribute("stroke", stroke.colour);
        self.figure("stroke-width", stroke.width);
        if !stroke.dash.is_empty() {
            self.attribute("stroke-dasharray", stroke.dash);
        }
    }

    fn figure(&mut self, name: &str, figure: f64) {
        self.body.push(' ');
        self.body.push_str(name);
        self.body.push_str("=\"");
        number(&mut self.body, figure);
        self.body.push('"');
    }

    fn attribute(&mut self, name: &str, value: &str) {
        self.body.push(' ');
        self.body.push_str(name);
        self.body.push_str("=\"");
        escape(&mut self.body, value);
        self.body.push('"');
    }
}

/// To a hundredth, without needless noughts, never as minus nought.
fn number(out: &mut String, figure: f64) {
    // A sheet of some metres is far below what the integer holds; what is no number becomes nought.
    let hundredths = (figure * 100.0).round() as i64;
    if hundredths < 0 {
        out.push('-');
    }
    let (whole, rest) = (hundredths.unsigned_abs() / 100, hundredths.unsigned_abs() % 100);
    out.push_str(&whole.to_string());
    if rest > 0 {
        out.push('.');
        out.push(char::from(b'0' + (rest / 10) as u8));
        if !rest.is_multiple_of(10) {
            out.push(char::from(b'0' + (rest % 10) as u8));
        }
    }
}

/// Text as it may stand in XML: the five marks escaped, and what XML cannot hold left out.
fn escape(out: &mut String, text: &str) {
    for character in clean(text).chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&apos;"),
            // Not characters, and not allowed in XML 1.0.
            '\u{fffe}' | '\u{ffff}' => out.push(' '),
            other => out.push(other),
        }
    }
}

/// What a viewer makes of a drawing of 100 by 100 mm: the area of each of its shapes in millimetres, the paper left out.
#[cfg(test)]
pub(super) fn shapes(svg: Svg) -> Vec<Area> {
    fn gather(group: &usvg::Group, scale: f64, areas: &mut Vec<Area>) {
        for node in group.children() {
            match node {
                usvg::Node::Group(group) => gather(group, scale, areas),
                node => {
                    let reach = node.abs_stroke_bounding_box();
                    let mm = |pixels: f32| f64::from(pixels) * scale;
                    areas.push(Area {
                        left: mm(reach.left()),
                        top: mm(reach.top()),
                        width: mm(reach.width()),
                        height: mm(reach.height()),
                    });
                }
            }
        }
    }
    let file = svg.finish(100.0, 100.0, "", "");
    let tree = usvg::Tree::from_str(&file, &usvg::Options::default()).expect("a drawing");
    let mut areas = Vec::new();
    gather(tree.root(), 100.0 / f64::from(tree.size().width()), &mut areas);
    areas.split_off(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(figure: f64) -> String {
        let mut out = String::new();
        number(&mut out, figure);
        out
    }

    #[test]
    fn a_figure_is_written_to_a_hundredth_and_no_longer_than_needed() {
        assert_eq!(written(12.0), "12");
        assert_eq!(written(12.5), "12.5");
        assert_eq!(written(12.345), "12.35");
        assert_eq!(written(0.05), "0.05");
        assert_eq!(written(-0.001), "0");
        assert_eq!(written(-3.25), "-3.25");
        assert_eq!(written(f64::NAN), "0");
    }

    #[test]
    fn no_text_can_end_its_element_or_bring_one_in() {
        let mut svg = Svg::default();
        svg.open(&[("data-room", "\"><script>")]);
        svg.text(Text::new(at(1.0, 2.0), 2.5, "<script>&'\"\u{1b}\u{ffff}\u{202e}"));
        svg.close();

        let file = svg.finish(10.0, 10.0, "</title>", "]]>");
        let read = roxmltree::Document::parse(&file).expect("right XML");

        assert!(read.descendants().all(|node| node.tag_name().name() != "script"), "{file}");
        let text = read.descendants().find(|node| node.tag_name().name() == "text").expect("the text");
        assert_eq!(text.text(), Some("<script>&'\"   "));
    }
}
