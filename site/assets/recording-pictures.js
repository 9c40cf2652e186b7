// The photographs of a garment to record: chosen from the device, looked at, and named.
//
// The files stay where they are; what is remembered of one is its name, so after the page was closed it is chosen again.
(function () {
  "use strict";

  const { element, button, kept } = window.bartackElements;
  const { kind, hidden, bare } = window.bartackPhotographBytes;
  const { pictureName } = window.bartackRecordingEntry;
  // Names that a camera gives say nothing.
  const OF_A_CAMERA = /^(img|dsc|dscn|dscf|pxl|p|image|photo)?[-_ ]*[0-9][-_ 0-9a-z()]*$/i;
  const PREVIEW = 320;

  /** @type {WeakMap<Photo, Chosen>} */
  const chosen = new WeakMap();
  let count = 0;

  /** @param {number} bytes */
  function size(bytes) {
    return bytes < 1e6 ? `${Math.max(1, Math.round(bytes / 1e3))} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
  }

  /**
   * A name that is free among those of the other photographs.
   * @param {File} file
   * @param {string} ending
   * @param {Photo[]} others
   */
  function proposed(file, ending, others) {
    const stem = file.name.replace(/\.[A-Za-z0-9]+$/, "");
    const own = OF_A_CAMERA.test(stem) ? "" : pictureName(stem + ending).replace(/\.[a-z]+$/, "");
    const taken = new Set(others.map((one) => pictureName(one.file || "")));
    for (let number = 1; ; number += 1) {
      const name = (own ? (number > 1 ? `${own}-${number}` : own) : `photo-${number}`) + ending;
      if (!taken.has(name)) return name;
    }
  }

  /** @param {Chosen} one */
  function drawn({ file }) {
    const canvas = document.createElement("canvas");
    canvas.className = "preview";
    canvas.width = PREVIEW;
    canvas.height = 0;
    createImageBitmap(file).then(
      (picture) => {
        const scale = Math.min(1, PREVIEW / Math.max(picture.width, picture.height));
        canvas.width = Math.round(picture.width * scale);
        canvas.height = Math.round(picture.height * scale);
        canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
        picture.close();
      },
      () => canvas.replaceWith("This browser cannot show it."),
    );
    return canvas;
  }

  /** @param {Pictures} page */
  function pictures({ state, pace, form, most }) {
    /** @type {string[]} */
    let problems = [];

    /**
     * Takes files that were chosen, for a photograph that was named before or for new ones.
     * @param {File[]} files
     * @param {Photo} [photo]
     */
    async function take(files, photo) {
      problems = [];
      for (const file of files) {
        const bytes = new Uint8Array(await file.arrayBuffer().catch(() => new ArrayBuffer(0)));
        const { ending, problem } = kind(bytes);
        const wrong = bytes.length > most ? `is larger than ${size(most)}. Make it smaller.` : problem;
        if (wrong) {
          problems.push(`“${file.name}” ${wrong}`);
          continue;
        }
        const { photos } = state();
        const target = photo && photos.includes(photo) ? photo : {};
        if (!photos.includes(target)) photos.push(target);
        const others = [...photos.filter((one) => one !== target), ...(state().items?.photos || [])];
        const isFitting = target.file && pictureName(target.file).endsWith(ending);
        if (!isFitting) target.file = proposed(file, ending, others);
        count += 1;
        chosen.set(target, { file, bytes, hidden: hidden(bytes), key: `preview-${count}` });
      }
      pace.now();
    }

    /** @param {string} id @param {string} says @param {Photo} [photo] */
    function picker(id, says, photo) {
      const change = (/** @type {any} */ event) => {
        const files = [...event.currentTarget.files];
        event.currentTarget.value = "";
        take(files, photo);
      };
      const input = { type: "file", id, accept: "image/jpeg,image/png", multiple: !photo, on: { change } };
      return element("p", { class: "known", key: id }, element("label", { for: id }, says), element("input", input));
    }

    /** @param {Photo} photo */
    function looked(photo, /** @type {number} */ number) {
      const one = chosen.get(photo);
      const again = "Choose the file: a page that was closed forgets it";
      const lost = () =>
        element("div", { class: "knowns", key: "again" }, picker(`photo-${number}-again`, again, photo));
      if (!one) return photo.file ? lost() : null;
      const within =
        one.hidden.length > 0 ? ` Hidden in it: ${one.hidden.join(", ")}. The bundle leaves that out.` : "";
      return [
        element("p", { class: "detail", key: "size" }, `${one.file.name}, ${size(one.file.size)}.${within}`),
        kept(one.key, () => drawn(one)),
      ];
    }

    function all() {
      const { photos } = state();
      const how =
        "JPEG or PNG, close up and in side light. They stay on this device until you send them. What is hidden in them, " +
        "such as where you stood, is left out of the bundle and never published.";
      const another = () => {
        photos.push({});
        pace.now(`photo-${photos.length - 1}-file`);
      };
      return [
        element("h2", {}, state().correction ? "New photographs" : "Photographs"),
        element("p", { class: "detail" }, how),
        picker("choose-photos", "Choose photographs"),
        element("p", { class: "problem", role: "alert", id: "photos-problem" }, problems.join(" ")),
        photos.map(picture),
        element("p", { key: "more" }, button("Name one that you send later", another, { id: "more-photos" })),
      ];
    }

    /** @param {Photo} photo @param {number} number */
    function picture(photo, number) {
      const id = (/** @type {string} */ key) => `photo-${number}-${key}`;
      const name = pictureName(photo.file || "");
      const sent = ["It goes under the name ", element("b", {}, name), "."];
      const leave = () => form.leave("The photograph is left out.", () => state().photos.splice(number, 1));
      return element(
        "fieldset",
        { class: "feature", key: `photo-${number}` },
        element("legend", {}, `Photograph ${number + 1}`),
        looked(photo, number),
        element(
          "div",
          { class: "knowns" },
          form.text({ key: "file", says: "File", of: photo, id: id("file"), example: "hem.jpg" }),
          form.text({ key: "credit", says: "Who took it", of: photo, id: id("credit") }),
          form.text({ key: "licence", says: "Its licence", of: photo, id: id("licence"), example: form.licence }),
        ),
        name && name !== photo.file && element("p", { class: "detail" }, sent),
        form.ticks("shows", "What does it show?", photo),
        button("Leave this photograph out", leave, { id: id("leave") }),
      );
    }

    return { all };
  }

  /**
   * The photographs as they go into a bundle, each under the name that the entry gives it, without what is hidden.
   * @param {Photo[]} photos
   */
  function packed(photos) {
    /** @type {Map<string, Bytes>} */
    const files = new Map();
    for (const photo of photos) {
      const [one, name] = [chosen.get(photo), pictureName(photo.file || "")];
      if (one && name && !files.has(name)) files.set(name, bare(one.bytes));
    }
    return [...files].map(([name, bytes]) => ({ name, bytes }));
  }

  /** @param {Photo[]} photos */
  function counted(photos) {
    return photos.filter((photo) => chosen.has(photo) && pictureName(photo.file || "")).length;
  }

  window.bartackRecordingPictures = { pictures, packed, counted };
})();
