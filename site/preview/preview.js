// Reloads the page when the preview has a newer build than the one it shows.
// Added to pages by the preview's server only; a built site has nothing of it.
//
// A browser opens only six connections to a server. So of all pages that can be seen one alone listens to the server,
// which the browser's lock decides, and passes on what it hears; a page that nobody sees takes no part.
(function () {
  "use strict";
  var NAME = "bartack-preview";
  var shown = document.currentScript.getAttribute("data-build");
  var channel = typeof BroadcastChannel === "function" ? new BroadcastChannel(NAME) : null;
  // What ends this page's turn, while it waits for one or has one.
  var turn = null;
  var events = null;
  var newest = null;

  function hear(build) {
    if (build !== shown) {
      location.reload();
    }
  }

  function listen() {
    events = new EventSource("/.bartack/events");
    events.onmessage = function (event) {
      newest = event.data;
      if (channel !== null) {
        channel.postMessage({ build: newest });
      }
      hear(newest);
    };
  }

  function attend() {
    if (turn !== null) {
      return;
    }
    if (channel === null || !navigator.locks) {
      turn = { end: function () {} };
      listen();
      return;
    }
    var waiting = new AbortController();
    var own = (turn = {
      end: function () {
        waiting.abort();
      },
    });
    navigator.locks
      .request(NAME, { signal: waiting.signal }, function () {
        return new Promise(function (done) {
          if (turn !== own) {
            done();
            return;
          }
          own.end = done;
          listen();
        });
      })
      .catch(function () {
        // The page rested before it had its turn.
      });
    channel.postMessage({ ask: true });
  }

  function rest() {
    if (events !== null) {
      events.close();
      events = null;
    }
    if (turn !== null) {
      var ended = turn;
      turn = null;
      ended.end();
    }
  }

  function change() {
    if (document.hidden) {
      rest();
    } else {
      attend();
    }
  }

  if (channel !== null) {
    channel.onmessage = function (message) {
      if (message.data.build) {
        hear(message.data.build);
      } else if (events !== null && newest !== null) {
        channel.postMessage({ build: newest });
      }
    };
  }
  document.addEventListener("visibilitychange", change);
  window.addEventListener("pagehide", rest);
  window.addEventListener("pageshow", change);
  change();
})();
