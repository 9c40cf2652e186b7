//! Things that are one joined into groups: each group is led by its first (Galler and Fischer 1964).

/// For each of a number of things another of the same group, or itself.
#[derive(Clone, Debug)]
pub struct Leaders(Vec<u32>);

impl Leaders {
    /// Begins with so many things, each alone.
    pub fn new(count: usize) -> Leaders {
        Leaders((0..count as u32).collect())
    }

    /// The first of a thing's group.
    pub fn of(&mut self, thing: u32) -> u32 {
        let mut at = thing;
        while self.0[at as usize] != at {
            at = self.0[at as usize];
        }
        self.0[thing as usize] = at;
        at
    }

    /// Makes one group of those of two things.
    pub fn unite(&mut self, one: u32, other: u32) {
        let (one, other) = (self.of(one), self.of(other));
        self.0[one.max(other) as usize] = one.min(other);
    }
}

#[cfg(test)]
mod tests {
    use super::Leaders;

    #[test]
    fn the_first_of_a_group_leads_however_it_was_joined() {
        let mut leaders = Leaders::new(6);
        for (one, other) in [(5, 4), (2, 5), (1, 3), (4, 2)] {
            leaders.unite(one, other);
        }
        let of: Vec<u32> = (0..6).map(|thing| leaders.of(thing)).collect();
        assert_eq!(of, [0, 1, 2, 1, 2, 2]);
    }
}
