//! Divides long lists into batches: a page shows the first and folds the others, each under a summary.
//!
//! The templates `batch.html` and `batch-end.html` stand around each batch.

use serde::Serialize;

/// The items of a batch; a list of no more is not folded.
pub const TOGETHER: usize = 100;

/// Some items of a list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Batch<T> {
    /// Its summary; `None` for a whole list.
    pub summary: Option<String>,
    /// Whether it is open when the page opens.
    pub is_first: bool,
    /// The items.
    pub items: Vec<T>,
}

/// Divides a list; `says` adds to the numbers of a batch what it holds, or an empty text.
///
/// ```
/// use bartack::page::batches;
/// let divided = batches::of((1..=250).collect(), |items| format!("up to {}", items[items.len() - 1]));
/// let said: Vec<&str> = divided.iter().flat_map(|batch| batch.summary.as_deref()).collect();
/// assert_eq!(said, ["1–100, up to 100", "101–200, up to 200", "201–250, up to 250"]);
/// assert_eq!(batches::of(vec!["one"], |_| String::new())[0].summary, None);
/// ```
pub fn of<T>(items: Vec<T>, says: impl Fn(&[T]) -> String) -> Vec<Batch<T>> {
    let is_folded = items.len() > TOGETHER;
    let mut batches = Vec::with_capacity(items.len().div_ceil(TOGETHER));
    let mut left = items.into_iter();
    loop {
        let items: Vec<T> = left.by_ref().take(TOGETHER).collect();
        if items.is_empty() {
            return batches;
        }
        let first = batches.len() * TOGETHER + 1;
        let last = first + items.len() - 1;
        let numbers = if first == last { first.to_string() } else { format!("{first}–{last}") };
        let says = if is_folded { says(&items) } else { String::new() };
        let summary = if says.is_empty() { numbers } else { format!("{numbers}, {says}") };
        batches.push(Batch { summary: is_folded.then_some(summary), is_first: first == 1, items });
    }
}
