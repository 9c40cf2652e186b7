// The field of search: a combobox with a list (WAI-ARIA Authoring Practices, "editable combobox with list autocomplete").
// The index is loaded when the field is first used; without this script the link to all names stands alone.
(function () {
  "use strict";

  const place = /** @type {HTMLElement | null} */ (document.querySelector(".find"));
  if (!place) return;
  const LOST = "The index could not be loaded; the A–Z has all names.";
  const top = place.dataset.root;
  let index = null,
    asked = false,
    active = -1,
    options = [];

  function made(tag, attributes, parent) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    if (parent) parent.append(element);
    return element;
  }

  const box = document.createElement("div");
  made("label", { for: "find" }, box).textContent = "Search";
  const field = made(
    "input",
    {
      id: "find",
      type: "text",
      role: "combobox",
      "aria-autocomplete": "list",
      "aria-expanded": "false",
      "aria-controls": "found",
      autocomplete: "off",
      autocapitalize: "off",
      spellcheck: "false",
      enterkeyhint: "go",
      placeholder: "a name, a detail, a year",
    },
    box,
  );
  const list = made("div", { id: "found", role: "listbox", "aria-label": "Found" }, box);
  list.hidden = true;
  const told = made("p", { role: "status", class: "told" }, box);
  place.prepend(box);

  // Where a phone has no room for the field, a link to all names replaces it; here the link opens
  // the field instead.
  const opener = document.querySelector(".to-search a");
  if (opener) {
    place.id = "search-place";
    const attributes = { role: "button", "aria-expanded": "false", "aria-controls": place.id };
    for (const [name, value] of Object.entries(attributes)) opener.setAttribute(name, value);
    opener.addEventListener("click", (event) => {
      event.preventDefault();
      const open = place.classList.toggle("open");
      opener.setAttribute("aria-expanded", String(open));
      if (open) field.focus();
    });
    opener.addEventListener("keydown", (event) => {
      if (/** @type {KeyboardEvent} */ (event).key !== " ") return;
      event.preventDefault();
      /** @type {HTMLElement} */ (opener).click();
    });
  }

  // The rest of the site closes when the reader leaves it.
  const rest = /** @type {HTMLDetailsElement | null} */ (document.querySelector(".rest-of-site"));
  if (rest) {
    rest.addEventListener("keydown", (event) => {
      if (event.key !== "Escape" || !rest.open) return;
      rest.open = false;
      rest.querySelector("summary").focus();
    });
    document.addEventListener("click", (event) => {
      if (!rest.contains(/** @type {Node} */ (event.target))) rest.open = false;
    });
  }

  function load() {
    if (asked) return;
    asked = true;
    const parts = ["terms", "pairs", "index", "found"].map((part) => `assets/search-${part}.js`);
    const sources = [...parts, "search.js"];
    let missing = sources.length;
    for (const source of sources) {
      const script = made("script", { src: top + source });
      // In their order, since each reads those before it.
      script.async = false;
      script.onload = () => {
        if (--missing > 0) return;
        index = window.bartackFind.prepare(window.bartackSearch);
        if (field.value.trim()) show();
      };
      script.onerror = () => {
        made("p", { class: "nothing", role: "presentation" }, list).textContent = LOST;
        list.hidden = false;
        told.textContent = LOST;
      };
      document.head.append(script);
    }
  }

  function close() {
    list.hidden = true;
    active = -1;
    field.setAttribute("aria-expanded", "false");
    field.removeAttribute("aria-activedescendant");
  }

  function show() {
    if (!index) return;
    const text = field.value.trim();
    close();
    const { said, links } = window.bartackFound(index, text, top, list);
    options = links;
    list.hidden = list.childElementCount === 0;
    field.setAttribute("aria-expanded", String(options.length > 0));
    told.textContent = said;
  }

  function go(to) {
    if (options.length === 0) return;
    if (active >= 0) options[active].setAttribute("aria-selected", "false");
    // One step beyond either end is the field itself.
    active = ((to + 1 + options.length + 1) % (options.length + 1)) - 1;
    list.hidden = false;
    field.setAttribute("aria-expanded", "true");
    if (active < 0) {
      field.removeAttribute("aria-activedescendant");
      return;
    }
    options[active].setAttribute("aria-selected", "true");
    options[active].scrollIntoView({ block: "nearest" });
    field.setAttribute("aria-activedescendant", options[active].id);
  }

  field.addEventListener("focus", load);
  field.addEventListener("input", () => {
    load();
    show();
  });
  field.addEventListener("keydown", (event) => {
    if (event.isComposing) return;
    if (event.key === "ArrowDown") go(active + 1);
    else if (event.key === "ArrowUp") go(active < 0 ? options.length - 1 : active - 1);
    else if (event.key === "Enter" && !list.hidden && options.length > 0) options[Math.max(active, 0)].click();
    else if (event.key === "Escape" && !list.hidden) close();
    else if (event.key === "Escape") {
      field.value = "";
      show();
    } else return;
    event.preventDefault();
  });
  box.addEventListener("focusout", (event) => {
    if (!box.contains(/** @type {Node | null} */ (event.relatedTarget))) close();
  });
  list.addEventListener("mousedown", (event) => event.preventDefault());
})();
