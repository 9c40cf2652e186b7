// Descriptions of elements for the pages that scripts fill: text is always text, never markup.
//
// Nothing here touches the page; `painting.js` makes the page like a description.
(function () {
  "use strict";

  const SVG = "http://www.w3.org/2000/svg";

  /** @param {Child} child */
  function isThere(child) {
    return child !== null && child !== undefined && child !== false;
  }

  /**
   * An attribute that is null or false is left out; one that is true has no value. `key` and `on` are no attributes.
   * @param {string | null} space
   * @param {string} name
   * @param {Attributes | null} given
   * @param {Child[]} children
   * @returns {Description}
   */
  function described(space, name, given, children) {
    const { key, on = {}, ...rest } = given || {};
    const entries = Object.entries(rest).filter(([, value]) => isThere(value));
    const attributes = Object.fromEntries(entries.map(([one, value]) => [one, value === true ? "" : String(value)]));
    const flat = /** @type {any[]} */ (children).flat(20).filter(isThere);
    const inside = flat.map((child) => (typeof child === "object" ? child : String(child)));
    return { name, space, key: key || attributes.id || "", attributes, on, children: inside };
  }

  /** @param {string} name @param {Attributes | null} attributes @param {Child[]} children */
  function element(name, attributes, ...children) {
    return described(null, name, attributes, children);
  }

  /** @param {string} name @param {Attributes | null} attributes @param {Child[]} children */
  function drawn(name, attributes, ...children) {
    return described(SVG, name, attributes, children);
  }

  /**
   * What is made once and stays until its key is another.
   * @param {string} key
   * @param {() => Element} make
   * @returns {Description}
   */
  function kept(key, make) {
    return { name: "kept", space: null, key, attributes: {}, on: {}, children: [], make };
  }

  /**
   * A button that does something on this page.
   * @param {string} text
   * @param {() => void} act
   * @param {Attributes} [attributes]
   */
  function button(text, act, attributes) {
    return element("button", { type: "button", class: "act", on: { click: act }, ...attributes }, text);
  }

  /**
   * A button that copies what a text field holds, and says so until the text is another.
   * @param {string} label
   * @param {string} id
   * @param {string} text
   */
  function copier(label, id, text) {
    const says = "copied-" + id;
    const say = (/** @type {string} */ words) => {
      const place = document.getElementById(says);
      if (place) place.textContent = words;
    };
    const copied = () => say(" Copied.");
    const fallback = () => say(document.execCommand("copy") ? " Copied." : " Select the text and copy it.");
    const copy = button(label, () => {
      const field = /** @type {HTMLTextAreaElement} */ (document.getElementById(id));
      field.select();
      if (navigator.clipboard && navigator.clipboard.writeText) {
        navigator.clipboard.writeText(field.value).then(copied, fallback);
      } else fallback();
    });
    return [copy, element("span", { id: says, role: "status", key: text })];
  }

  /**
   * What stands under a key itself: an id may be a word that every object of the language knows, such as `constructor`.
   * @template T
   * @param {Record<string, T>} object
   * @param {string} key
   * @returns {T | undefined}
   */
  function own(object, key) {
    return Object.prototype.hasOwnProperty.call(object, key) ? object[key] : undefined;
  }

  /**
   * Names of states and parts are words with hyphens between.
   * @param {string} id
   */
  function words(id) {
    return id.replace(/-/g, " ");
  }

  window.bartackElements = { element, drawn, kept, button, copier, words, own };
})();
