// Draws what the search found, and says how much that is. Where nothing is found, it says what to try instead.
(function () {
  "use strict";

  function years(span) {
    if (!span) return "";
    const [from, to] = [span[0] > 1 ? span[0] : "…", span[1] < 9999 ? span[1] : "…"];
    return from === to ? `, ${from}` : `, ${from}–${to}`;
  }

  function part(kind, text) {
    const element = document.createElement("span");
    element.className = kind;
    element.textContent = text;
    return element;
  }

  function link(found, number, top) {
    const element = document.createElement("a");
    const attributes = {
      role: "option",
      id: `found-${number}`,
      href: top + found.path,
      tabindex: "-1",
      "aria-selected": "false",
    };
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    const within = found.within ? ` of ${found.within}` : "";
    element.append(part("name", found.name), part("gloss", ` ${found.sort}${within}${years(found.span)}`));
    return element;
  }

  function note(kind, ...parts) {
    const element = document.createElement("p");
    element.className = kind;
    element.setAttribute("role", "presentation");
    element.append(...parts);
    return element;
  }

  function quoted(words) {
    return words.map((word) => `“${word}”`).join(" or ");
  }

  function nothing(text) {
    const tries = "one word of it, a detail (“belt loops”), a count (“7 belt loops”), years (“1960s”, “late 70s”)";
    return note(
      "nothing",
      `Nothing is found by “${text}”. Try ${tries}, or two names to compare (“one and the other”). The A–Z has all names.`,
    );
  }

  // Where nothing has all that was typed, what has most of it is not passed off as the answer.
  function most(missing) {
    const lost = missing.length > 0 ? `Nothing is found by ${quoted(missing)}. ` : "";
    return note("nothing", `${lost}Nothing has all of these words. These have most of them:`);
  }

  /** What is found by a text, drawn into the list, each as a link; and the sentence that is read aloud. */
  function found(index, text, top, list) {
    list.textContent = "";
    if (!text) return { said: "", links: [] };
    const { count, found, isAll, missing } = window.bartackFind.find(index, text);
    const links = found.map((one, number) => link(one, number, top));
    if (count > 0 && !isAll) list.append(most(missing));
    list.append(...links);
    if (count === 0) list.append(nothing(text));
    const listed = count > found.length ? `${count} found, the nearest ${found.length} listed.` : `${count} found.`;
    const before = list.querySelector(".nothing")?.textContent || "";
    return { said: count > 0 ? `${before} ${listed}`.trim() : before, links };
  }

  window.bartackFound = found;
})();
