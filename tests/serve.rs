//! `bartack serve` over a real socket: what it shows, what it refuses, and how it follows a save.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;
use std::io::Read;
use std::path::Path;
use std::process::Command;

use walkdir::WalkDir;

use preview::{Preview, bartack, status};

#[path = "serve/crowd.rs"]
mod crowd;
#[path = "serve/preview.rs"]
mod preview;

const VARIANT: &str = "/makers/orrin-velk/fieldgate-7/first-men.html";

#[test]
fn pages_and_files_are_served_with_their_kind() {
    let preview = Preview::begin();
    let home = preview.get("/");
    assert_eq!(status(&home), "200 OK");
    assert!(
        home.contains("Content-Type: text/html; charset=utf-8\r\n") && home.contains("My knowledge base"),
        "{home}"
    );
    assert!(home.contains("Cache-Control: no-store\r\n") && home.contains("X-Content-Type-Options: nosniff\r\n"));
    assert_eq!(preview.get("/index.html?again"), home);
    for (path, kind) in [
        (VARIANT, "text/html; charset=utf-8"),
        ("/assets/site.css", "text/css; charset=utf-8"),
        ("/data/eras.csv", "text/csv; charset=utf-8"),
        ("/rules/rules.json", "application/json"),
        ("/.bartack/preview.js", "text/javascript; charset=utf-8"),
        ("/.bartack/preview.css", "text/css; charset=utf-8"),
    ] {
        let answer = preview.get(path);
        assert_eq!(status(&answer), "200 OK", "{path}");
        assert!(answer.contains(&format!("Content-Type: {kind}\r\n")), "{path}: {answer}");
    }
    let (head, body) = home.split_once("\r\n\r\n").unwrap();
    assert!(head.contains(&format!("Content-Length: {}", body.len())));
    assert_eq!(preview.ask("HEAD", "/"), format!("{head}\r\n\r\n"), "the head alone");
}

#[test]
fn only_the_served_page_has_the_script_and_a_policy_for_it() {
    let preview = Preview::begin();
    let page = preview.get("/");
    assert!(page.contains("<script src=\"/.bartack/preview.js\" data-build=\"1-"), "{page}");
    let policy =
        page.split_once("http-equiv=\"Content-Security-Policy\" content=\"").unwrap().1.split_once('"').unwrap().0;
    assert!(policy.contains("script-src 'self'") && policy.contains("connect-src 'self'"), "{policy}");
    assert!(
        policy.starts_with("default-src 'none'") && !policy.contains("unsafe") && !policy.contains('*'),
        "{policy}"
    );
    assert_eq!(
        names(preview.base.path()),
        [".github", ".gitignore", ".vscode", "entries", "schema"],
        "nothing is written"
    );
}

#[test]
fn foreign_hosts_are_refused() {
    let preview = Preview::begin();
    for host in ["example.org", &format!("example.org:{}", preview.port), "127.0.0.1", "127.0.0.1:1"] {
        let answer = preview.raw(format!("GET / HTTP/1.1\r\nHost: {host}\r\n\r\n").as_bytes());
        let answer = String::from_utf8_lossy(&answer);
        assert_eq!(status(&answer), "421 Misdirected Request", "{host}");
        assert!(!answer.contains("My knowledge base"));
    }
    assert_eq!(status(&String::from_utf8_lossy(&preview.raw(b"GET / HTTP/1.1\r\n\r\n"))), "400 Bad Request");
    let own = format!("GET / HTTP/1.1\r\nHost: localhost:{}\r\n\r\n", preview.port);
    assert_eq!(status(&String::from_utf8_lossy(&preview.raw(own.as_bytes()))), "200 OK");
}

#[test]
fn tricks_with_paths_and_methods_are_refused() {
    let preview = Preview::begin();
    let about = "entries/about.md";
    for target in [
        format!("/../{about}"),
        format!("/%2e%2e/{about}"),
        format!("/%2E%2E%2F{about}"),
        format!("/makers/..%2f..%2f..%2f{about}"),
        format!("/..%5c{about}"),
        format!("/..\\{about}"),
        "//etc/passwd".to_string(),
        "/%2fetc/passwd".to_string(),
        "/index.html%00".to_string(),
        "/c:/index.html".to_string(),
        "/%zz".to_string(),
        "http://127.0.0.1/index.html".to_string(),
        "index.html".to_string(),
    ] {
        let answer = preview.get(&target);
        assert_eq!(status(&answer), "400 Bad Request", "{target}");
        assert!(!answer.contains("My knowledge base") && !answer.contains("root:"), "{target}");
    }
    for target in ["/.bartack", "/.bartack/manifest", "/%252e%252e/entries/about.md", "/makers", "/makers/", "/no.html"]
    {
        assert_eq!(status(&preview.get(target)), "404 Not Found", "{target}");
    }
    for method in ["POST", "PUT", "DELETE", "OPTIONS", "TRACE"] {
        let answer = preview.ask(method, "/");
        assert_eq!(status(&answer), "405 Method Not Allowed");
        assert!(answer.contains("Allow: GET, HEAD\r\n"));
    }
    let long = preview.get(&format!("/{}", "a".repeat(40_000)));
    assert_eq!(status(&long), "431 Request Header Fields Too Large");
    assert_eq!(status(&String::from_utf8_lossy(&preview.raw(b"\xff\xfe\r\n\r\n"))), "400 Bad Request");
    let missing = preview.get("/%3Cscript%3Ealert(1)%3C/script%3E");
    assert_eq!(status(&missing), "404 Not Found");
    assert!(missing.contains("&lt;script&gt;") && !missing.contains("<script>"), "{missing}");
}

#[test]
fn every_file_is_the_one_that_build_writes() {
    let preview = Preview::of(|root| {
        let folder = root.join("entries/makers/orrin-velk/fieldgate-7/first-men");
        fs::copy("tests/disk/three-by-two.png", folder.join("label.png")).unwrap();
        let entry = folder.join("barn-find.md");
        let text = fs::read_to_string(&entry).unwrap().replacen(
            "basis ",
            "photos = [{ file = \"label.png\", credit = \"wren-t\", licence = \"CC0-1.0\" }]\nbasis ",
            1,
        );
        fs::write(entry, text).unwrap();
    });
    let out = preview.path("out");
    let root = preview.base.path().to_str().unwrap();
    let built = bartack().args(["--root", root, "build", "--out"]).arg(&out).output().unwrap();
    assert!(built.status.success(), "{}", String::from_utf8_lossy(&built.stderr));
    let files = WalkDir::new(&out).into_iter().map(Result::unwrap).filter(|entry| entry.file_type().is_file());
    let (mut same, mut pictures) = (0, 0);
    for file in files {
        let path = file.path().strip_prefix(&out).unwrap().to_str().unwrap().replace('\\', "/");
        // Pages are dressed with a script; what tells of the archive of the site differs, since the preview has none.
        if path.ends_with(".html") || ["worker.js", "site.zip", ".bartack"].contains(&path.as_str()) {
            continue;
        }
        let answer =
            preview.raw(format!("GET /{path} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", preview.port).as_bytes());
        let body = answer.windows(4).position(|window| window == b"\r\n\r\n").unwrap() + 4;
        assert!(answer[body..] == fs::read(file.path()).unwrap(), "{path}");
        (same, pictures) = (same + 1, pictures + usize::from(path.starts_with("photographs/")));
    }
    assert!(same > 40 && pictures == 1, "{same} files, {pictures} pictures");
    let worker = preview.get("/worker.js");
    assert!(worker.contains("\"photographs/makers/orrin-velk/fieldgate-7/first-men/barn-find/1-3.jpg\""), "{worker}");
    assert!(preview.get("/downloads.html").contains("garment.html"));
}

#[test]
fn a_template_that_fails_is_said_on_the_page_it_keeps_from_being_made() {
    let preview = Preview::of(|root| {
        fs::create_dir_all(root.join("site/templates")).unwrap();
        fs::write(root.join("site/templates/sources.html"), "{{ nobody.knows.this }}").unwrap();
    });
    let answer = preview.get("/sources.html");
    assert_eq!(status(&answer), "500 Internal Server Error");
    assert!(answer.contains("sources.html") && answer.contains("nobody"), "{answer}");
    assert_eq!(status(&preview.get("/")), "200 OK");
}

#[test]
fn a_save_reaches_open_pages_and_an_error_stands_over_the_last_good_build_until_it_is_repaired() {
    let preview = Preview::begin();
    let mut events = preview.events();
    let first = events.next();
    assert!(preview.get("/").contains(&format!("data-build=\"{first}\"")), "the page knows which build it shows");

    preview.replace("entries/about.md", "My knowledge base", "Coats of the vale");
    let second = events.next();
    assert_ne!(second, first);
    let page = preview.get("/");
    assert!(page.contains("Coats of the vale") && page.contains(&format!("data-build=\"{second}\"")), "{page}");

    preview.replace("entries/makers/orrin-velk/fieldgate-7/first-men/barn-find.md", "\"specimen\"", "\"<b>garment\"");
    let third = events.next();
    let page = preview.get("/");
    assert!(page.contains("Coats of the vale") && page.contains("role=\"alert\""), "{page}");
    assert!(page.contains("Not built: 1 error") && page.contains("first-men/barn-find.md:"), "{page}");
    assert!(page.contains("&lt;b&gt;garment") && !page.contains("<b>garment"), "{page}");
    assert!(preview.get("/makers/orrin-velk/fieldgate-7/first-men/barn-find.html").starts_with("HTTP/1.1 200"));

    preview.replace("entries/makers/orrin-velk/fieldgate-7/first-men/barn-find.md", "\"<b>garment\"", "\"specimen\"");
    let fourth = events.next();
    assert_ne!(fourth, third);
    assert!(!preview.get("/").contains("role=\"alert\""));
}

#[test]
fn a_knowledge_base_that_begins_broken_is_shown_without_the_broken_entry() {
    let broken = |root: &Path| fs::write(root.join("entries/unplaced/torn.md"), "+++\nbasis = 3\n+++\n").unwrap();
    let preview = Preview::of(broken);
    let page = preview.get(VARIANT);
    assert_eq!(status(&page), "200 OK");
    assert!(page.contains("Not built: 1 error") && page.contains("entries/unplaced/torn.md:2"), "{page}");
    assert!(preview.get("/unplaced/coat-without-label.html").starts_with("HTTP/1.1 200"));
    let mut events = preview.events();
    events.next();
    fs::remove_file(preview.path("entries/unplaced/torn.md")).unwrap();
    events.next();
    assert!(!preview.get(VARIANT).contains("role=\"alert\""));
}

#[test]
fn a_port_in_use_and_a_folder_without_entries_are_said() {
    let preview = Preview::begin();
    let port = preview.port.to_string();
    let root = preview.base.path().to_str().unwrap();
    let output = bartack().args(["--root", root, "serve", "--port", &port]).output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(said.contains(&format!("port {port} of 127.0.0.1 cannot be used")) && said.contains("--port"), "{said}");
    let empty = tempfile::tempdir().unwrap();
    let output = bartack().arg("--root").arg(empty.path()).args(["serve", "--port", "0"]).output();
    assert_eq!(output.unwrap().status.code(), Some(2));
}

#[cfg(unix)]
#[test]
fn control_c_ends_it_cleanly_and_leaves_nothing_behind() {
    let mut preview = Preview::begin();
    let names = names(preview.base.path());
    let id = preview.process.id().to_string();
    assert!(Command::new("kill").args(["-INT", &id]).status().unwrap().success());
    assert_eq!(preview.process.wait().unwrap().code(), Some(0));
    assert_eq!(self::names(preview.base.path()), names);
    let mut rest = String::new();
    preview.words.read_to_string(&mut rest).unwrap();
    assert_eq!(rest, "", "it ends without a complaint");
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned());
    let mut names: Vec<String> = entries.collect();
    names.sort();
    names
}
