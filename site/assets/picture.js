// The dialog that offers a page's picture to save: in two sizes, each as SVG and as PNG.
(function () {
  "use strict";

  const { element, button } = window.bartackNodes;
  const { SIZES, scene } = window.bartackPictureLayout;
  const { svg, canvas } = window.bartackPictureDrawing;

  /** The name of a file after a title, of letters that every disk takes. @param {string} title */
  function plain(title) {
    const words = title
      .normalize("NFKD")
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, "-");
    return (
      words
        .replace(/^-+|-+$/g, "")
        .slice(0, 60)
        .replace(/-+$/, "") || "picture"
    );
  }

  /** @param {Blob} blob @param {string} name */
  function save(blob, name) {
    const href = URL.createObjectURL(blob);
    const link = element("a", { href, download: name });
    link.click();
    setTimeout(() => URL.revokeObjectURL(href), 60000);
  }

  // On a canvas, which no style sheet of the page reaches.
  /** @param {PictureScene} placed @param {string} says */
  function preview(placed, says) {
    const drawn = canvas(placed);
    drawn.setAttribute("role", "img");
    drawn.setAttribute("aria-label", `${says}: ${placed.title}`);
    return drawn;
  }

  /** @param {PictureContent} content */
  function offer(content) {
    const opener = /** @type {HTMLElement | null} */ (document.activeElement);
    const told = element("p", { role: "status" });
    const sizes = SIZES.map((size) => {
      const placed = scene(content, size);
      const text = svg(placed);
      const says = `${size.says}, ${size.width} × ${size.height}`;
      const name = `${plain(content.title)}-${size.width}x${size.height}`;
      const asSvg = button("Save as SVG", () => {
        save(new Blob([text], { type: "image/svg+xml" }), `${name}.svg`);
        told.textContent = `${name}.svg was given to the browser to save.`;
      });
      const asPng = button("Save as PNG", () => {
        canvas(placed).toBlob((blob) => {
          if (blob) save(blob, `${name}.png`);
          told.textContent = blob
            ? `${name}.png was given to the browser to save.`
            : "This browser could not make a PNG.";
        }, "image/png");
      });
      for (const one of [asSvg, asPng]) one.setAttribute("aria-label", `${one.textContent}: ${says}`);
      return element(
        "section",
        { class: `as-${size.name}` },
        element("h3", {}, says),
        preview(placed, says),
        element("p", {}, asSvg, " ", asPng),
      );
    });
    const dialog = element("dialog", { class: "picture", "aria-labelledby": "picture-title" });
    const close = button("Close", () => dialog.close());
    dialog.append(
      element("header", {}, element("h2", { id: "picture-title" }, "A picture of this page"), close),
      element(
        "p",
        {},
        "Drawn here, from the figures of this page. Nothing leaves this machine. Keep the caution in it.",
      ),
      element("div", { class: "sizes" }, ...sizes),
      told,
    );
    dialog.addEventListener("close", () => {
      dialog.remove();
      if (opener && opener.isConnected) opener.focus();
    });
    document.body.append(dialog);
    dialog.showModal();
  }

  window.bartackPicture = { offer };
})();
