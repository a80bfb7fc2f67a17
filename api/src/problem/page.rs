//! The page `/problems`: what each kind of problem means and what to do about it. `type` of a problem points here.

use std::fmt::Write as _;

use super::KINDS;

/// The page, made from the table of kinds.
#[must_use]
pub fn page() -> String {
    let mut html = String::from(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width\">\n<title>Problems</title>\n<style>\n\
         body { font: 1rem/1.5 system-ui, sans-serif; max-width: 46rem; margin: 2rem auto; padding: 0 1rem; }\n\
         h2 { margin-top: 2rem; } :target { background: #fff3bf; } code { font-size: .9em; }\n\
         </style>\n</head>\n<body>\n<h1>Problems</h1>\n\
         <p>Every answer from status 400 on is a problem document (RFC 9457, <code>application/problem+json</code>) whose \
         <code>type</code> is one of these. Wait and try again only where <code>Retry-After</code> says so.</p>\n",
    );
    for row in &KINDS {
        let (slug, status, title) = (row.slug, row.status.as_u16(), escaped(row.title));
        let (meaning, remedy) = (escaped(row.meaning), escaped(row.remedy));
        // Writing to a string cannot fail.
        let _ = write!(
            html,
            "<h2 id=\"{slug}\">{title}</h2>\n<p><code>{slug}</code>, status {status}</p>\n<p>{meaning}</p>\n<p>{remedy}</p>\n"
        );
    }
    html.push_str("</body>\n</html>\n");
    html
}

/// As HTML, with `code` in back-ticks set as code.
pub(crate) fn escaped(text: &str) -> String {
    let safe = text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
    let mut parts = safe.split('`');
    let mut html = parts.next().unwrap_or_default().to_owned();
    let mut code = true;
    for part in parts {
        html.push_str(if code { "<code>" } else { "</code>" });
        html.push_str(part);
        code = !code;
    }
    html
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_problem_type_has_its_anchor() {
        let page = page();
        for row in &KINDS {
            assert!(page.contains(&format!("id=\"{}\"", row.slug)), "{}", row.slug);
        }
    }

    #[test]
    fn code_is_marked_and_angle_brackets_are_escaped() {
        assert_eq!(escaped("send `a<b` & go"), "send <code>a&lt;b</code> &amp; go");
    }
}
