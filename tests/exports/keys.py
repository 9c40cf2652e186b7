"""A second reader of keys, written from the guide beside rules.json and from nothing else, held to the engine's readings.

Usage: keys.py FOLDER, with rules.json and cases.jsonl. Which parts take a code is left to regular expressions, and which
days agree with the numbers to Python's datetime: a week is what `isocalendar` says of its Thursday (ISO 8601).
"""

import calendar
import datetime
import json
import re
import sys
from functools import lru_cache
from pathlib import Path

SPACES = re.compile("[\t\u00a0\u2002-\u200a\u202f\u3000]")
DASHES = re.compile("[\u2010-\u2015\u2212]")
LIMITS = {
    "year": (1, 9999),
    "year-of-century": (0, 99),
    "year-of-decade": (0, 9),
    "month": (1, 12),
    "quarter": (1, 4),
    "week": (1, 53),
    "day": (1, 31),
}


def folded(text):
    """Spaces, dashes and small letters a to z as one."""
    text = DASHES.sub("-", SPACES.sub(" ", text))
    return re.sub("[a-z]", lambda letter: letter.group().upper(), text)


def pattern(form):
    """A regular expression that takes what the form takes; every part is a group."""
    groups = []
    for part in form:
        if "text" in part:
            groups.append(re.escape(folded(part["text"])))
        elif "table" in part:
            groups.append("|".join(re.escape(name) for name in part["table"]) or "(?!)")
        else:
            figures, letters = part.get("digits"), part.get("letters")
            groups.append(f"[0-9]{{{figures}}}" if figures else f"[A-Z]{{{letters}}}")
    return re.compile("".join(f"({group})" for group in groups))


def numbers(form, code):
    """What the parts stand for, and the factory; None where the form does not take the code."""
    kept = set("".join(folded(part["text"]) for part in form if "text" in part))
    code = "".join(one for one in folded(code) if one not in " .-/" or one in kept)
    match = pattern(form).fullmatch(code)
    if match is None:
        return None
    found = {}
    for part, text in zip(form, match.groups()):
        meaning = part.get("is")
        if meaning in (None, "serial"):
            continue
        value = part["table"][text] if "table" in part else text.lower()
        if meaning != "factory":
            value = int(value)
            if not LIMITS[meaning][0] <= value <= LIMITS[meaning][1]:
                return None
        found[meaning] = value
    return found


@lru_cache(maxsize=None)
def thursdays(year):
    """The Thursdays of a year by the number of their week."""
    first = datetime.date(year, 1, 1)
    days = (first + datetime.timedelta(day) for day in range(365 + calendar.isleap(year)))
    return {day.isocalendar().week: day for day in days if day.isoweekday() == 4}


def whole_months(year, first, last):
    return datetime.date(year, first, 1), datetime.date(year, last, calendar.monthrange(year, last)[1])


def date(found, year):
    """The finest date of a year that agrees, as its first and last day, or None."""
    if "week" in found:
        thursday = thursdays(year).get(found["week"])
        return thursday and (thursday - datetime.timedelta(3), thursday + datetime.timedelta(3))
    quarter = found.get("quarter")
    if "month" not in found:
        return whole_months(year, 3 * quarter - 2, 3 * quarter) if quarter else whole_months(year, 1, 12)
    month = found["month"]
    if quarter and not 3 * quarter - 2 <= month <= 3 * quarter:
        return None
    if "day" not in found:
        return whole_months(year, month, month)
    try:
        day = datetime.date(year, month, found["day"])
    except ValueError:
        return None
    return day, day


def years(found):
    """The years that the year parts allow."""
    asked = [found["year"]] if "year" in found else range(1850, 2031)
    ends = {"year-of-century": "%02d", "year-of-decade": "%d"}
    texts = [ends[meaning] % found[meaning] for meaning in ends if meaning in found]
    return [year for year in asked if all(str(year).endswith(text) for text in texts)]


def edtf(dates):
    """The dates as one string."""
    if len(dates) == 1:
        return written(*dates[0], "/")
    return "[" + ",".join(written(*one, "..") for one in dates) + "]"


def written(first, last, between):
    ends_month = last.day == calendar.monthrange(last.year, last.month)[1]
    if first == last:
        return first.isoformat()
    if first.day != 1 or not ends_month:
        return first.isoformat() + between + last.isoformat()
    if (first.month, last.month) == (1, 12):
        return f"{first.year:04}"
    months = [f"{day.year:04}-{day.month:02}" for day in (first, last)]
    return months[0] if months[0] == months[1] else between.join(months)


def read(key, code):
    """What a key reads from a code, or None."""
    begin, end = (datetime.date.fromisoformat(key[side]) for side in ("not_before", "not_after"))
    dates, factories = set(), set()
    for form in key["forms"]:
        found = numbers(form, code)
        if found is None:
            continue
        own = {one for one in (date(found, year) for year in years(found)) if one and one[0] <= end and one[1] >= begin}
        dates |= own
        if own and "factory" in found:
            factories.add(found["factory"])
    if not dates:
        return None
    dates = sorted(dates)
    held = {year for first, last in dates for year in range(first.year, last.year + 1)}
    return {
        "reads": edtf(dates),
        "dates": [[first.isoformat(), last.isoformat()] for first, last in dates],
        "years": sorted(held),
        "factory": factories.pop() if len(factories) == 1 else None,
    }


def main(folder):
    keys = {key["id"]: key for key in json.loads((folder / "rules.json").read_text(encoding="utf-8"))["keys"]}
    cases = [json.loads(line) for line in (folder / "cases.jsonl").read_text(encoding="utf-8").splitlines()]
    wrong = [case for case in cases if read(keys[case["key"]], case["code"]) != case["read"]]
    for case in wrong[:5]:
        print(case, read(keys[case["key"]], case["code"]), keys[case["key"]]["forms"], file=sys.stderr)
    print(f"{len(cases)} codes, {len(wrong)} read otherwise")
    return 1 if wrong or not cases else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
