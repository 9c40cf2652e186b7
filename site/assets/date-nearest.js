// A text that is nearly in the notation of dates (EDTF; ISO 8601-2) to what it would be without its slips.
//
// The same as `date/nearest.rs` of the program, function by function.
(function () {
  "use strict";

  /** @param {string} plain */
  function notation(plain) {
    if (["unknown", "undated", "no date", "n.d"].includes(plain)) return "XXXX";
    // A mark after the date is the usual place for it.
    if (plain.includes("~ ")) return null;
    let text = plain.replaceAll(" ", "").replaceAll("{", "[").replaceAll("}", "]");
    for (const [old, now] of [
      ["open", ".."],
      ["unknown", ""],
      ["?~", "%"],
      ["~?", "%"],
      ["??", "?"],
      ["~~", "~"],
    ])
      text = text.replaceAll(old, now);
    const dates = text.replace(/[xu]/g, "X").match(/[^/[\],]*[/[\],]|[^/[\],]+/g) || [];
    return dates
      .map((date) => {
        const bare = date.replace(/[/[\],]+$/, "");
        return withOneMarkAPart(bare) + date.slice(bare.length);
      })
      .join("");
  }

  // Rewrites a date so that no part has marks on both sides: `1953-~07?` says of the year what `1953?-%07` says. A mark
  // after a part is also about all parts before it, so it moves to the part before.
  /** @param {string} date */
  function withOneMarkAPart(date) {
    let moved = "";
    const all = date.split("-");
    const parts = [];
    for (let place = all.length - 1; place >= 0; place -= 1) {
      const rest = all[place].replace(/^[?~%]+/, "");
      const bare = rest.replace(/[?~%]+$/, "");
      const front = all[place].slice(0, all[place].length - rest.length);
      const behind = rest.slice(bare.length) + moved;
      moved = "";
      if (front === "" || behind === "") parts.unshift(oneMark(front) + bare + oneMark(behind));
      else if (place === 0) parts.unshift(bare + oneMark(front + behind));
      else {
        parts.unshift(oneMark(front + behind) + bare);
        moved = behind;
      }
    }
    return parts.join("-");
  }

  /** The one mark that says what several say. @param {string} marks */
  function oneMark(marks) {
    return mark(/[~%]/.test(marks), /[?%]/.test(marks));
  }

  /** @param {boolean} isApproximate @param {boolean} isUncertain */
  function mark(isApproximate, isUncertain) {
    if (isApproximate) return isUncertain ? "%" : "~";
    return isUncertain ? "?" : "";
  }

  window.bartackDateNearest = { notation, mark };
})();
