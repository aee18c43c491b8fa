//! A ceiling that nothing goes through.

/// Up to here a sample stays as it is.
const KNEE: f32 = 0.75;

/// `sample`, bent over above the knee so that it stays below 1. What is bent stays smooth: slope 1 at the knee,
/// going to none.
pub fn under(sample: f32) -> f32 {
    let over = sample.abs() - KNEE;
    if over <= 0.0 {
        return sample;
    }
    let room = 1.0 - KNEE;
    (KNEE + room * over / (room + over)).copysign(sample)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_goes_through_and_little_is_touched() {
        assert_eq!(under(0.7), 0.7);
        assert!(under(100.0) < 1.0 && under(-100.0) > -1.0);
        assert!((under(0.7501) - 0.7501).abs() < 1e-6, "smooth at the knee");
        assert!((0..200).map(|step| under(step as f32 / 50.0)).is_sorted());
    }
}
