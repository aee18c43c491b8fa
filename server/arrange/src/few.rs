//! The best few of what a search finds.

/// At most `MOST` finds in order of their rank, the best first, no two of them alike.
#[derive(Clone, Debug)]
pub struct Few<T, const MOST: usize>(Vec<T>);

/// What a search finds.
pub trait Find {
    /// What puts it in order, the least first.
    type Rank: Ord;

    /// Its rank.
    fn rank(&self) -> Self::Rank;

    /// Whether only the better of the two is of use.
    fn is_like(&self, other: &Self) -> bool;
}

impl<T, const MOST: usize> Default for Few<T, MOST> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T: Find, const MOST: usize> Few<T, MOST> {
    /// `find` alone.
    pub fn one(find: T) -> Self {
        Self(vec![find])
    }

    /// Whether a find of this rank could be kept.
    pub fn has_room_for(&self, rank: &T::Rank) -> bool {
        self.0.len() < MOST || self.0.last().is_some_and(|last| *rank < last.rank())
    }

    /// Keeps `find` where it is among the best. Of two as good the first stays first.
    pub fn keep(&mut self, find: T) {
        let rank = find.rank();
        if !self.has_room_for(&rank) {
            return;
        }
        if let Some(like) = self.0.iter().position(|other| other.is_like(&find)) {
            if self.0[like].rank() <= rank {
                return;
            }
            self.0.remove(like);
        }
        self.0.insert(self.0.partition_point(|other| other.rank() <= rank), find);
        self.0.truncate(MOST);
    }

    /// From the best on.
    pub fn iter(&self) -> std::slice::Iter<'_, T> {
        self.0.iter()
    }

    /// From the best on.
    pub fn into_vec(self) -> Vec<T> {
        self.0
    }
}
