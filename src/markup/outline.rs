//! Fits the headings of a body below the page's heading, so that no level is skipped.
//!
//! People begin with `#` or with `##`; readers who go by headings must not notice.

use pulldown_cmark::{Event, HeadingLevel, Tag, TagEnd};

use super::Above;

const LEVELS: [HeadingLevel; 6] =
    [HeadingLevel::H1, HeadingLevel::H2, HeadingLevel::H3, HeadingLevel::H4, HeadingLevel::H5, HeadingLevel::H6];

/// Moves all headings: the highest to one below the heading above, and none more than one below the last.
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
