// Makes elements for scripts that build a part of a page once. Text is always text, never markup.
//
// A part that changes while somebody uses it is described instead (`elements.js`) and painted (`painting.js`).
(function () {
  "use strict";

  /**
   * @template {keyof HTMLElementTagNameMap} T
   * @param {T} name
   * @param {Record<string, string>} [attributes]
   * @param {(Node | string)[]} children
   */
  function element(name, attributes = {}, ...children) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...children);
    return made;
  }

  /**
   * A button that does something on this page.
   * @param {string} text
   * @param {() => void} act
   */
  function button(text, act) {
    const made = element("button", { type: "button" }, text);
    made.addEventListener("click", act);
    return made;
  }

  window.bartackNodes = { element, button };
})();
