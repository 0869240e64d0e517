//! Shapes of stock: their names, the order of their sizes, their faces.

/// What the words of the trade say of one shape.
#[derive(Clone, Copy, Debug)]
pub struct ShapeFacts {
    /// Its name, as files write it.
    pub name: &'static str,
    /// Its sizes in the trade's order.
    pub sizes: &'static [&'static str],
    /// Its faces, as holes name them; none for a plate.
    pub faces: &'static [&'static str],
}

const fn shape(name: &'static str, sizes: &'static [&'static str], faces: &'static [&'static str]) -> ShapeFacts {
    ShapeFacts { name, sizes, faces }
}

const BOX_FACES: &[&str] = &["top", "front", "back", "bottom"];

/// Every shape. The order of sizes is common practice, no source.
pub const SHAPE_FACTS: &[ShapeFacts] = &[
    shape("flat bar", &["width", "thickness"], &["top"]),
    shape("plate", &["thickness"], &[]),
    shape("angle", &["flat leg", "upright leg", "wall"], &["flat leg", "upright leg"]),
    shape("square tube", &["side", "side", "wall"], BOX_FACES),
    shape("rectangular tube", &["width", "height", "wall"], BOX_FACES),
    shape("round tube", &["outside diameter", "wall"], &["top"]),
    shape("round bar", &["diameter"], &["top"]),
    shape("channel", &["height", "flange", "web and flange thickness"], &["web", "front flange", "back flange"]),
];

/// Their names.
pub const SHAPES: &[&str] =
    &["flat bar", "plate", "angle", "square tube", "rectangular tube", "round tube", "round bar", "channel"];

/// The facts of a shape.
pub fn shape_facts(name: &str) -> Option<&'static ShapeFacts> {
    SHAPE_FACTS.iter().find(|s| s.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_lists_name_the_same_shapes() {
        assert!(SHAPE_FACTS.iter().map(|s| s.name).eq(SHAPES.iter().copied()));
    }
}
