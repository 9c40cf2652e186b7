//! A lower bound of the weight that must still be removed.
//!
//! Two bounds: one counts voices that all exclude one another, one prices conflicts (Lagrangian relaxation by
//! subgradients; Held and Karp 1971).

use crate::chronology::solver::removal::problem::Problem;
use crate::chronology::solver::removal::state::State;

/// How often prices are changed at one decision.
const ROUNDS: usize = 40;

/// A price for each conflict, carried from decision to decision.
pub struct Prices {
    prices: Vec<f64>,
    /// The greatest sum found at this decision, and what each voice was paid for it.
    best: Priced,
}

/// A sum that must be removed at the least, by prices, and what these pay each voice.
#[derive(Clone, Default)]
struct Priced {
    sum: f64,
    paid: Vec<f64>,
    met: Vec<u32>,
}

impl Prices {
    /// Begins with every conflict free.
    pub fn new(problem: &Problem) -> Prices {
        Prices { prices: vec![0.0; problem.conflicts.len()], best: Priced::default() }
    }

    /// Decides the voices whose other choice would reach the given weight; says whether that is possible.
    pub fn fix(&self, state: &mut State<'_>, weight: u32) -> bool {
        let limit = last_below(state, weight);
        let weigh = |voice: u32| self.best.paid[voice as usize] - f64::from(state.problem.weights[voice as usize]);
        let open = (0..self.best.paid.len() as u32).filter(|voice| state.is_open(*voice));
        let decided: Vec<(u32, f64)> =
            open.map(|voice| (voice, weigh(voice))).filter(|(_, over)| self.best.sum + over.abs() > limit).collect();
        decided.into_iter().all(|(voice, over)| if over > 0.0 { state.remove(voice) } else { state.keep(voice) })
    }

    /// Says whether at least the given weight must still be removed.
    pub fn reach(&mut self, state: &State<'_>, weight: u32) -> bool {
        let unit = state.problem.unit;
        cliques(state, weight).div_ceil(unit) * unit >= weight || self.relax(state, weight)
    }

    /// Raises the prices of unmet conflicts and lowers those of conflicts met twice, until the sum
    /// reaches the weight.
    fn relax(&mut self, state: &State<'_>, weight: u32) -> bool {
        let unmet: Vec<usize> = (0..self.prices.len()).filter(|conflict| state.is_unmet(*conflict)).collect();
        let enough = last_below(state, weight);
        let mut scale = 1.0;
        self.best = Priced { sum: f64::MIN, ..Priced::default() };
        for _ in 0..ROUNDS {
            let priced = self.evaluate(state, &unmet);
            let (sum, met) = (priced.sum, priced.met.clone());
            if sum > self.best.sum {
                self.best = priced;
            }
            if sum > enough {
                return true;
            }
            let slopes: Vec<f64> = unmet.iter().map(|conflict| 1.0 - f64::from(met[*conflict])).collect();
            let square: f64 = slopes.iter().map(|slope| slope * slope).sum();
            if square == 0.0 {
                return false;
            }
            let step = scale * (enough + 0.05 * f64::from(weight) - sum) / square;
            for (conflict, slope) in unmet.iter().zip(slopes) {
                self.prices[*conflict] = (self.prices[*conflict] + step * slope).max(0.0);
            }
            scale *= 0.95;
        }
        false
    }

    /// The sum of prices less what voices are overpaid; and how often each conflict is met by overpaid voices.
    fn evaluate(&self, state: &State<'_>, unmet: &[usize]) -> Priced {
        let problem = state.problem;
        let mut paid = vec![0.0; problem.weights.len()];
        let mut sum = 0.0;
        for conflict in unmet {
            sum += self.prices[*conflict];
            for voice in problem.conflicts[*conflict].iter().filter(|voice| state.is_open(**voice)) {
                paid[*voice as usize] += self.prices[*conflict];
            }
        }
        let mut met = vec![0; self.prices.len()];
        for (voice, paid) in paid.iter().enumerate() {
            let over = paid - f64::from(problem.weights[voice]);
            if over > 0.0 {
                sum -= over;
                problem.occurrences[voice].iter().for_each(|conflict| met[*conflict as usize] += 1);
            }
        }
        Priced { sum, paid, met }
    }
}

/// A sum above the last multiple of the unit below the weight is enough, since what is removed is a multiple.
fn last_below(state: &State<'_>, weight: u32) -> f64 {
    f64::from(weight.saturating_sub(1) / state.problem.unit * state.problem.unit) + 1e-6
}

/// The least weight that must still be removed, at most: stops counting at the limit.
///
/// Voices that all exclude one another leave at most one of them; other conflicts cost their lightest voice.
/// Weight is counted once, by taking it off what is left of each voice.
fn cliques(state: &State<'_>, limit: u32) -> u32 {
    let mut left: Vec<u32> = state.problem.weights.clone();
    let mut marks = vec![0u32; left.len()];
    let mut bound = 0;
    let mut round = 0;
    for voice in 0..left.len() as u32 {
        while bound < limit && state.is_open(voice) && left[voice as usize] > 0 {
            let clique = clique(state, voice, &left, &mut marks, &mut round);
            if clique.len() < 2 {
                break;
            }
            let least = clique.iter().map(|member| left[*member as usize]).min().unwrap_or(0);
            clique.iter().for_each(|member| left[*member as usize] -= least);
            bound += least * (clique.len() as u32 - 1);
        }
    }
    bound + packing(state, limit.saturating_sub(bound), &mut left)
}

/// A set of open voices with weight left, all opponents of one another, grown greedily from one of them.
fn clique(state: &State<'_>, voice: u32, left: &[u32], marks: &mut [u32], round: &mut u32) -> Vec<u32> {
    let mut clique = vec![voice];
    let usable = |other: &&u32| state.is_open(**other) && left[**other as usize] > 0;
    let mut candidates: Vec<u32> = state.problem.opponents[voice as usize].iter().filter(usable).copied().collect();
    candidates.sort_by_key(|other| std::cmp::Reverse((left[*other as usize], state.problem.degree(*other))));
    while let Some(chosen) = candidates.first().copied() {
        clique.push(chosen);
        *round += 1;
        state.problem.opponents[chosen as usize].iter().for_each(|other| marks[*other as usize] = *round);
        candidates.retain(|other| marks[*other as usize] == *round);
    }
    clique
}

/// Adds up the lightest voice of conflicts that are not met, as far as weight is left.
fn packing(state: &State<'_>, limit: u32, left: &mut [u32]) -> u32 {
    let mut bound = 0;
    for (index, conflict) in state.problem.conflicts.iter().enumerate() {
        if bound >= limit {
            break;
        }
        if state.is_unmet(index) {
            let open = conflict.iter().filter(|voice| state.is_open(**voice));
            let least = open.map(|voice| left[*voice as usize]).min().unwrap_or(0);
            conflict.iter().filter(|voice| state.is_open(**voice)).for_each(|voice| left[*voice as usize] -= least);
            bound += least;
        }
    }
    bound
}
