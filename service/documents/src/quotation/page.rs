//! The paper as one HTML page that needs nothing beside itself: no scripts, nothing from outside, readable by a screen reader,
//! printable on A4.

use std::fmt::Write;

use base64::Engine;

use super::paper::{Block, ColumnContent, Paper, PaperTable, RowWeight};
use super::{Logo, LogoKind};

const STYLE: &str = "\
@page{size:A4;margin:18mm 16mm}\
body{font:11pt/1.45 Georgia,'Times New Roman',serif;color:#111;background:#fff;max-width:46rem;margin:2rem auto;padding:0 1rem}\
header{display:flex;flex-wrap:wrap;gap:1rem 2rem;justify-content:space-between;border-bottom:3px solid var(--firm);padding-bottom:1rem}\
header p,.to p{margin:0}header img{max-height:4.5rem;max-width:14rem}\
h1{font-size:1.7rem;margin:1.4rem 0 .2rem}h2{font-size:1.15rem;margin:1.8rem 0 .5rem;border-bottom:1px solid var(--firm);break-after:avoid}\
dl{display:grid;grid-template-columns:minmax(7rem,max-content) 1fr;gap:.25rem 1rem;margin:.6rem 0}dt{font-weight:bold}dd{margin:0;overflow-wrap:anywhere}\
table{border-collapse:collapse;width:100%;margin:.6rem 0}caption{position:absolute;left:-999rem}\
th,td{text-align:left;vertical-align:top;padding:.25rem .5rem;border-bottom:1px solid #bbb;overflow-wrap:anywhere}\
.n{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}tr{break-inside:avoid}thead{display:table-header-group}\
tr.group th{padding-top:.8rem}tr.sum td,tr.total td{font-weight:bold;border-top:2px solid #111}tr.total td{font-size:1.1rem}\
.notice{border:2px solid var(--firm);padding:.6rem .8rem;font-weight:bold}\
.blanks{display:grid;grid-template-columns:max-content 1fr;gap:1.2rem 1rem;margin:1.2rem 0}.blanks span{border-bottom:1px solid #111}\
.page{break-before:page}footer{margin-top:2rem;border-top:1px solid #bbb;padding-top:.5rem;font-size:.9rem}";

/// The page.
pub(super) fn html(paper: &Paper, logo: Option<&Logo>) -> String {
    let mut out = String::with_capacity(16 * 1024);
    let title = escaped(&format!("{}: {}", paper.title, paper.subject));
    let _ = write!(
        out,
        "<!DOCTYPE html>\n<html lang=\"en-GB\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" \
         content=\"width=device-width\"><title>{title}</title><style>:root{{--firm:{}}}{STYLE}</style></head><body>\n",
        escaped(&paper.colour)
    );
    let _ = write!(out, "<header><div><p><strong>{}</strong></p>", escaped(&paper.firm_name));
    lines(&mut out, &paper.firm);
    out.push_str("</div>");
    if let Some(logo) = logo {
        let kind = match logo.kind {
            LogoKind::Png => "png",
            LogoKind::Jpeg => "jpeg",
        };
        let bytes = base64::engine::general_purpose::STANDARD.encode(&logo.bytes);
        let _ = write!(out, "<img alt=\"\" src=\"data:image/{kind};base64,{bytes}\">");
    }
    out.push_str("</header>\n<main><div class=\"to\">");
    lines(&mut out, &paper.client);
    let _ = write!(out, "</div><h1>{}</h1><p>{}</p>", escaped(paper.title), escaped(&paper.subject));
    facts(&mut out, &paper.facts);
    for block in &paper.blocks {
        self::block(&mut out, block);
    }
    let _ = write!(out, "</main>\n<footer>{}</footer></body></html>\n", escaped(&paper.foot));
    out
}

fn lines(out: &mut String, lines: &[String]) {
    for line in lines {
        let _ = write!(out, "<p>{}</p>", escaped(line));
    }
}

fn facts(out: &mut String, facts: &[(String, String)]) {
    out.push_str("<dl>");
    for (name, fact) in facts {
        let _ = write!(out, "<dt>{}</dt><dd>{}</dd>", escaped(name), escaped(fact));
    }
    out.push_str("</dl>\n");
}

fn block(out: &mut String, block: &Block) {
    let _ = match block {
        Block::Heading { text } => writeln!(out, "<h2>{}</h2>", escaped(text)),
        Block::Paragraph { text } => writeln!(out, "<p>{}</p>", escaped(text)),
        Block::Notice { text } => writeln!(out, "<p class=\"notice\">{}</p>", escaped(text)),
        Block::Facts { facts: all } => {
            facts(out, all);
            Ok(())
        }
        Block::List { entries } => {
            out.push_str("<ul>");
            for entry in entries {
                let _ = write!(out, "<li>{}</li>", escaped(entry));
            }
            writeln!(out, "</ul>")
        }
        Block::Table(of) => {
            table(out, of);
            Ok(())
        }
        Block::Blanks { lines } => {
            out.push_str("<div class=\"blanks\">");
            for line in lines {
                let _ = write!(out, "<div>{}</div><span></span>", escaped(line));
            }
            writeln!(out, "</div>")
        }
        Block::NewPage => writeln!(out, "<div class=\"page\"></div>"),
    };
}

fn table(out: &mut String, table: &PaperTable) {
    let class = |column: usize| match table.columns[column].holds {
        ColumnContent::Figures => " class=\"n\"",
        ColumnContent::Words | ColumnContent::Word => "",
    };
    let _ = write!(out, "<table><caption>{}</caption><thead><tr>", escaped(&table.caption));
    for (index, column) in table.columns.iter().enumerate() {
        let _ = write!(out, "<th scope=\"col\"{}>{}</th>", class(index), escaped(column.heading));
    }
    out.push_str("</tr></thead><tbody>\n");
    for row in &table.rows {
        if row.weight == RowWeight::Group {
            let name = row.cells.first().map(String::as_str).unwrap_or_default();
            let _ = writeln!(
                out,
                "<tr class=\"group\"><th colspan=\"{}\" scope=\"colgroup\">{}</th></tr>",
                table.columns.len(),
                escaped(name)
            );
            continue;
        }
        let weight = match row.weight {
            RowWeight::Plain | RowWeight::Group => "",
            RowWeight::Sum => " class=\"sum\"",
            RowWeight::Total => " class=\"total\"",
        };
        let _ = write!(out, "<tr{weight}>");
        for (index, cell) in row.cells.iter().enumerate() {
            let _ = write!(out, "<td{}>{}</td>", class(index), escaped(cell));
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody></table>\n");
}

/// Text that means nothing to a browser but itself.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
    out
}
