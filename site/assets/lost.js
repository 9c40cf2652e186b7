// The page for what is not there is shown at any address of a host. This finds the folder in which the site lies, at or
// above that address, and leads the links of the page there.
//
// It knows the folder by its icon: a picture is all that a page of a folder may look for.
(function () {
  "use strict";

  const MOST_FOLDERS = 24;
  const ICON = "assets/icon.svg";

  /**
   * The folders at and above this address, the deepest first.
   * @returns {string[]}
   */
  function folders() {
    const found = [];
    let folder = new URL("./", location.href.split(/[?#]/)[0]).href;
    while (found.length < MOST_FOLDERS) {
      found.push(folder);
      const above = new URL("../", folder).href;
      if (above === folder) break;
      folder = above;
    }
    return found;
  }

  /** @param {string[]} left */
  function look(left) {
    const [folder, ...more] = left;
    if (folder === undefined) return;
    const icon = new Image();
    icon.onload = () => lead(folder);
    icon.onerror = () => look(more);
    icon.src = folder + ICON;
  }

  /** @param {string} folder */
  function lead(folder) {
    const links = /** @type {NodeListOf<HTMLAnchorElement>} */ (document.querySelectorAll("a[data-page]"));
    for (const link of links) link.href = folder + link.dataset.page;
    const place = /** @type {HTMLElement} */ (document.querySelector(".find"));
    place.dataset.root = folder;
    const search = document.createElement("script");
    search.src = folder + "assets/search.js";
    document.body.append(search);
  }

  look(folders());
})();
