use std::fmt;

/// Where a finding is, as a player says it: `part A, bar 3, count 3`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Place {
    /// `part A`, `part A, ending 2` or `phrase lick`; none for what is above the first part.
    pub section: Option<String>,
    /// The bar in the section, counted from 1; 0 is the pickup.
    pub bar: Option<u32>,
    /// The count in the bar: `3`, `2 &`, `after 3`.
    pub count: Option<String>,
}

impl fmt::Display for Place {
    /// The parts that are known, with commas between; `the tune` where none is.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.section.as_deref().unwrap_or("the tune"))?;
        match self.bar {
            None => {}
            Some(0) => f.write_str(", pickup")?,
            Some(bar) => write!(f, ", bar {bar}")?,
        }
        match &self.count {
            None => Ok(()),
            Some(count) => write!(f, ", count {count}"),
        }
    }
}
