//! A small generator of numbers, so that every run sees the same cases (Marsaglia 2003, xorshift64).

/// The state; any seed but 0.
pub struct Numbers(pub u64);

impl Numbers {
    /// Gives the next number below a limit.
    pub fn below(&mut self, limit: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % limit
    }
}
