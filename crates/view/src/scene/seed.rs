//! Seeded variety: the same place always grows the same stone, blade and leaf.
//!
//! Everything that a picture scatters is keyed by its place, so that an edit elsewhere moves none of
//! it and every machine draws the same garden.

/// A stream of numbers that starts from a key.
#[derive(Clone, Debug)]
pub(crate) struct Seed(u64);

impl Seed {
    /// A stream for a cell of a grid, told apart from other uses of that cell by `salt`.
    pub(crate) fn of_cell(cell: [i32; 2], salt: u64) -> Self {
        let east = (cell[0] as u32 as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        let north = (cell[1] as u32 as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F);
        Self(mix(east ^ north.rotate_left(31) ^ salt.wrapping_mul(0x1656_67B1_9E37_79F9)))
    }

    /// A stream for the `n`th thing of a kind.
    pub(crate) fn of_index(n: usize, salt: u64) -> Self {
        Self::of_cell([n as i32, (n >> 31) as i32], salt)
    }

    /// The next number, from zero up to one.
    pub(crate) fn unit(&mut self) -> f32 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        (mix(self.0) >> 40) as f32 / (1u64 << 24) as f32
    }

    /// The next number between two.
    pub(crate) fn between(&mut self, low: f32, high: f32) -> f32 {
        low + (high - low) * self.unit()
    }
}

/// Smooth noise between zero and one over the plan; `scale_m` is the size of its features.
pub(crate) fn patch_noise(at_m: [f64; 2], scale_m: f64, salt: u64) -> f32 {
    let p = at_m.map(|c| c / scale_m);
    let cell = p.map(f64::floor);
    let f = [(p[0] - cell[0]) as f32, (p[1] - cell[1]) as f32].map(|t| t * t * (3.0 - 2.0 * t));
    let corner = |dx: i32, dy: i32| {
        Seed::of_cell([cell[0] as i32 + dx, cell[1] as i32 + dy], salt ^ 0x51ED).unit()
    };
    let south = corner(0, 0) + (corner(1, 0) - corner(0, 0)) * f[0];
    let north = corner(0, 1) + (corner(1, 1) - corner(0, 1)) * f[0];
    south + (north - south) * f[1]
}

fn mix(mut x: u64) -> u64 {
    x = (x ^ (x >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    x = (x ^ (x >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    x ^ (x >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_key_gives_the_same_stream_and_neighbours_differ() {
        let draw = |cell, salt| {
            let mut seed = Seed::of_cell(cell, salt);
            [seed.unit(), seed.unit(), seed.unit()]
        };
        assert_eq!(draw([3, -4], 1), draw([3, -4], 1));
        assert_ne!(draw([3, -4], 1), draw([4, -3], 1));
        assert_ne!(draw([3, -4], 1), draw([3, -4], 2));
    }

    #[test]
    fn noise_joins_across_cells() {
        let left = patch_noise([1.999_999, 0.7], 1.0, 5);
        let right = patch_noise([2.000_001, 0.7], 1.0, 5);
        assert!((left - right).abs() < 1e-3);
    }
}
