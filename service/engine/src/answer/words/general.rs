//! What is printed with every estimate: what to mind, and what the price does not hold.

use std::borrow::Cow;

/// Cautions of every estimate. This work can hurt people; the figures are defaults, and a competent person decides.
pub const CAUTIONS: [&str; 9] = [
    "This estimate comes from a survey. It is not a design and not a certificate. A competent, qualified person checks every \
     circuit on site before work and tests it after. Local codes, the operator's rules, the maker's instructions and the \
     current amendment prevail over every figure here.",
    "Isolate and lock off. Prove dead with a proven tester, then prove the tester again. More than one source may be present.",
    "Only the operator, the supplier or someone they authorise opens the cut-out (main fuse).",
    "Buildings from before 2000 may hold asbestos: in textured ceilings, boards behind fuse boxes, tiles and flue panels. \
     Stop if in doubt. Old paint may hold lead.",
    "Dust from masonry needs extraction at the tool, and masks. Hands need breaks from vibration.",
    "Work at height, in crawl spaces, in trenches or beside traffic: each needs a plan of its own.",
    "Never cut steel, trusses or lintels. Never cut joists outside the limits of their standard.",
    "In England new circuits and a new board are notifiable. The other nations differ. Check before the start.",
    "Hours are from memory. Prices are the rate sheet's. The range says how far the price may be out, and no figure is surer \
     than that.",
];

/// What no estimate holds unless a line says so.
pub const EXCLUSIONS: [&str; 10] = [
    "painting, paper and plaster skim",
    "floor coverings, but for laying again what was lifted",
    "asbestos work and the wait for it",
    "structural work",
    "charges of the network operator and the supplier",
    "putting ground back, beyond filling the trench",
    "boiler parts and heating controls not listed",
    "TV, broadband and telephone service",
    "faults in circuits or equipment that stay",
    "warranty and fitness of fittings that the client buys",
];

pub(crate) fn borrowed(texts: &[&'static str]) -> Vec<Cow<'static, str>> {
    texts.iter().map(|text| Cow::Borrowed(*text)).collect()
}
