//! A day in numbers of which either may be the month, to a day where only one is possible or the sheet says which.
//!
//! Reads no year of two digits.

use crate::date::Day;
use crate::import::words::Order;

/// Two numbers of which either may be the month, and a year.
pub(super) struct Numbers {
    first: u8,
    second: u8,
    year: String,
}

/// Reads `3/4/1975`, `3.4.1975` and `3-4-1975`.
pub(super) fn day_and_month(plain: &str) -> Option<Numbers> {
    let parts: Vec<&str> = plain.split(['/', '.', '-']).map(str::trim).collect();
    let [first, second, last] = parts.as_slice() else { return None };
    let small = |text: &str| text.parse::<u8>().ok().filter(|_| text.len() <= 2);
    Some(Numbers { first: small(first)?, second: small(second)?, year: super::year(last)?.to_string() })
}

impl Numbers {
    fn written(&self, day: u8, month: u8) -> Option<String> {
        let day = Day::from_ymd(self.year.parse().ok()?, month, day)?;
        (day.year() > 0).then(|| day.to_string())
    }

    /// The day, where the order is said or only one order gives a day.
    pub(super) fn in_order(&self, order: Order) -> Result<String, String> {
        let day_first = self.written(self.first, self.second);
        let month_first = self.written(self.second, self.first);
        let missing = |order: &str| format!("is no day with {order} first, as the mapping says");
        match (order, day_first, month_first) {
            (_, None, None) => Err("there is no such day; write year, month and day, such as `1975-04-03`".to_string()),
            (Order::DayFirst, day, _) => day.ok_or_else(|| missing("the day")),
            (Order::MonthFirst, _, day) => day.ok_or_else(|| missing("the month")),
            (Order::Unknown, Some(one), Some(other)) if one != other => Err(format!(
                "day first, it is {one}; month first, it is {other}. Say which for the whole sheet in the mapping: \
                 `day-first = true` or `day-first = false`"
            )),
            (Order::Unknown, one, other) => Ok(one.or(other).unwrap_or_default()),
        }
    }
}
