/// Chance that comes out the same for the same seed, everywhere.
///
/// The generator is SplitMix64 (Steele, Lea and Flood, 2014): small, and good enough to vary music.
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// Dice that fall as `seed` says.
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// A number below `sides`, which must not be 0.
    pub fn below(&mut self, sides: usize) -> usize {
        (self.next() % sides as u64) as usize
    }

    /// Whether the one chance in `odds` came up.
    pub fn once_in(&mut self, odds: usize) -> bool {
        self.below(odds) == 0
    }

    /// One of `choices`, which must not be empty.
    pub fn pick<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[self.below(choices.len())]
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ mixed >> 30).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ mixed >> 27).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ mixed >> 31
    }
}
