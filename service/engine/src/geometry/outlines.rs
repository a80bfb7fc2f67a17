//! Outlines found by where they lie, without looking at every one.

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::Shape;

/// Outlines by the rectangles round them, each with the place that it goes by.
pub(crate) struct OutlineTree(RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>);

impl OutlineTree {
    /// The tree of these outlines.
    pub(crate) fn of<'s>(outlines: impl Iterator<Item = (usize, &'s Shape)>) -> Self {
        let round = |(place, shape): (usize, &Shape)| {
            let (least, greatest) = shape.bounds();
            let rectangle = Rectangle::from_corners([least.x_m, least.y_m], [greatest.x_m, greatest.y_m]);
            GeomWithData::new(rectangle, place)
        };
        Self(RTree::bulk_load(outlines.map(round).collect()))
    }

    /// The places of those whose rectangles meet the one round this shape, in the order of the tree.
    pub(crate) fn near(&self, shape: &Shape) -> impl Iterator<Item = usize> {
        let (least, greatest) = shape.bounds();
        let round = AABB::from_corners([least.x_m, least.y_m], [greatest.x_m, greatest.y_m]);
        self.0.locate_in_envelope_intersecting(&round).map(|found| found.data).collect::<Vec<_>>().into_iter()
    }

    /// The places of all.
    pub(crate) fn places(&self) -> impl Iterator<Item = usize> {
        self.0.iter().map(|outline| outline.data)
    }
}
