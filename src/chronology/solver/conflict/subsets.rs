//! Sets of voices, asked whether one of them lies within another set: a trie over sorted members (Savnik 2013).

use crate::knowledge::VoiceIndex;

/// Sets with a rank each.
#[derive(Debug, Default)]
pub struct Subsets {
    /// The first is the root, once there is any set.
    nodes: Vec<Node>,
}

#[derive(Debug, Default)]
struct Node {
    /// The members that may come next, sorted, each with its node.
    next: Vec<(VoiceIndex, u32)>,
    /// The rank of the set that ends here.
    own: Option<i32>,
    /// The greatest rank of the sets that end at this node or below it.
    greatest: Option<i32>,
}

impl Subsets {
    /// Adds a sorted set.
    pub fn add(&mut self, set: &[VoiceIndex], rank: i32) {
        if self.nodes.is_empty() {
            self.nodes.push(Node::default());
        }
        let mut at = 0;
        for member in set {
            self.nodes[at].greatest = self.nodes[at].greatest.max(Some(rank));
            at = match self.nodes[at].next.binary_search_by_key(member, |(next, _)| *next) {
                Ok(found) => self.nodes[at].next[found].1 as usize,
                Err(place) => {
                    let new = self.nodes.len();
                    self.nodes[at].next.insert(place, (*member, new as u32));
                    self.nodes.push(Node::default());
                    new
                }
            };
        }
        let last = &mut self.nodes[at];
        (last.own, last.greatest) = (last.own.max(Some(rank)), last.greatest.max(Some(rank)));
    }

    /// Says whether a set of at least this rank lies within a sorted set.
    pub fn has_within(&self, set: &[VoiceIndex], rank: i32) -> bool {
        self.nodes.first().is_some_and(|root| self.reaches(root, set, rank))
    }

    fn reaches(&self, node: &Node, set: &[VoiceIndex], rank: i32) -> bool {
        if node.greatest < Some(rank) {
            return false;
        }
        if node.own >= Some(rank) {
            return true;
        }
        let mut next = node.next.as_slice();
        set.iter().enumerate().any(|(at, member)| {
            next = &next[next.partition_point(|(voice, _)| voice < member)..];
            let found = next.first().filter(|(voice, _)| voice == member);
            found.is_some_and(|(_, node)| self.reaches(&self.nodes[*node as usize], &set[at + 1..], rank))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::Subsets;
    use crate::knowledge::VoiceIndex;

    /// The members of a set as the bits of a number.
    fn set(bits: u32) -> Vec<VoiceIndex> {
        (0..8).filter(|bit| bits >> bit & 1 == 1).map(VoiceIndex).collect()
    }

    #[test]
    fn sets_are_found_within_others_as_by_looking_at_each() {
        let ranked = |at: u32| (at * 89 % 255 + 1, (at * 37 % 11) as i32);
        for count in [0, 1, 5, 20, 60] {
            let mut subsets = Subsets::default();
            (0..count).map(ranked).for_each(|(bits, rank)| subsets.add(&set(bits), rank));
            for asked in 0..256 {
                for rank in [0, 4, 10] {
                    let expected = (0..count).map(ranked).any(|(bits, own)| bits & asked == bits && own >= rank);
                    assert_eq!(subsets.has_within(&set(asked), rank), expected, "{asked:b} of {count} from {rank}");
                }
            }
        }
    }
}
