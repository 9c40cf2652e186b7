// Turns the era of a variant into the production weight of each year.
(function (root) {
  "use strict";

  const dating = (root.bartackDating = root.bartackDating || {});
  const { dayNumber, parseDay } = dating;
  const FLOOR = 0.05;
  const HALVING = 5;

  // Rules or a garment that cannot be read; the message is for the person who gave them.
  class Unreadable extends Error {}

  // The same function, whose errors are all of that kind: rules of another program may be anything.
  function worded(act) {
    return (...given) => {
      try {
        return act(...given);
      } catch (error) {
        throw error instanceof Unreadable
          ? error
          : new Unreadable(
              "the rules or the garment are not as the format says: " + /** @type {Error} */ (error).message,
            );
      }
    };
  }

  // Look only at an object's own keys: an id may be a word that every object of the language has,
  // such as `constructor`.
  function own(object, key) {
    return object && Object.prototype.hasOwnProperty.call(object, key) ? object[key] : undefined;
  }

  // Production weights.

  function halved(years) {
    return Math.pow(2, -Math.max(years, 0) / HALVING);
  }

  function begun(earliest, latest, day) {
    if (earliest && latest) {
      if (earliest.number === latest.number) return day >= latest.number ? 1 : 0;
      return clamp((day - earliest.number) / (latest.number - earliest.number));
    }
    if (earliest) return day >= earliest.number ? 1 : 0;
    if (latest) return halved((latest.number - day) / 365.25);
    return 1;
  }

  function notEnded(earliest, latest, day) {
    if (earliest && latest) {
      if (earliest.number === latest.number) return day <= latest.number ? 1 : 0;
      return clamp((latest.number - day) / (latest.number - earliest.number));
    }
    if (earliest) return halved((day - earliest.number) / 365.25);
    if (latest) return day <= latest.number ? 1 : 0;
    return 1;
  }

  function clamp(share) {
    return Math.min(Math.max(share, 0), 1);
  }

  function production(era, years) {
    const [first, begin, end, last] = [era.begin.earliest, era.begin.latest, era.end.earliest, era.end.latest].map(
      parseDay,
    );
    const shape = years.map((year) => {
      const day = dayNumber(year, 7, 1);
      return begun(first, begin, day) * notEnded(end, last, day);
    });
    const greatest = Math.max(...shape);
    return years.map((year, at) => {
      const before = first ? first.year - year : 0;
      const after = last ? year - last.year : 0;
      const distance = Math.max(before, after, 0);
      const scaled = greatest > 0 ? shape[at] / greatest : distance === 0 ? 1 : 0;
      return Math.max(scaled, FLOOR * halved(distance));
    });
  }

  function isBounded(era) {
    return [era.begin.earliest, era.begin.latest, era.end.earliest, era.end.latest].some(
      (day) => day !== null && day !== undefined,
    );
  }

  Object.assign(dating, { Unreadable, worded, own, production, isBounded });
})(globalThis);
