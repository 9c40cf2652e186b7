// Reloads the page when the preview has a newer build than the one it shows.
// Added to pages by the preview's server only; a built site has nothing of it.
(function () {
  "use strict";
  var shown = document.currentScript.getAttribute("data-build");
  var events = null;

  function listen() {
    if (events !== null) {
      return;
    }
    events = new EventSource("/.bartack/events");
    events.onmessage = function (event) {
      if (event.data !== shown) {
        location.reload();
      }
    };
  }

  // A browser opens only six connections to a server, so a page that nobody sees gives its own back.
  function rest() {
    if (events !== null) {
      events.close();
      events = null;
    }
  }

  function attend() {
    if (document.hidden) {
      rest();
    } else {
      listen();
    }
  }

  document.addEventListener("visibilitychange", attend);
  window.addEventListener("pagehide", rest);
  window.addEventListener("pageshow", attend);
  attend();
})();
