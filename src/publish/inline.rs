//! Built-in and own assets as texts within a page, for pages that must work without other files.

use crate::page::PageError;
use crate::view::context::Context;

/// An asset as text that can stand within an element of a page.
///
/// # Errors
///
/// If it is missing, not UTF-8, or holds the end of the element.
pub fn asset<'a>(context: &'a Context<'a>, path: &str) -> Result<String, PageError> {
    let content = context.site.assets().get(path).ok_or_else(|| context.site.error_in(path, "missing"))?;
    let text = String::from_utf8(content.clone()).map_err(|_| context.site.error_in(path, "it is not UTF-8"))?;
    let lower = text.to_ascii_lowercase();
    if ["</script", "</style", "<!--"].iter().any(|end| lower.contains(end)) {
        let problem = "it contains the end of an element, so it cannot be put inside a page";
        return Err(context.site.error_in(path, problem));
    }
    Ok(text)
}
