//! Each value drawn against its limits stands where `job --json` says it is.

use super::*;

/// What an SVG line or circle says of itself.
fn number(tag: &str, name: &str) -> f64 {
    let (_, rest) = tag.split_once(&format!(" {name}=\"")).unwrap_or_else(|| panic!("no {name} in {tag}"));
    rest.split('"').next().unwrap().parse().unwrap()
}

/// The two uprights of the limit, in points; the middle of the value; half the width of its uncertainty; crossed or full.
fn drawn(svg: &str) -> (Vec<f64>, f64, f64, bool) {
    let tags: Vec<&str> = svg.split('<').collect();
    let of =
        |pick: &dyn Fn(&str) -> bool| -> Vec<&str> { tags.iter().copied().filter(|tag| pick(tag)).collect() };
    let bounds = of(&|tag| tag.starts_with("line") && tag.contains("stroke-width=\"2\""));
    let bounds = bounds.iter().map(|tag| number(tag, "x1")).collect();
    let circles = of(&|tag| tag.starts_with("circle"));
    let crosses = of(&|tag| tag.contains("stroke-width=\"3\""));
    let value = match (circles.as_slice(), crosses.as_slice()) {
        ([circle], []) => number(circle, "cx"),
        ([], [one, _]) => f64::midpoint(number(one, "x1"), number(one, "x2")),
        _ => panic!("one mark: {svg}"),
    };
    let middle = of(&|tag| tag.starts_with("line") && tag.contains("y1=\"17\" y2=\"17\""));
    let [bar] = middle.as_slice() else { panic!("one bar: {svg}") };
    (bounds, value, (number(bar, "x2") - number(bar, "x1")) / 2.0, circles.is_empty())
}

#[test]
fn a_value_is_drawn_where_it_lies() {
    let mut shop = shop();
    let uneven = ["2.2488", "2.2486", "2.2487", "2.2485"];
    shop.take(
        &["1", "2", "5"].map(|at| measured(30, "as received", "MIC", journal("main journal", at, uneven))),
    );
    let slug = JobKey::of(JOB, SITE).unwrap().slug();
    let page = shop.page(&format!("jobs/{slug}.html"));
    let table = page.split_once("id=\"verdicts\"").unwrap().1.split_once("</section>").unwrap().0;
    let rows: Vec<&str> = table.split("<tr>").skip(2).collect();
    let job = shop.job(JOB);
    let verdicts: Vec<&Value> =
        job["verdicts"].as_array().unwrap().iter().filter(|v| v["stands"] == true).collect();
    assert_eq!(rows.len(), verdicts.len());
    let (mut compared, mut crossed) = (0, 0);
    for (row, verdict) in rows.iter().zip(verdicts) {
        let Some((_, svg)) = row.split_once("<svg") else {
            assert!(verdict["limit"].is_null(), "nothing is drawn: {verdict:#}");
            continue;
        };
        let svg = svg.split_once("</svg>").unwrap().0;
        let (bounds, value, half, is_crossed) = drawn(svg);
        assert_eq!(is_crossed, verdict["band"] == "beyond", "{verdict:#}");
        crossed += usize::from(is_crossed);
        let read = |value: &Value| value.as_str().map(|digits| digits.parse::<f64>().unwrap());
        let (min, max) = (read(&verdict["limit"]["min"]), read(&verdict["limit"]["max"]));
        assert_eq!(bounds.len(), usize::from(min.is_some()) + usize::from(max.is_some()));
        let (Some(min), Some(max), [left, right]) = (min, max, bounds.as_slice()) else { continue };
        let scale = (right - left) / (max - min);
        // A tenth of a point is what a coordinate is rounded to.
        let near = |at: f64, wanted: f64| (at - wanted).abs() <= 0.25;
        let at = read(&verdict["value"]).unwrap();
        assert!(near(value, left + (at - min) * scale), "{value} {bounds:?} {verdict:#}");
        let words = verdict["uncertainty"].as_str().unwrap();
        if let Some(u) = words.split(' ').nth(1) {
            // U is printed with one figure less than it is drawn with.
            let slack = 0.25 + 0.000_005 * scale;
            assert!((half - u.parse::<f64>().unwrap() * scale).abs() <= slack, "{half} {words} {scale}");
        }
        compared += 1;
    }
    assert!(compared >= 4 && crossed == 2, "{compared} {crossed}");
}
