//! Cables that share a way drawn side by side, so that each one can be followed.
//!
//! In: the way of each route on one storey, on the sheet. Out: the same ways, their straight stretches moved aside where
//! others lie on them. Work grows with the stretches, times the logarithm of their number.

use std::collections::BTreeMap;

use super::super::svg::{At, at};

/// The way of one route on one storey, corner by corner.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Lane {
    /// The route, by its place in the document.
    pub(super) route: usize,
    /// Whether it lies under the floor.
    pub(super) under: bool,
    pub(super) corners: Vec<At>,
}

/// From one cable to the next, and the most that a bundle may be wide.
const PITCH: f64 = 0.75;
const BUNDLE: f64 = 7.0;
/// Lines nearer to each other than this lie on each other.
const SAME: f64 = 0.2;

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Direction {
    Across,
    Down,
}

/// A straight line through the storey that stretches may share: its direction, and where it lies.
type Track = (Direction, i64);

struct LanePiece {
    from: f64,
    to: f64,
    way: usize,
    stretch: usize,
}

/// Moves the ways apart.
pub(super) fn apart(ways: &[Lane]) -> Vec<Lane> {
    let mut tracks: BTreeMap<Track, Vec<LanePiece>> = BTreeMap::new();
    for (index, way) in ways.iter().enumerate() {
        for (stretch, ends) in way.corners.windows(2).enumerate() {
            let [a, b] = [ends[0], ends[1]];
            if let Some((track, from, to)) = track(a, b) {
                tracks.entry(track).or_default().push(LanePiece { from, to, way: index, stretch });
            }
        }
    }
    let mut aside: Vec<Vec<f64>> = ways.iter().map(|way| vec![0.0; way.corners.len().saturating_sub(1)]).collect();
    for stretches in tracks.values_mut() {
        stretches.sort_by(|a, b| a.from.total_cmp(&b.from).then(a.way.cmp(&b.way)).then(a.stretch.cmp(&b.stretch)));
        for bundle in bundles(stretches) {
            spread(bundle, ways, &mut aside);
        }
    }
    ways.iter().zip(&aside).map(|(way, aside)| moved(way, aside)).collect()
}

fn track(a: At, b: At) -> Option<(Track, f64, f64)> {
    let (across, down) = ((a.x - b.x).abs(), (a.y - b.y).abs());
    // A sheet of some metres is far within the integer.
    let line = |figure: f64| (figure / SAME).round() as i64;
    match (across > SAME, down > SAME) {
        (true, false) => Some(((Direction::Across, line(a.y)), a.x.min(b.x), a.x.max(b.x))),
        (false, true) => Some(((Direction::Down, line(a.x)), a.y.min(b.y), a.y.max(b.y))),
        _ => None,
    }
}

/// Stretches of one track that touch each other, in runs.
fn bundles(stretches: &[LanePiece]) -> Vec<&[LanePiece]> {
    let mut bundles = Vec::new();
    let mut start = 0;
    let mut reach = f64::NEG_INFINITY;
    for (index, stretch) in stretches.iter().enumerate() {
        if stretch.from > reach + SAME && index > start {
            bundles.push(&stretches[start..index]);
            start = index;
        }
        reach = reach.max(stretch.to);
    }
    if start < stretches.len() {
        bundles.push(&stretches[start..]);
    }
    bundles
}

/// Gives each route of a bundle a lane of its own, in the order of the document.
fn spread(bundle: &[LanePiece], ways: &[Lane], aside: &mut [Vec<f64>]) {
    let mut routes: Vec<usize> = bundle.iter().map(|stretch| ways[stretch.way].route).collect();
    routes.sort_unstable();
    routes.dedup();
    let others = routes.len().saturating_sub(1) as f64;
    let pitch = if others > 0.0 { PITCH.min(BUNDLE / others) } else { 0.0 };
    for stretch in bundle {
        let lane = routes.binary_search(&ways[stretch.way].route).unwrap_or(0) as f64;
        aside[stretch.way][stretch.stretch] = (lane - others / 2.0) * pitch;
    }
}

/// The way with its stretches aside, its ends joined to where they belong.
fn moved(way: &Lane, aside: &[f64]) -> Lane {
    let corners = &way.corners;
    let mut out = Vec::with_capacity(corners.len() + 2);
    for (index, corner) in corners.iter().enumerate() {
        let mut place = *corner;
        for stretch in [index.checked_sub(1), (index < aside.len()).then_some(index)].into_iter().flatten() {
            match track(corners[stretch], corners[stretch + 1]) {
                Some(((Direction::Across, _), ..)) => place.y = corner.y + aside[stretch],
                Some(((Direction::Down, _), ..)) => place.x = corner.x + aside[stretch],
                None => {}
            }
        }
        let is_end = index == 0 || index + 1 == corners.len();
        let is_aside = (place.x - corner.x).abs() + (place.y - corner.y).abs() > SAME;
        match (is_end && is_aside, index == 0) {
            (true, true) => out.extend([*corner, place]),
            (true, false) => out.extend([place, *corner]),
            (false, _) => out.push(place),
        }
    }
    Lane { corners: out, ..*way }
}

/// The middle of the longest straight stretch of a way.
pub(super) fn longest_middle(corners: &[At]) -> Option<At> {
    let length = |ends: &[At]| (ends[0].x - ends[1].x).abs() + (ends[0].y - ends[1].y).abs();
    corners
        .windows(2)
        // The first of the longest: `max_by` would take the last.
        .rev()
        .max_by(|one, other| length(one).total_cmp(&length(other)))
        .map(|ends| at((ends[0].x + ends[1].x) / 2.0, (ends[0].y + ends[1].y) / 2.0))
}

/// The whole length of a way, along the axes.
pub(super) fn length(corners: &[At]) -> f64 {
    corners.windows(2).map(|ends| (ends[0].x - ends[1].x).abs() + (ends[0].y - ends[1].y).abs()).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn way(route: usize, corners: &[(f64, f64)]) -> Lane {
        Lane { route, under: false, corners: corners.iter().map(|(x, y)| at(*x, *y)).collect() }
    }

    #[test]
    fn two_cables_on_one_line_are_drawn_side_by_side_and_one_alone_stays() {
        let shared = apart(&[way(0, &[(0.0, 0.0), (50.0, 0.0)]), way(1, &[(10.0, 0.0), (60.0, 0.0)])]);
        let middle = |way: &Lane| way.corners[1].y;
        assert!((middle(&shared[0]) - middle(&shared[1])).abs() >= PITCH - 1e-9, "{shared:?}");
        // The ends still reach their places.
        assert_eq!((shared[0].corners[0], shared[1].corners.last().copied()), (at(0.0, 0.0), Some(at(60.0, 0.0))));

        let alone = [way(0, &[(0.0, 0.0), (50.0, 0.0), (50.0, 20.0)])];
        assert_eq!(apart(&alone), alone);
    }

    #[test]
    fn what_lies_on_one_line_far_apart_is_no_bundle() {
        let ways = [way(0, &[(0.0, 0.0), (20.0, 0.0)]), way(1, &[(40.0, 0.0), (60.0, 0.0)])];
        assert_eq!(apart(&ways), ways);
    }

    #[test]
    fn stretches_stay_straight_when_they_move_aside() {
        let corner = |x| way(x, &[(0.0, 0.0), (30.0, 0.0), (30.0, 40.0)]);
        for moved in apart(&[corner(0), corner(1), corner(2)]) {
            for ends in moved.corners.windows(2) {
                assert!(track(ends[0], ends[1]).is_some() || ends[0] == ends[1], "{moved:?}");
            }
        }
    }

    #[test]
    fn fifty_cables_are_no_wider_than_the_bundle_may_be() {
        let ways: Vec<Lane> = (0..50).map(|route| way(route, &[(0.0, 0.0), (50.0, 0.0)])).collect();
        let lanes: Vec<f64> = apart(&ways).iter().map(|way| way.corners[1].y).collect();
        assert!(lanes.iter().all(|y| y.abs() <= BUNDLE / 2.0 + 1e-9));
        assert!(lanes.windows(2).all(|pair| pair[0] < pair[1]));
    }
}
