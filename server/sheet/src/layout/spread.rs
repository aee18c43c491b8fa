//! How a line's room is shared among its gaps.

use super::measure::Gap;

/// The width of each of `gaps` when together they take `room`: all stretched alike, but none below its
/// least. Where the least takes more than there is, each has its share of the room.
pub fn spread(gaps: &[Gap], room: f32) -> Vec<f32> {
    let least: f32 = gaps.iter().map(|gap| gap.least).sum();
    if least >= room {
        let share = room.max(0.0) / least.max(f32::MIN_POSITIVE);
        return gaps.iter().map(|gap| gap.least * share).collect();
    }
    // Gaps that would fall below their least keep it, and the others share what that leaves; each round
    // keeps one gap more at least, and few are needed.
    let mut kept = vec![false; gaps.len()];
    loop {
        let (mut left, mut natural) = (room, 0.0);
        for (gap, kept) in gaps.iter().zip(&kept) {
            if *kept {
                left -= gap.least;
            } else {
                natural += gap.natural;
            }
        }
        let stretch = left / natural.max(f32::MIN_POSITIVE);
        let mut changed = false;
        for (gap, kept) in gaps.iter().zip(&mut kept) {
            let falls = !*kept && gap.natural * stretch < gap.least;
            *kept |= falls;
            changed |= falls;
        }
        if !changed {
            let width = |(gap, kept): (&Gap, &bool)| if *kept { gap.least } else { gap.natural * stretch };
            return gaps.iter().zip(&kept).map(width).collect();
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn the_room_is_filled_and_no_gap_is_too_narrow(
            gaps in prop::collection::vec((1.0..50.0_f32, 1.0..3.0_f32), 1..60),
            more in 1.0..3.0_f32,
        ) {
            let gaps: Vec<Gap> =
                gaps.into_iter().map(|(least, more)| Gap { least, natural: least * more }).collect();
            let room = gaps.iter().map(|gap| gap.least).sum::<f32>() * more;
            let widths = spread(&gaps, room);
            prop_assert!((widths.iter().sum::<f32>() - room).abs() < room * 1e-4);
            for (gap, width) in gaps.iter().zip(widths) {
                prop_assert!(width >= gap.least - 1e-3);
            }
        }
    }

    #[test]
    fn too_little_room_is_shared() {
        let gap = |least| Gap { least, natural: least };
        assert_eq!(spread(&[gap(10.0), gap(30.0)], 20.0), [5.0, 15.0]);
    }
}
