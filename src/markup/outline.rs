//! The headings of a body put beneath the heading they stand under, so that no level is left out on the page.
//!
//! People begin with `#` or with `##`; readers who go by headings must not notice.

use pulldown_cmark::{Event, HeadingLevel, Tag, TagEnd};

use super::Above;

const LEVELS: [HeadingLevel; 6] =
    [HeadingLevel::H1, HeadingLevel::H2, HeadingLevel::H3, HeadingLevel::H4, HeadingLevel::H5, HeadingLevel::H6];

/// Moves all headings, the highest to just below what stands above, and no heading more than one below the last.
pub fn settle(events: &mut [Event<'_>], above: Above) {
    let top = match above {
        Above::Page => 1,
        Above::Section => 2,
    };
    let written = events.iter().filter_map(|event| match event {
        Event::Start(Tag::Heading { level, .. }) => Some(*level as usize),
        _ => None,
    });
    let Some(highest) = written.min() else { return };
    let mut last = top - 1;
    for event in events {
        match event {
            Event::Start(Tag::Heading { level, .. }) => {
                last = (*level as usize - highest + top).min(last + 1).min(LEVELS.len() - 1);
                *level = LEVELS[last];
            }
            Event::End(TagEnd::Heading(level)) => *level = LEVELS[last],
            _ => (),
        }
    }
}
