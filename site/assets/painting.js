// Makes a place on the page like a description of it, and changes only what differs.
//
// An element that is described again stays the same node: it keeps the focus, the caret, and what a finger is about to
// tap. What somebody typed is not touched either, unless the description says another text than it did before.
(function () {
  "use strict";

  /** @type {WeakMap<Node, Description>} */
  const descriptions = new WeakMap();
  /** @type {WeakMap<Node, Map<string, Node>>} */
  const contents = new WeakMap();
  // A user's changes are in properties of a node; its attributes keep the initial values.
  const VALUES = ["INPUT", "TEXTAREA"];

  /**
   * @param {Element} place
   * @param {Described[]} wanted
   */
  function paint(place, wanted) {
    if (!contents.has(place)) place.replaceChildren();
    const before = contents.get(place) || new Map();
    const after = new Map();
    for (const [key, one] of keyed(wanted)) after.set(key, renewed(before.get(key), one));
    const staying = new Set(after.values());
    for (const node of before.values()) if (!staying.has(node)) node.remove();
    arrange(place, staying);
    contents.set(place, after);
  }

  /**
   * Each with a key that no sibling has.
   * @param {Described[]} wanted
   * @returns {[string, Described][]}
   */
  function keyed(wanted) {
    /** @type {Map<string, number>} */
    const counts = new Map();
    return wanted.map((one) => {
      const kind = typeof one === "string" ? "text" : `${one.name} ${one.key}`;
      const count = counts.get(kind) || 0;
      counts.set(kind, count + 1);
      return [`${kind} ${count}`, one];
    });
  }

  /**
   * Puts the nodes into their order. The one with the focus is not moved, or it would lose it: the others move.
   * @param {Element} place
   * @param {Set<Node>} nodes
   */
  function arrange(place, nodes) {
    let next = place.firstChild;
    for (const node of nodes) {
      if (node.parentNode === place && node.contains(document.activeElement)) {
        while (next && next !== node) {
          const passed = next;
          next = next.nextSibling;
          place.append(passed);
        }
      }
      if (node === next) next = next.nextSibling;
      else place.insertBefore(node, next);
    }
  }

  /**
   * @param {Node | undefined} node
   * @param {Described} wanted
   * @returns {Node}
   */
  function renewed(node, wanted) {
    if (typeof wanted === "string") {
      if (!(node instanceof Text)) return document.createTextNode(wanted);
      if (node.data !== wanted) node.data = wanted;
      return node;
    }
    if (wanted.make) return node || wanted.make();
    const there = node instanceof Element ? node : made(wanted);
    change(there, wanted);
    return there;
  }

  /** @param {Description} wanted */
  function made({ name, space }) {
    return space ? document.createElementNS(space, name) : document.createElement(name);
  }

  /**
   * @param {Element} node
   * @param {Description} wanted
   */
  function change(node, wanted) {
    const before = descriptions.get(node);
    descriptions.set(node, wanted);
    for (const type of Object.keys(wanted.on)) if (!before || !before.on[type]) node.addEventListener(type, act);
    const was = before ? before.attributes : {};
    for (const key of Object.keys(was)) if (!(key in wanted.attributes)) drop(node, key);
    for (const [key, value] of Object.entries(wanted.attributes)) if (was[key] !== value) set(node, key, value);
    if (node instanceof HTMLTextAreaElement) return;
    paint(node, wanted.children);
    const { value } = wanted.attributes;
    if (node instanceof HTMLSelectElement && node.value !== value) node.value = value;
  }

  /**
   * What a node does is looked up when it happens, in its latest description.
   * @param {Event} event
   */
  function act(event) {
    const description = descriptions.get(/** @type {Element} */ (event.currentTarget));
    const does = description && description.on[event.type];
    if (does) does(event);
  }

  /**
   * @param {Element} node
   * @param {string} key
   * @param {string} value
   */
  function set(node, key, value) {
    const field = /** @type {HTMLInputElement} */ (node);
    if (key === "value" && VALUES.includes(node.nodeName)) {
      field.defaultValue = value;
      if (field.value !== value) field.value = value;
    } else if (key === "checked") {
      field.defaultChecked = true;
      field.checked = true;
    } else node.setAttribute(key, value);
  }

  /**
   * @param {Element} node
   * @param {string} key
   */
  function drop(node, key) {
    const field = /** @type {HTMLInputElement} */ (node);
    if (key === "value" && VALUES.includes(node.nodeName)) set(node, key, "");
    else if (key === "checked") {
      field.defaultChecked = false;
      field.checked = false;
    } else node.removeAttribute(key);
  }

  window.bartackPainting = { paint };
})();
