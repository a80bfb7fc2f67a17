//! What is printed with every estimate: what to mind, and what the price does not hold.

use std::borrow::Cow;

/// Cautions of every estimate. This work can hurt people; the figures are defaults, and a competent person decides.
pub const CAUTIONS: [&str; 9] = [
    "An estimate from a survey is not a design certificate. A competent, qualified person checks every circuit on site \
     before work and tests it after; local codes, the operator's rules, the maker's instructions and the current \
     amendment prevail over every figure here.",
    "Isolate, lock, prove dead with a proven tester, prove the tester again. More than one source may be present.",
    "Only the operator, the supplier or someone they authorise opens the cut-out.",
    "Buildings from before 2000 may hold asbestos: textured ceilings, boards behind fuse boxes, tiles, flue panels. Stop \
     if in doubt. Old paint may hold lead.",
    "Dust from masonry needs extraction at the tool and masks; hands need breaks from vibration.",
    "Work at height, in crawl spaces, in trenches and beside traffic each needs a plan of its own.",
    "Nothing here allows cutting steel, trusses or lintels, or joists outside the limits of their standard.",
    "New circuits and board replacement are notifiable in England; the other nations differ. Check before the start.",
    "Hours are from memory, prices are the rate sheet's. The range says how far the price may be out; no figure is surer \
     than that.",
];

/// What no estimate holds unless a line says so.
pub const EXCLUSIONS: [&str; 10] = [
    "decoration and plaster skim",
    "floor finishes beyond relaying what was lifted",
    "asbestos work and its waiting time",
    "structural work",
    "charges of the network operator and the supplier",
    "reinstatement of ground beyond backfill",
    "boiler parts and heating controls not listed",
    "aerial, broadband and telephone service",
    "faults in circuits or equipment that stay",
    "fitness and warranty of fittings that the client supplies",
];

pub(crate) fn borrowed(texts: &[&'static str]) -> Vec<Cow<'static, str>> {
    texts.iter().map(|text| Cow::Borrowed(*text)).collect()
}
