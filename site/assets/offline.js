// The button that keeps the site for offline use: shown where a worker may run, which is https and this machine itself.
(function () {
  "use strict";

  const place = /** @type {HTMLElement | null} */ (document.querySelector(".keep"));
  const isHere = ["localhost", "127.0.0.1", "[::1]"].includes(location.hostname);
  if (
    !place ||
    !("serviceWorker" in navigator) ||
    !(location.protocol === "https:" || (isHere && location.protocol === "http:"))
  )
    return;
  const button = place.querySelector("button"),
    told = place.querySelector('[role="status"]');
  place.hidden = false;

  navigator.serviceWorker.addEventListener("message", ({ data }) => {
    if (!data.ended) told.textContent = `${data.done} of ${data.all} files …`;
    else if (data.missing) told.textContent = `${data.missing} files could not be fetched; press again to continue.`;
    else told.textContent = "Kept. All pages open without a network.";
    if (data.ended) button.disabled = false;
  });

  button.addEventListener("click", async () => {
    button.disabled = true;
    told.textContent = "Begun …";
    try {
      await navigator.serviceWorker.register("worker.js");
      const { active } = await navigator.serviceWorker.ready;
      active.postMessage("keep");
    } catch (error) {
      told.textContent = "This browser cannot keep a site for offline use.";
      button.disabled = false;
    }
  });
})();
