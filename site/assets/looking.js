// Where to look next, worked out after the rest of an answer is painted, a slice at a time: it takes the longest, and
// neither a first view nor a tap waits for it.
//
// Until the new advice is there, the last one stays, so that nothing below it moves.
(function () {
  "use strict";

  // A slice ends after so many milliseconds, so that a tap meanwhile is answered at once.
  const SLICE = 8;
  const LATEST = 300;
  const REST = 20;

  /** @typedef {{ feature: string, look: string }[]} Looks */

  /**
   * Works on behalf of a page. `show` gets the advice, null if there was none yet, and whether it is still worked out.
   * @param {(looks: Looks | null, isBusy: boolean) => void} show
   */
  function looking(show) {
    /** @type {Looks | null} */
    let looks = null;
    /** @type {(() => Looks | null) | null} */
    let look = null;
    let round = 0;

    /** @param {number} mine */
    function later(mine) {
      const work = () => mine === round && slice(mine);
      if (window.requestIdleCallback) window.requestIdleCallback(work, { timeout: LATEST });
      else setTimeout(work, REST);
    }

    /** @param {number} mine */
    function slice(mine) {
      const end = performance.now() + SLICE;
      do if (step()) return;
      while (performance.now() < end);
      later(mine);
    }

    // Says whether the advice is complete.
    function step() {
      const found = look && look();
      if (!found) return look === null;
      looks = found;
      look = null;
      show(looks, false);
      return true;
    }

    /**
     * Begins anew with a function that works out a part at each call and gives null until the last.
     * @param {() => Looks | null} part
     * @param {boolean} isTold
     */
    function begin(part, isTold) {
      round += 1;
      look = part;
      // Without a variant in question there is no advice.
      if (!isTold) return void step();
      show(looks, true);
      return later(round);
    }

    // What is printed is whole.
    window.addEventListener("beforeprint", () => {
      while (!step());
    });
    return begin;
  }

  window.bartackLooking = looking;
})();
