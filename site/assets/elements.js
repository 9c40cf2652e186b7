// Makers of elements for the pages that scripts fill: text is always text, never markup.
(function () {
  "use strict";

  const SVG = "http://www.w3.org/2000/svg";

  function isThere(child) {
    return child !== null && child !== undefined && child !== false;
  }

  // An attribute that is null or false is left out; one that is true has no value.
  function element(name, attributes, ...children) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes || {}))
      if (isThere(value)) made.setAttribute(key, value === true ? "" : value);
    made.append(...children.flat(Infinity).filter(isThere));
    return made;
  }

  function drawn(name, attributes, ...children) {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...children);
    return made;
  }

  // A button that does something on this page.
  function button(text, act, attributes) {
    const made = element("button", { type: "button", class: "act", ...attributes }, text);
    made.addEventListener("click", act);
    return made;
  }

  // A button that copies what a text field holds, and says so.
  function copier(text, field) {
    const said = element("span", { role: "status" });
    const copied = () => {
      said.textContent = " Copied.";
    };
    const fallback = () => {
      said.textContent = document.execCommand("copy") ? " Copied." : " Select the text and copy it.";
    };
    const copy = button(text, () => {
      field.select();
      if (navigator.clipboard && navigator.clipboard.writeText)
        navigator.clipboard.writeText(field.value).then(copied, fallback);
      else fallback();
    });
    return [copy, said];
  }

  // What stands under a key itself: an id may be a word that every object of the language knows, such as `constructor`.
  function own(object, key) {
    return Object.prototype.hasOwnProperty.call(object, key) ? object[key] : undefined;
  }

  // Names of states and parts are words with hyphens between.
  function words(id) {
    return id.replace(/-/g, " ");
  }

  window.bartackElements = { element, drawn, button, copier, words, own };
})();
