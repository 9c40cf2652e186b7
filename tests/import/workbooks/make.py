"""Makes the workbooks beside it with openpyxl and odfpy, which share no code with the program.

    pip install openpyxl odfpy && python make.py

`days.tsv` has the dates that openpyxl finds for day numbers, counted from 1900 and from 1904.
"""

from datetime import date, datetime
from pathlib import Path

from odf.number import DateStyle, Day, Month, Number, NumberStyle, Text, Year
from odf.opendocument import OpenDocumentSpreadsheet
from odf.style import Style
from odf.table import CoveredTableCell, Table, TableCell, TableRow
from odf.text import P
from openpyxl import Workbook
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900, from_excel

HERE = Path(__file__).parent
HEADINGS = ["Model", "Line", "Cut for", "Year", "Seen by", "Seen on", "Lot number", "Belt loops", "Leg opening", "Price"]


def workbook(name, epoch):
    book = Workbook()
    book.epoch = epoch
    sheet = book.active
    sheet.title = "Garments"
    sheet.append(HEADINGS)
    rows = [
        ["Sluice 118", "Underlode", "men", date(1978, 3, 1), "Wren T.", date(2026, 3, 14), 48, 5, 21.499999999999996, 40],
        [None, "Underlode", "men", date(1975, 1, 1), "Wren T.", datetime(2026, 3, 14, 15, 30), "A&B <7>", 6, 8.25, 35.5],
        [None, "Underlode", "men", 1974, "Wren T.", date(2026, 3, 15), 7, "=2+3", 20.75, "=SUM(J2:J3)"],
        ["Sluice 118", "Underlode", "men", 28200, "Wren T.", date(2026, 3, 15), 8, 6, "#N/A", 0],
    ]
    for row in rows:
        sheet.append(row)
    sheet.merge_cells("A2:A4")
    sheet["D2"].number_format = "mmm-yy"
    sheet["D3"].number_format = "yyyy"
    for row in range(2, 6):
        sheet[f"F{row}"].number_format = "dd/mm/yyyy"
        sheet[f"G{row}"].number_format = "0000"
    sheet["F3"].number_format = "dd/mm/yyyy hh:mm"
    sheet["I2"].number_format = '0.0" cm"'
    sheet["I3"].number_format = '0.00\\ "in"'
    book.create_sheet("Prices").append(["Shop", "Paid"])
    hidden = book.create_sheet("Old")
    hidden.append(["Model"])
    hidden.sheet_state = "hidden"
    book.create_sheet("Empty")
    book.save(HERE / name)


def cell(kind, value, shown, **more):
    names = {"float": "value", "date": "datevalue", "string": None, "boolean": "booleanvalue"}
    attributes = {"valuetype": kind, **more}
    if names[kind]:
        attributes[names[kind]] = value
    made = TableCell(**attributes)
    made.addElement(P(text=shown))
    return made


def opendocument():
    book = OpenDocumentSpreadsheet()
    month = DateStyle(name="N1")
    for part in (Month(textual=True), Text(text=" "), Year()):
        month.addElement(part)
    book.automaticstyles.addElement(month)
    book.automaticstyles.addElement(Style(name="ce1", family="table-cell", datastylename="N1"))
    table = Table(name="Garments")
    row = TableRow()
    for heading in HEADINGS:
        row.addElement(cell("string", None, heading))
    table.addElement(row)
    first = TableRow()
    first.addElement(cell("string", None, "Sluice 118", numberrowsspanned=2, numbercolumnsspanned=1))
    first.addElement(cell("string", None, "Underlode"))
    first.addElement(cell("string", None, "men"))
    first.addElement(cell("date", "1978-03-01", "Mar 78", stylename="ce1"))
    first.addElement(cell("string", None, "Wren T."))
    first.addElement(cell("date", "2026-03-14", "14.03.26"))
    first.addElement(cell("float", "48", "0048"))
    first.addElement(cell("float", "5", "5"))
    first.addElement(cell("float", "21.499999999999996", "21,5 cm"))
    first.addElement(cell("float", "40", "40"))
    table.addElement(first)
    second = TableRow()
    second.addElement(CoveredTableCell())
    second.addElement(cell("string", None, "Underlode"))
    second.addElement(cell("string", None, "men"))
    second.addElement(cell("date", "1975-01-01", "1975"))
    second.addElement(cell("string", None, "Wren T."))
    second.addElement(cell("date", "2026-03-14T15:30:00", "14.03.2026 15:30"))
    second.addElement(cell("string", None, "A&B <7>"))
    second.addElement(cell("float", "6", "6"))
    second.addElement(cell("float", "8.25", "8,3 in"))
    second.addElement(cell("float", "35.5", "35,50"))
    table.addElement(second)
    # As spreadsheets do: the rest of the sheet is one empty row, a million times.
    rest = TableRow(numberrowsrepeated=1048573)
    rest.addElement(TableCell(numbercolumnsrepeated=16384))
    table.addElement(rest)
    book.spreadsheet.addElement(table)
    book.spreadsheet.addElement(Table(name="Empty"))
    book.save(HERE / "barn.ods")


def days():
    lines = ["number\tfrom 1900\tfrom 1904"]
    for number in list(range(1, 130)) + list(range(130, 60000, 97)):
        if number != 60:
            found = [from_excel(number, epoch).date().isoformat() for epoch in (CALENDAR_WINDOWS_1900, CALENDAR_MAC_1904)]
            lines.append("\t".join([str(number), *found]))
    (HERE / "days.tsv").write_text("\n".join(lines) + "\n")


workbook("barn.xlsx", CALENDAR_WINDOWS_1900)
workbook("barn-1904.xlsx", CALENDAR_MAC_1904)
opendocument()
days()
