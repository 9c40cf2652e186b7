//! Inputs made from a corpus by a seeded generator: bytes, words, lines and whole pieces are changed, so that every run sees the same.

use crate::support::numbers::Numbers;

/// Values at which counts and lengths turn over.
const NUMBERS: [&[u8]; 8] =
    [b"0", b"-1", b"255", b"65536", b"2147483648", b"4294967295", b"9223372036854775807", b"1e308"];

/// Makes inputs.
pub struct Mutation<'a> {
    /// Where chance comes from.
    pub numbers: Numbers,
    /// What inputs begin as; not empty.
    pub corpus: &'a [Vec<u8>],
    /// Words that are put in.
    pub words: &'a [&'a str],
    /// The longest input.
    pub longest: usize,
}

impl Mutation<'_> {
    /// Makes the next input.
    pub fn next(&mut self) -> Vec<u8> {
        let mut input = self.begun();
        for _ in 0..=self.numbers.below(5) {
            self.change(&mut input);
        }
        input.truncate(self.longest);
        input
    }

    fn below(&mut self, limit: usize) -> usize {
        self.numbers.below(limit.max(1) as u64) as usize
    }

    fn begun(&mut self) -> Vec<u8> {
        let at = self.below(self.corpus.len());
        self.corpus[at].clone()
    }

    fn change(&mut self, input: &mut Vec<u8>) {
        match self.below(10) {
            0 => self.bit(input),
            1 => self.byte(input),
            2 => drop(input.drain(self.piece(input.len()))),
            3 => self.repeat(input),
            4 | 5 => self.word(input),
            6 => self.number(input),
            7 => self.line(input),
            8 => self.splice(input),
            _ => self.nest(input),
        }
    }

    /// A piece of an input, seldom long.
    fn piece(&mut self, length: usize) -> std::ops::Range<usize> {
        let start = self.below(length + 1);
        let most = if self.below(4) == 0 { length } else { 8 };
        start..(start + self.below(most + 1)).min(length)
    }

    fn insert(&mut self, input: &mut Vec<u8>, what: &[u8]) {
        let at = self.below(input.len() + 1);
        input.splice(at..at, what.iter().copied());
    }

    fn bit(&mut self, input: &mut [u8]) {
        let (at, bit) = (self.below(input.len()), self.below(8));
        if let Some(byte) = input.get_mut(at) {
            *byte ^= 1 << bit;
        }
    }

    fn byte(&mut self, input: &mut [u8]) {
        let (at, new) = (self.below(input.len()), self.below(256));
        if let Some(byte) = input.get_mut(at) {
            *byte = new as u8;
        }
    }

    fn repeat(&mut self, input: &mut Vec<u8>) {
        let piece = input[self.piece(input.len())].repeat(1 + self.numbers.below(40) as usize);
        let room = self.longest.saturating_sub(input.len());
        self.insert(input, &piece[..piece.len().min(room)]);
    }

    fn word(&mut self, input: &mut Vec<u8>) {
        let word = self.words[self.below(self.words.len())].as_bytes();
        if self.below(2) == 0 {
            return self.insert(input, word);
        }
        let piece = self.piece(input.len());
        input.splice(piece, word.iter().copied());
    }

    /// Puts another number in the place of one.
    fn number(&mut self, input: &mut Vec<u8>) {
        let start = self.below(input.len());
        let Some(first) = input[start..].iter().position(u8::is_ascii_digit).map(|at| start + at) else { return };
        let last = input[first..].iter().position(|byte| !byte.is_ascii_digit()).map_or(input.len(), |at| first + at);
        let new = NUMBERS[self.below(NUMBERS.len())];
        input.splice(first..last, new.iter().copied());
    }

    /// Takes a line out, doubles it or moves it.
    fn line(&mut self, input: &mut Vec<u8>) {
        let mut lines: Vec<Vec<u8>> = input.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect();
        let (from, to) = (self.below(lines.len()), self.below(lines.len()));
        let Some(line) = lines.get(from).cloned() else { return };
        match self.below(3) {
            0 => drop(lines.remove(from)),
            1 => lines.insert(to, line),
            _ => lines.swap(from, to),
        }
        *input = lines.concat();
    }

    /// Puts in a piece of another input.
    fn splice(&mut self, input: &mut Vec<u8>) {
        let other = self.begun();
        let length = other.len();
        let start = self.below(length + 1);
        let end = start + self.below(length - start + 1);
        let piece = self.piece(input.len());
        input.splice(piece, other[start..end].iter().copied());
    }

    /// Puts one word many times before a place and another as often behind it.
    fn nest(&mut self, input: &mut Vec<u8>) {
        let depth = 1 + self.below(100);
        let (open, close) = (self.below(self.words.len()), self.below(self.words.len()));
        let room = self.longest.saturating_sub(input.len()) / 2;
        let fill = |word: &str| word.as_bytes().iter().copied().cycle().take((word.len() * depth).min(room)).collect();
        let (before, behind): (Vec<u8>, Vec<u8>) = (fill(self.words[open]), fill(self.words[close]));
        let at = self.below(input.len() + 1);
        input.splice(at..at, before.iter().chain(&behind).copied());
    }
}
