// Prints what the page of a garment to record makes of dates, one a line: the date string, its first and its last day.
// Every form meets years, months and days that are there and some that are not.
"use strict";

const { DATES, load } = require("../dating/parts.cjs");

const page = load(...DATES, "recording-dates");
const { FORMS, isGiven, edtf, span } = page.bartackRecordingDates;

const YEARS = [
  "0001",
  "0400",
  "1850",
  "1899",
  "1900",
  "1970",
  "1976",
  "1978",
  "1999",
  "2000",
  "2004",
  "2100",
  "9990",
  "9999",
  "0000",
  "78",
  "19780",
  "197X",
  "",
];
const MONTHS = YEARS.flatMap((year) => ["00", "01", "02", "04", "12", "13", "1"].map((month) => `${year}-${month}`));
const DAYS = MONTHS.flatMap((month) => ["00", "01", "28", "29", "30", "31", "32"].map((day) => `${month}-${day}`));

for (const form of Object.keys(FORMS)) {
  for (const first of [...YEARS, ...MONTHS, ...DAYS]) {
    for (const last of FORMS[form].fields === 2 ? YEARS : [""]) {
      for (const about of [false, true]) {
        const made = { form, first, last, about };
        if (isGiven(made)) console.log([edtf(made), ...span(made, 2).map((day) => day || "")].join("\t"));
      }
    }
  }
}
