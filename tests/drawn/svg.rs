//! A reader of our drawings: what each says in words, and where its marks and lines lie.

/// One drawing.
pub(super) struct Svg {
    pub(super) class: String,
    /// What it says to who cannot see it.
    pub(super) words: String,
    pub(super) width: f64,
    pub(super) height: f64,
    tags: Vec<String>,
}

fn attribute<'t>(tag: &'t str, name: &str) -> Option<&'t str> {
    tag.split_once(&format!(" {name}=\""))?.1.split('"').next()
}

fn number(tag: &str, name: &str) -> f64 {
    attribute(tag, name).unwrap_or_else(|| panic!("no {name} in {tag}")).parse().unwrap()
}

/// Every drawing of a piece of a page.
pub(super) fn svgs(html: &str) -> Vec<Svg> {
    let one = |svg: &str| {
        let svg = svg.split_once("</svg>").unwrap().0;
        let mut tags = svg.split('<').map(str::to_owned);
        let head = tags.next().unwrap();
        let view: Vec<f64> =
            attribute(&head, "viewBox").unwrap().split(' ').map(|side| side.parse().unwrap()).collect();
        Svg {
            class: attribute(&head, "class").unwrap_or_default().to_owned(),
            words: attribute(&head, "aria-label").unwrap().replace("&quot;", "\"").replace("&amp;", "&"),
            width: view[2],
            height: view[3],
            tags: tags.filter(|tag| !tag.starts_with('/')).collect(),
        }
    };
    html.split("<svg").skip(1).map(one).collect()
}

impl Svg {
    fn lines(&self) -> impl Iterator<Item = (&str, [f64; 4])> {
        let lines = self.tags.iter().filter(|tag| tag.starts_with("line "));
        lines.map(|tag| (tag.as_str(), ["x1", "y1", "x2", "y2"].map(|end| number(tag, end))))
    }

    /// Every mark: where, and whether it is crossed.
    pub(super) fn marks(&self) -> Vec<((f64, f64), bool)> {
        let mut marks = Vec::new();
        let mut half = None;
        for tag in &self.tags {
            if tag.starts_with("circle ") {
                marks.push(((number(tag, "cx"), number(tag, "cy")), false));
            } else if tag.starts_with("path ") && attribute(tag, "d").unwrap().ends_with('z') {
                marks.push((middle(attribute(tag, "d").unwrap()), false));
            } else if tag.starts_with("line ") && tag.contains("stroke-width=\"2.5\"") {
                let at = (
                    (number(tag, "x1") + number(tag, "x2")) / 2.0,
                    (number(tag, "y1") + number(tag, "y2")) / 2.0,
                );
                // A cross is two lines.
                half = if half.take().is_some() {
                    None
                } else {
                    marks.push((at, true));
                    Some(at)
                };
            }
        }
        marks
    }

    /// A point of each full line across the drawing: its limits.
    pub(super) fn levels(&self) -> Vec<(f64, f64)> {
        let full = self
            .lines()
            .filter(|(tag, _)| tag.contains("stroke-width=\"1.5\"") && !tag.contains("dasharray"));
        full.map(|(_, [x, y, ..])| (x, y)).collect()
    }

    /// Every coordinate with its direction: true of x. Of circles, their edges.
    pub(super) fn reach(&self) -> Vec<(bool, f64)> {
        let mut all = Vec::new();
        for (_, [x1, y1, x2, y2]) in self.lines() {
            all.extend([(true, x1), (false, y1), (true, x2), (false, y2)]);
        }
        for tag in self.tags.iter().filter(|tag| tag.starts_with("circle ")) {
            let (x, y, r) = (number(tag, "cx"), number(tag, "cy"), number(tag, "r"));
            assert!(r > 0.0, "{tag}");
            all.extend([(true, x - r), (true, x + r), (false, y - r), (false, y + r)]);
        }
        for tag in self.tags.iter().filter(|tag| tag.starts_with("path ")) {
            let points = attribute(tag, "d").unwrap();
            for pair in
                points.trim_start_matches('M').trim_end_matches('z').split('L').filter(|p| !p.contains('H'))
            {
                let (x, y) = pair.split_once(' ').unwrap();
                all.extend([(true, x.parse().unwrap()), (false, y.parse().unwrap())]);
            }
        }
        all
    }
}

/// The middle of a square `M1.0 2.0H3.0V4.0H1.0z`.
fn middle(path: &str) -> (f64, f64) {
    let (left, rest) = path.trim_start_matches('M').split_once(' ').unwrap();
    let (top, rest) = rest.split_once('H').unwrap();
    let (right, rest) = rest.split_once('V').unwrap();
    let bottom = rest.split_once('H').unwrap().0;
    let half = |a: &str, b: &str| (a.parse::<f64>().unwrap() + b.parse::<f64>().unwrap()) / 2.0;
    (half(left, right), half(top, bottom))
}
