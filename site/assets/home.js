// Cuts the makers of the first page down to a year, a kind of garment and a line. Without it they stand by letter.
(function () {
  "use strict";

  const place = document.getElementById("makers-by-letter");
  if (!place) return;
  const letters = /** @type {HTMLDetailsElement[]} */ ([...place.querySelectorAll("details.letter")]);
  const makers = /** @type {HTMLElement[]} */ ([...place.querySelectorAll("li")]);

  function made(tag, attributes, parent) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    parent.append(element);
    return element;
  }

  const form = document.createElement("div");
  form.className = "cut-down";
  form.setAttribute("role", "group");
  form.setAttribute("aria-label", "Show only some makers");
  place.before(form);

  function field(words, tag, attributes) {
    const label = made("label", {}, form);
    label.append(words);
    return /** @type {HTMLInputElement & HTMLSelectElement} */ (made(tag, attributes, label));
  }

  const year = field("Made in the year", "input", { inputmode: "numeric", autocomplete: "off", maxlength: "4" });
  const kind = field("Kind of garment", "select", {});
  const line = field("Maker or line", "input", { autocomplete: "off", autocapitalize: "off", spellcheck: "false" });
  const told = made("p", { role: "status" }, form);

  const kinds = new Set(makers.flatMap((maker) => maker.dataset.kinds.split("|")).filter(Boolean));
  made("option", { value: "" }, kind).textContent = "any";
  for (const one of [...kinds].sort()) made("option", { value: one }, kind).textContent = one;

  const namesOf = (maker) =>
    [...maker.querySelectorAll("a, i")]
      .map((one) => one.textContent)
      .join(" ")
      .toLowerCase();

  // A maker without a date may be of any year.
  function isWanted(maker, wanted) {
    const { from, to, kinds: own } = maker.dataset;
    const year_fits = !wanted.year || (Number(from || 0) <= wanted.year && wanted.year <= Number(to || 9999));
    const kind_fits = !wanted.kind || own.split("|").includes(wanted.kind);
    return year_fits && kind_fits && (!wanted.line || namesOf(maker).includes(wanted.line));
  }

  function show() {
    const text = year.value.trim();
    const is_wrong = text !== "" && !/^[0-9]{4}$/.test(text);
    const wanted = { year: is_wrong ? 0 : Number(text), kind: kind.value, line: line.value.trim().toLowerCase() };
    const is_cut = Boolean(wanted.year || wanted.kind || wanted.line);
    let count = 0;
    for (const maker of makers) {
      maker.hidden = is_cut && !isWanted(maker, wanted);
      if (!maker.hidden) count += 1;
    }
    for (const letter of letters) {
      const left = letter.querySelectorAll("li:not([hidden])").length;
      letter.hidden = left === 0;
      letter.open = is_cut && count <= 60;
      letter.querySelector(".n").textContent = String(left);
    }
    const words = is_cut ? `${count} of ${makers.length} makers.` : `${makers.length} makers.`;
    told.textContent = is_wrong ? "Write a year with four figures, such as 1962." : words;
  }

  for (const one of [year, kind, line]) one.addEventListener("input", show);
  show();
})();
