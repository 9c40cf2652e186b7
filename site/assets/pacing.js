// When a page is painted anew: at once after a tap, a moment after a letter is typed, and never while a pointer is down:
// what somebody is about to click must not move from under the pointer.
(function () {
  "use strict";

  // Letters come faster than this; what follows from a text is worked out when the hand rests.
  const REST = 200;
  // A browser takes a finger that was lifted for a tap within this time, and only then looks what lies under it.
  const TAP = 400;

  /**
   * Calls `show` when it is time. `now` is for what was tapped, with the id of what is to have the focus; `soon` for a
   * letter that was typed; `left` for a text that was finished.
   * @param {() => void} show
   */
  function pacing(show) {
    let isDue = false;
    let isPressed = false;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    let timer;

    function flush() {
      clearTimeout(timer);
      if (!isDue) return;
      isDue = false;
      show();
    }

    function release() {
      isPressed = false;
      flush();
    }

    /** @param {string | null} [focus] */
    function now(focus) {
      isDue = true;
      release();
      const target = focus ? document.getElementById(focus) : null;
      if (!target || target === document.activeElement) return;
      target.focus({ preventScroll: true });
      target.scrollIntoView({ block: "nearest" });
    }

    function soon() {
      isDue = true;
      clearTimeout(timer);
      timer = setTimeout(() => isPressed || flush(), REST);
    }

    function left() {
      isDue = true;
      if (!isPressed) flush();
    }

    /** @param {Event} event */
    function press(event) {
      if (/** @type {MouseEvent} */ (event).button === 0) isPressed = true;
    }

    /** @param {KeyboardEvent} event */
    function key({ key: pressed }) {
      isPressed = false;
      // The target of Tab may depend on the last letters typed.
      if (pressed === "Tab" || pressed === "Enter") flush();
    }

    for (const type of ["pointerdown", "mousedown"]) document.addEventListener(type, press, true);
    // A click does what it does on the page as it is by then.
    document.addEventListener("click", release, true);
    // A press without a click; where one follows, it comes before the timer.
    /** @param {Event} event */
    const lift = (event) => {
      const isFinger = event.type === "pointerup" && /** @type {PointerEvent} */ (event).pointerType === "touch";
      setTimeout(release, isFinger ? TAP : 0);
    };
    for (const type of ["pointerup", "pointercancel", "mouseup", "dragend"])
      document.addEventListener(type, lift, true);
    document.addEventListener("keydown", key, true);
    window.addEventListener("blur", release);
    window.addEventListener("pagehide", release);
    return { now, soon, left };
  }

  window.bartackPacing = pacing;
})();
