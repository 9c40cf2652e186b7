//! A page of the site to the same page as the preview shows it: with a script that reloads it, and with what went wrong.
//!
//! The page's policy is widened by just that script, its style and its events; the built files stay as they are.

use crate::serve::{News, Problem};

/// Where the files of the preview lie; no file of a site begins with a dot.
pub const FOLDER: &str = ".bartack/";

/// The text before the policy in every page that has one.
const POLICY_HEAD: &str = "<meta http-equiv=\"Content-Security-Policy\" content=\"";

/// Gives the page with script, style and problem added.
pub fn page(html: &str, news: &News) -> String {
    let html = with_policy(html);
    let end = html.rfind("</body>").unwrap_or(html.len());
    format!("{}{}{}", &html[..end], addition(news), &html[end..])
}

/// A page of the preview's own, for what is not there.
pub fn missing(title: &str, text: &str, news: &News) -> String {
    let (title, text) = (escaped(title), escaped(text));
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         {POLICY_HEAD}default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{title}</title>\n</head>\n\
         <body>\n<main>\n<h1>{title}</h1>\n<p>{text}</p>\n<p><a href=\"/\">To the first page</a></p>\n</main>\n{}</body>\n</html>\n",
        addition(news)
    )
}

fn addition(news: &News) -> String {
    let problem = news.problem.as_ref().map_or(String::new(), notice);
    let tag = escaped(&news.tag);
    format!(
        "{problem}<link rel=\"stylesheet\" href=\"/{FOLDER}preview.css\">\n\
         <script src=\"/{FOLDER}preview.js\" data-build=\"{tag}\"></script>\n"
    )
}

fn notice(problem: &Problem) -> String {
    format!(
        "<section class=\"bartack-preview\" role=\"alert\" aria-label=\"Preview\">\n<h2>{}</h2>\n\
         <pre tabindex=\"0\">{}</pre>\n</section>\n",
        escaped(&problem.title),
        escaped(&problem.text)
    )
}

fn with_policy(html: &str) -> String {
    let Some((before, rest)) = html.split_once(POLICY_HEAD) else { return html.to_string() };
    let Some((policy, after)) = rest.split_once('"') else { return html.to_string() };
    let policy = policy.replace("&#39;", "'").replace("&#x27;", "'");
    format!("{before}{POLICY_HEAD}{}\"{after}", widened(&policy))
}

/// Lets a policy take scripts, styles and events from the server, and keeps all else as strict as it was.
fn widened(policy: &str) -> String {
    let mut directives: Vec<Vec<&str>> = policy.split(';').map(|one| one.split_whitespace().collect()).collect();
    directives.retain(|words| !words.is_empty());
    let named = |directives: &[Vec<&str>], name: &str| directives.iter().position(|words| words[0] == name);
    for name in ["script-src", "style-src", "connect-src"] {
        // Sources that a policy does not name follow `default-src`; without one they are
        // unrestricted.
        let Some(model) = named(&directives, name).or_else(|| named(&directives, "default-src")) else { continue };
        let kept = directives[model][1..].iter().filter(|word| !["'none'", "'self'"].contains(word));
        let words = [name].into_iter().chain(kept.copied()).chain(["'self'"]).collect();
        match named(&directives, name) {
            Some(at) => directives[at] = words,
            None => directives.push(words),
        }
    }
    directives.iter().map(|words| words.join(" ")).collect::<Vec<String>>().join("; ")
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;").replace('\'', "&#39;")
}

#[cfg(test)]
mod tests {
    use super::{missing, page, widened};
    use crate::markup;
    use crate::serve::{News, Problem};

    fn news(text: &str) -> News {
        let problem = Problem { title: "Not built: 1 error".into(), text: text.into() };
        News { tag: "1-a".into(), problem: (!text.is_empty()).then_some(problem) }
    }

    #[test]
    fn a_policy_gains_the_server_and_nothing_else() {
        assert_eq!(
            widened(markup::CONTENT_SECURITY_POLICY),
            "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; connect-src 'self'"
        );
        assert_eq!(
            widened("default-src 'none'; script-src 'sha256-abc='; connect-src 'none'"),
            "default-src 'none'; script-src 'sha256-abc=' 'self'; connect-src 'self'; style-src 'self'"
        );
        assert_eq!(widened("img-src 'self'"), "img-src 'self'");
    }

    #[test]
    fn an_escaped_policy_is_read_and_the_script_comes_last() {
        let html = "<head><meta http-equiv=\"Content-Security-Policy\" content=\"default-src &#39;none&#39;\"></head><body>x</body>";
        let page = page(html, &news(""));
        assert!(
            page.contains("content=\"default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'\""),
            "{page}"
        );
        assert!(page.ends_with("data-build=\"1-a\"></script>\n</body>"), "{page}");
        assert!(!page.contains("role=\"alert\""));
    }

    #[test]
    fn what_went_wrong_is_text() {
        let news = news("<script>alert(1)</script>");
        for page in [page("no body", &news), missing("<b>", "</main>", &news)] {
            assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt;") && !page.contains("<script>"), "{page}");
            assert!(!page.contains("<b>"));
        }
    }
}
