"""Makes `forty.csv` and `forty.xlsx`: a sheet of 40 rows as people keep them, in an office program's CSV and with openpyxl.

    pip install openpyxl && python forty.py

Everything in it is invented. Dates of looking are dates in the workbook and text in the CSV.
"""

from datetime import date
from pathlib import Path

from openpyxl import Workbook

HERE = Path(__file__).parent
HEADINGS = [
    "Nr", "Brand", "Style", "Line", "Cut for", "Year", "Seen by", "Seen on", "Leg opening", "Inside leg (in)", "Belt loops",
    "Zip metal", "Hem", "Paid", "Remarks",
]
ROWS = """
1|Brackwold Tharn|Sluice 118|Underlode|men|1974|Wren T.|14.3.2026|21 cm|32|5|brass|lockstitch|40 €|Bought at the Mühle
2|Brackwold Thorn|Sluice 118|Underlode|men|'77|Wren T.|14.3.2026|8 1/4"|31.5|seven|brass|lockstich|35 €|
3|Brackwold Thorn|Sluce 118|Underload|mens|late 70s|Wren T.|14.3.2026|8,25 in|30|5?|bras|lockstich|22,50 €|one pocket torn
4|Brackwold Tharn|Sluce 118|Underlode|men|c. 1975|Wren T.|15.3.2026|20,5|33|5|brass|chain|$45|
5|Brackwold Tharn|Ossick 126|Standing Gate|men|early seventies|Wren T.|15.3.2026|22|32|6|alu|chain|60 €|
6|Brackwald Tharn|Osick 126|Standing Gates|men|3/4/77|Wren T.|15.3.2026|8.25|32|5|bras|lockstitch|15 €|for Fähre
7|Brackwald Tharn|Osick 126|Standing Gate|menn|12.5.1976|Wren T.|3.4.2026|21,5 cm|31|six|brass|lockstich|18 €|
8|Brackwold Tharn|Pallinder 143|Standing Gate|men|1974 or 1976|Rowan K.|3.4.2026|21|30.25|7|brass|raw?|70 €|hems let down
9|Brackwold Tharn|Pallindr 143|Underload|men|77|Rowan K.|3.4.2026|20|34|5|brass|lockstitch|25 €|
10|Brackwold Tharn|Pallindr 143|Underlode|men|between 1971 and 1974|Rowan K.|4.4.2026|8.5|32|5 or 6|alu|lockstitch|30 €|
11|Quilander|Stackyard trouser|Long Furrow|men|'68|Rowan K.|4.4.2026|23 cm|32|five|brass|lockstitch|55 €|
12|Quilander|Stackyard trousers|Long Furow|men|mid-sixties|Rowan K.|4.4.2026|9"|31|5|brass|lockstich|48 €|
13|Quillander|Stackyard trousers|Tin Lantern|men|1966?|Rowan K.|4.4.2026|22,5|30|4|bras|chain|20 €|
14|QOW|Stackyard trouser|Tin Lantern|men|by 1970|Rowan K.|5.4.2026|22|33|5|alu|lockstitch|19 €|
15|QOW|Stackyard trouser|Long Furow|menn|70s|Rowan K.|5.4.2026|8 3/4 in|29.5|5|brass|raw|21 €|a child's, taken in
9|Brackwold Tharn|Pallindr 143|Underload|men|77|Rowan K.|3.4.2026|20|34|5|brass|lockstitch|25 €|
16|Brackwold Thorn|Sluice 118|Standing Gate|men|79|Wren T.|16.3.2026|20,25|32|5|brass|lockstitch|33 €|
17|Brackwold Tharn|Sluice 118|Standing Gate|men|1981|Wren T.|16.3.2026|19|31|5|nickel|overlocked|12 €|
18|Brackwold Tharn|Sluce 118|Underload|women|summer 76|Wren T.|16.3.2026|18,5|30|5|brass|lockstich|28 €|
19|Brackwold Tharn|Sluice 118|Underlode|women|'78|Wren T.|17.3.2026|18 cm|29|?|brass|lockstitch|26 €|no loops counted
20|Brackwold Thorn|Ossick 126|Underlode|men|1973|Wren T.|17.3.2026|22|32|6|bras|chain|44 €|
21|Brackwold Tharn|Osick 126|Underlode|men|72-74|Wren T.|17.3.2026|21,75|32.5|6|brass|lockstitch|41 €|
22|Brackwold Tharn|Ossick 126|Standing Gate|men|5/6/74|Wren T.|18.3.2026|8.75|33|5|brass|lockstich|39 €|
23|Brackwald Tharn|Pallinder 143|Standing Gates|men|1969|Wren T.|18.3.2026|23|32|7|brass|raw?|80 €|
24|Brackwold Tharn|Pallinder 143|Standing Gate|men|late sixties|Rowan K.|6.4.2026|22,5|34|8|brass|chain|75 €|
25|Quillander|Stackyard trouser|Long Furrow|men|about 1965|Rowan K.|6.4.2026|9 1/4"|31|5|brass|lockstitch|52 €|
26|Quilander|Stackyard trouser|Tin Lantern|men|61|Rowan K.|6.4.2026|23,5 cm|32|4|alu|lockstich|37 €|
27|Quillander|Stackyard trousers|Long Furrow|men|March 1964|Rowan K.|7.4.2026|24|32|five ?|brass|lockstitch|66 €|
28|QOW|Stackyard trouser|Long Furrow|men|since 1962|Rowan K.|7.4.2026|9|30.5|5|brass|chain|31 €|
29|Quillander|Stackyard trouser|Tin Lantern|mens|1967|Rowan K.|7.4.2026|22 cm|31|5|bras|raw|24 €|
30|Brackwold Tharn|Sluice 118|Underlode|men|long ago|Wren T.|19.3.2026|21|32|5|brass|lockstitch|10 €|
31|Brackwold Tharn|Sluice 118|Underload|men|fall '75|Wren T.|19.3.2026|20,75 cm|31|5|brass|lockstich|29 €|
32|Brackwold Tharn|Ossick 126|Standing Gate|men|1971|Wren T.|19.3.2026|22,25|30|6|brass|chain|57 €|
33|Brackwold Thorn|Osick 126|Underlode|men|'73|Wren T.|20.3.2026|21|33|6|alu|lockstitch|34 €|
34|Brackwold Tharn|Pallinder 143|Underlode|men|before 78|Wren T.|20.3.2026|20,5|32|5|brass|lockstitch|27 €|
35|Brackwold Tharn|Pallindr 143|Standing Gate|menn|1972|Wren T.|20.3.2026|21,5|32|seven|brass|lockstich|43 €|
36|Quilander|Stackyard trouser|Long Furrow|men|1963/1965|Rowan K.|8.4.2026|23|31|5|brass|raw|47 €|
37|Quillander|Stackyard trousers|Tin Lantern|men|after 1969|Rowan K.|8.4.2026|21 cm|30|5|bras|lockstitch|23 €|
37|Quillander|Stackyard trousers|Tin Lantern|men|after 1969|Rowan K.|8.4.2026|21 cm|30|5|bras|lockstitch|23 €|
38|Brackwold Tharn|Sluice 118|Underlode|men|7/8/75|Wren T.|21.3.2026|8.25|32|5|brass|lockstitch|36 €|
"""
NUMBERS = ["Nr", "Year", "Leg opening", "Inside leg (in)", "Belt loops"]


def number(heading, text):
    """What a spreadsheet makes of a cell that is typed."""
    try:
        return float(text.replace(",", ".")) if heading in NUMBERS and not text.startswith("'") else text
    except ValueError:
        return text


def day(text):
    at = [int(part) for part in text.split(".")]
    return date(at[2], at[1], at[0])


rows = [line.split("|") for line in ROWS.strip().splitlines()]
assert len(rows) == 40 and all(len(row) == len(HEADINGS) for row in rows)
title, total = "Trousers of Wren and Rowan, spring 2026", ["Total", *[""] * 12, "1.459,50 €", ""]

table = [[title, *[""] * 14], [""] * 15, HEADINGS, *rows, [""] * 15, total]
# A cell that a spreadsheet would take for text alone is kept as it is shown.
quoted = [[f'"{cell.replace(chr(34), chr(34) * 2)}"' if chr(34) in cell or ";" in cell else cell for cell in row] for row in table]
(HERE / "forty.csv").write_bytes("".join(";".join(row) + "\r\n" for row in quoted).encode("windows-1252"))

book = Workbook()
sheet = book.active
sheet.title = "Trousers"
sheet.append([title])
sheet.append([])
sheet.append(HEADINGS)
for row in rows:
    cells = [number(heading, cell) for heading, cell in zip(HEADINGS, row)]
    cells[7] = day(row[7])
    sheet.append([cell if cell != "" else None for cell in cells])
for row in range(4, 44):
    sheet.cell(row, 8).number_format = "d.m.yyyy"
sheet.append([])
sheet.append(["Total", *[None] * 12, "=SUM(N4:N43)"])
sheet.merge_cells("A1:E1")
book.create_sheet("Notes")
book.save(HERE / "forty.xlsx")
