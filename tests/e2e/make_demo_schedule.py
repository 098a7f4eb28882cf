"""Write the demo schedule: a messy door schedule of an invented two-storey community center.

Run by hand after a change (`python tests/e2e/make_demo_schedule.py`), then refresh the golden summary.
Everything in it is invented; the mess is of the kinds that schedules come with.
"""

from datetime import datetime
from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font, PatternFill

TARGET = Path(__file__).resolve().parents[2] / "fixtures" / "demo" / "alder-point-doors.xlsx"

GROUPS = ("DOOR", "", "ROOM", "", "OPENING", "", "", "", "")
HEADERS = ("DOOR NO.", "FROM ROOM", "ROOM NO.", "ROOM NAME", "SIZE", "HAND", "GLAZING", "FIRE RATING", "REMARKS")

# door, from, room number, room name, size, hand, glazing, rating, remarks
LEVEL_1 = (
    ("100A", "EXTERIOR", "100", "ENTRY VEST.", "PR 3-0x7-0", "LHR", "FG", "", "AUTO OPERATOR"),
    ("100B", "100", "101", "LOBBY", "PR 3-0x7-0", "RH", "FG", "", ""),
    ("102", "101", "102", "RECEPTION", "3-0x7-0", "LH", "HG", "", ""),
    ("103", "101", "103", "Community Room", "PR 3-0x7-0", "RHR", "HG", "20 MIN", ""),
    ("103A", "104", "103", "Community Room", "3-0x7-0", "LH", "", "20 MIN", ""),
    ("103B", "103", "103B", "TABLE STOR", "3-0x7-0", "RH", "", "", ""),
    ("104", "101", "104", "CORRIDOR", "PR 3-0x7-0", "", "", "45 MIN", "HOLD OPEN"),
    ("105", "104", "105", "MENS RR", "3-0x7-0", "LH", "", "", ""),
    ("106", "104", "106", "WOMENS RR", "3-0x7-0", "RH", "", "", ""),
    ("107", "104", "107", "FAMILY TLT", "3-0x7-0", "LH", "", "", ""),
    ("108", "104", "108", "JAN", "3-0x7-0", "RH", "", "", ""),
    ("109", "104", "109", "ELEC RM", "3-0x7-0", "LHR", "", "60 MIN", ""),
    ("110", "104", "110", "MECH. RM.", "PR 3-0x7-0", "RHR", "", "60 MIN", ""),
    ("111", "104", "111", "FIRE RISER RM", "3-0x7-0", "LH", "", "60 MIN", ""),
    ("112", "104", "112", "IDF", "3-0x7-0", "LH", "", "", ""),
    ("113", "104", "113", "CONF RM", "3-0x7-0", "RH", "SL", "", ""),
    ("114", "104", "114", "CONFERENCE  ROOM", "3-0x7-0", "RH", "", "", ""),
    ("115", "104", "115", "Director\u2019s Office", "3-0x7-0", "LH", "", "", ""),
    ("116", "104", "116", "OFFICE", "3-0x7-0", "LH", "", "", ""),
    ("117", "104", "117", "OFFICE", "3-0x7-0", "RH", "", "", ""),
    ("118", "104", "118", "OFC", "3-0x7-0", "LH", "", "", ""),
    ("119", "104", "119", "WORK RM", "3-0x7-0", "RH", "", "", ""),
    ("120", "104", "120", "COPY/MAIL", "3-0x7-0", "LH", "", "", ""),
    ("121", "104", "121", "BREAK RM", "3-0x7-0", "RH", "", "", ""),
    ("122", "104", "122", "Kitchen", "3-0x7-0", "LH", "", "", ""),
    ("122A", "122", "122A", "PANTRY", "3-0x7-0", "LH", "", "", ""),
    ("123", "104", "123", "CLASSROOM", "3-0x7-0", "RH", "SL", "", ""),
    ("124", "104", "124", "CLASSROOM", "3-0x7-0", "RH", "SL", "", ""),
    ("125", "104", "125", "ART STUDIO", "3-0x7-0", "LH", "SL", "", ""),
    ("126", "104", "126", "KILN ROOM", "3-0x7-0", "LH", "", "60 MIN", ""),
    ("127", "104", "127", "MUSIC PRACTICE", "3-0x7-0", "RH", "", "", ""),
    ("128", "104", "128", "CHILDREN'S LIBRARY", "PR 3-0x7-0", "RH", "FG", "", ""),
    ("129", "128", "129", "STORY ROOM", "3-0x7-0", "LH", "", "", ""),
    ("130", "104", "130", "QUIET READING ROOM", "3-0x7-0", "LH", "SL", "", ""),
    ("131", "104", "131", "STAIR A", "3-0x7-0", "LHR", "", "90 MIN", "PANIC HDW"),
    ("132", "104", "132", "STAIR B", "3-0x7-0", "RHR", "", "90 MIN", "PANIC HDW"),
    ("133", "104", "133", "ELEV. EQUIP RM", "3-0x7-0", "LH", "", "60 MIN", ""),
    ("134", "101", "134", "ELEVATOR", "3-6x7-0", "", "", "90 MIN", "BY ELEVATOR CONTRACTOR"),
    ("135", "132", "135", "EXIT", "3-0x7-0", "LHR", "", "", "PANIC HDW"),
    ("136", "104", "136", "STORAGE", "3-0x7-0", "LH", "", "", ""),
    ("137", "136", "137", "CLOSET", "2-6x7-0", "RH", "", "", ""),
    ("138", "104", "138", "Laundary", "3-0x7-0", "RH", "", "", ""),
    ("139", "104", "139", "LACTATION RM", "3-0x7-0", "LH", "", "", ""),
    ("140", "104", "140", "FIRST AID", "3-0x7-0", "LH", "", "", ""),
    ("141", "104", "141", "MENS LOCKER RM", "3-0x7-0", "RH", "", "", ""),
    ("142", "104", "142", "WOMENS LOCKER RM", "3-0x7-0", "LH", "", "", ""),
    ("143", "104", "143", "FITNESS STUDIO", "PR 3-0x7-0", "RH", "FG", "", ""),
    ("144", "104", "144", "GYMNASIUM", "PR 3-0x7-0", "RH", "", "", "OCC LOAD: TBD"),
    ("145", "144", "145", "GYM STOR.", "3-0x7-0", "LH", "", "", ""),
    ("146", "104", "146", "NOT USED", "", "", "", "", ""),
    ("147", "104", "147", "VACANT", "3-0x7-0", "LH", "", "", ""),
    ("148", "104", "148", "CAFE", "3-0x7-0", "LH", "FG", "", "N.I.C."),
    ("149", "104", "149", "EXISTING STORAGE", "3-0x7-0", "LH", "", "", "ETR"),
    ("150", "104", "150", "PT ROOM", "3-0x7-0", "LH", "", "", ""),
    ("151", "104", "151", "HANDICAP TOILET", "3-0x7-0", "RH", "", "", ""),
    ("152", "104", "152", "MEN / WOMEN", "3-0x7-0", "RH", "", "", ""),
    ("153", "104", "153", "UNISEX RR", "3-0x7-0", "LH", "", "", ""),
    ("154", "104", "154", "T. MARLOW", "3-0x7-0", "LH", "", "", ""),
    ("155", "104", "155", "Vale Reading Room", "3-0x7-0", "LH", "SL", "", "DONOR NAME"),
    ("156", "104", "156", "IT WORKROOM", "3-0x7-0", "RH", "", "", ""),
    ("157", "104", "157", "DATA CLOSET", "3-0x7-0", "RH", "", "", ""),
)
LEVEL_2 = (
    ("200", "232", "200", "LOBBY", "", "", "", "", "OPEN TO BELOW"),
    ("201", "200", "201", "CORRIDOR", "PR 3-0x7-0", "", "", "45 MIN", ""),
    ("202", "201", "202", "BOARD ROOM", "PR 3-0x7-0", "RH", "FG", "", ""),
    ("203", "201", "203", "CONF RM", "3-0x7-0", "LH", "SL", "", ""),
    ("204", "201", "204", "CONF RM", "3-0x7-0", "LH", "SL", "", ""),
    ("205", "201", "205", "OFFICE", "3-0x7-0", "LH", "", "", ""),
    ("206", "201", "206", "OFFICE", "3-0x7-0", "RH", "", "", ""),
    ("207", "201", "207", "OFFICE", "3-0x7-0", "LH", "", "", ""),
    ("208", "201", "208", "OFFICE", "3-0x7-0", "RH", "", "", ""),
    ("209", "201", "209", "ADMIN. OFFICE", "3-0x7-0", "RH", "", "", ""),
    ("210", "201", "210", "MENS RR", "3-0x7-0", "LH", "", "", ""),
    ("211", "201", "211", "WOMENS RR", "3-0x7-0", "RH", "", "", ""),
    ("212", "201", "212", "STAFF TLT", "3-0x7-0", "LH", "", "", ""),
    ("213", "201", "213", "JANITORS CL", "3-0x7-0", "RH", "", "", ""),
    ("214", "201", "214", "ELEC", "3-0x7-0", "LHR", "", "60 MIN", ""),
    ("215", "201", "215", "MECH", "PR 3-0x7-0", "RHR", "", "60 MIN", ""),
    ("216", "201", "216", "COMPUTER LAB", "3-0x7-0", "RH", "SL", "", ""),
    ("217", "201", "217", "LAB C", "3-0x7-0", "LH", "", "", ""),
    ("218", "201", "218", "TUTORING", "3-0x7-0", "LH", "", "", ""),
    ("219", "201", "219", "STUDY RM 1", "3-0x7-0", "LH", "HG", "", ""),
    ("220", "201", "220", "STUDY RM 2", "3-0x7-0", "RH", "HG", "", ""),
    ("221", "201", "221", "STUDY RM 3", "3-0x7-0", "LH", "HG", "", ""),
    ("222", "201", "222", "DEPARTMENT OF ENVIRONMENTAL HEALTH AND SAFETY", "3-0x7-0", "LH", "", "", ""),
    ("223", "201", "223", "VOLUNTEER COORDINATION & TRAINING", "3-0x7-0", "RH", "", "", ""),
    ("224", "201", "224", "OTORHINOLARYNGOLOGY", "3-0x7-0", "LH", "", "", "VISITING CLINIC"),
    ("225", "201", "225", "EXAM RM 1", "3-0x7-0", "LH", "", "", ""),
    ("226", "201", "226", "EXAM RM 2", "3-0x7-0", "LH", "", "", ""),
    ("227", "201", "227", "X-RAY", "3-0x7-0", "RH", "", "", ""),
    ("228", "201", "228", "STOR", "3-0x7-0", "LH", "", "", ""),
    ("229", "201", "229", "", "3-0x7-0", "LH", "", "", ""),
    ("230", "201", "", "QUIET ROOM", "3-0x7-0", "RH", "", "", ""),
    ("231", "201", "231", "STAIR A", "3-0x7-0", "LHR", "", "90 MIN", "PANIC HDW"),
    ("232", "201", "232", "STAIR B", "3-0x7-0", "RHR", "", "90 MIN", "PANIC HDW"),
    ("233", "201", "233", "AREA OF REFUGE", "3-0x7-0", "LH", "", "90 MIN", ""),
    ("234", "201", "234", "ELEV LOBBY", "", "", "", "", ""),
    ("235", "201", "235", "ROOF ACCESS", "3-0x7-0", "LH", "", "60 MIN", ""),
    ("236", "201", "236", "SHAFT", "2-0x3-0", "", "", "60 MIN", "ACCESS PANEL"),
    ("237", "201", "237", "TBD", "3-0x7-0", "LH", "", "", ""),
    ("238", "201", "1O8", "STORAGE", "3-0x7-0", "LH", "", "", ""),
    ("239", "201", "239/240", "CRAFT ROOM", "3-0x7-0", "LH", "", "", ""),
    ("241", "201", "241", "SERVER RM", "3-0x7-0", "RH", "", "", ""),
    ("242", "201", "242", "TRNG RM", "PR 3-0x7-0", "RH", "SL", "", ""),
    ("243", "201", "243", "MULTIPURPOSE RM", "PR 3-0x7-0", "LH", "SL", "", ""),
    ("244", "201", "244", "SUITE 244", "PR 3-0x7-0", "LH", "FG", "", "TENANT"),
    ("245", "201", "245", "R&D LAB", "3-0x7-0", "LH", "", "", ""),
    ("246", "201", "246", "SIM TO 244", "3-0x7-0", "LH", "", "", ""),
    ("247", "201", "247", "OPEN OFFICE", "3-0x7-0", "LH", "", "", ""),
    ("248", "201", "248", "MAIL RM", "3-0x7-0", "RH", "", "", ""),
    ("249", "201", "249", "RECORDS", "3-0x7-0", "RH", "", "", ""),
    ("250", "201", "250", "NURSE", "3-0x7-0", "RH", "", "", ""),
    ("251", "201", "251", "PHONE RM", "3-0x7-0", "RH", "", "", ""),
    ("254", "201", "254", "STUDY RM 4", "3-0x7-0", "LH", "HG", "", ""),
    ("255", "201", "255", "STUDY RM 5", "3-0x7-0", "RH", "HG", "", ""),
    ("256", "201", "256", "CONF RM", "3-0x7-0", "LH", "SL", "", ""),
    ("257", "201", "257", "PRINT RM", "3-0x7-0", "LH", "", "", ""),
    ("258", "201", "258", "LIBRARY OFFICE", "3-0x7-0", "RH", "", "", ""),
    ("259", "201", "259", "MEDITATION RM", "3-0x7-0", "LH", "", "", ""),
    ("260", "201", "260", "TELECOM", "3-0x7-0", "LH", "", "", ""),
    ("261", "201", "261", "STORAGE", "3-0x7-0", "LH", "", "", ""),
    ("262", "201", "262", "EQUIP STOR", "3-0x7-0", "RH", "", "", ""),
    ("203", "201", "203", "CONFERENCE ROOM", "3-0x7-0", "LH", "SL", "", ""),
    ("217", "201", "217", "DARKROOM", "3-0x7-0", "LH", "", "", ""),
    ("252", "201", "252", "=HYPERLINK(0)", "3-0x7-0", "LH", "", "", ""),
    ("253", "201", "253", "CAF\u00c3\u00a9", "3-0x7-0", "LH", "", "", ""),
)
LEGEND = (
    "NOTES:",
    "1. FG = FULL GLASS. HG = HALF GLASS. SL = SIDELITE.",
    "2. VERIFY ALL ROOM NUMBERS WITH OWNER BEFORE ORDERING SIGNS.",
)


def build_workbook() -> Workbook:
    """The demo workbook: title block, two-row header, level headings, a repeated header, subtotals, legend."""
    book = Workbook()
    sheet = book.active
    sheet.title = "DOOR SCHEDULE"
    bold = Font(bold=True)
    shade = PatternFill("solid", fgColor="DDDDDD")
    for text in ("ALDER POINT COMMUNITY CENTER", "DOOR AND FRAME SCHEDULE", "ISSUED FOR CONSTRUCTION, REV A"):
        sheet.append([text])
        sheet.cell(sheet.max_row, 1).font = bold
    sheet.append([])

    def put_header() -> None:
        for values in (GROUPS, HEADERS):
            sheet.append([value or None for value in values])
            for cell in sheet[sheet.max_row]:
                cell.font, cell.fill, cell.alignment = bold, shade, Alignment(horizontal="center")

    def put_rows(rows: tuple[tuple[str, ...], ...]) -> None:
        for row in rows:
            sheet.append([value or None for value in row])
            # Left as text on purpose: a formula-looking name must stay a name.
            for cell in sheet[sheet.max_row]:
                if isinstance(cell.value, str):
                    cell.data_type = "s"

    put_header()
    sheet.merge_cells(start_row=sheet.max_row - 1, start_column=1, end_row=sheet.max_row - 1, end_column=2)
    sheet.merge_cells(start_row=sheet.max_row - 1, start_column=3, end_row=sheet.max_row - 1, end_column=4)
    sheet.merge_cells(start_row=sheet.max_row - 1, start_column=5, end_row=sheet.max_row - 1, end_column=9)
    sheet.append(["FIRST FLOOR"])
    put_rows(LEVEL_1[:32])
    put_header()
    put_rows(LEVEL_1[32:])
    sheet.append(["TOTAL FIRST FLOOR", None, None, len(LEVEL_1)])
    sheet.append([])
    sheet.append(["SECOND FLOOR"])
    put_rows(LEVEL_2)
    sheet.append(["TOTAL SECOND FLOOR", None, None, len(LEVEL_2)])
    sheet.append([])
    for text in LEGEND:
        sheet.append([text])
    _spoil_cells(sheet)
    for letter, width in zip("ABCDEFGHI", (10, 12, 10, 44, 12, 8, 10, 12, 26), strict=True):
        sheet.column_dimensions[letter].width = width
    book.properties.creator = "Alder Point"
    book.properties.created = book.properties.modified = datetime(2026, 1, 5)  # noqa: DTZ001
    return book


def _spoil_cells(sheet) -> None:
    """What happens to a sheet on its way: numbers turned to floats, a date, a hidden and a struck row."""
    rows = {str(row[0].value): row for row in sheet.iter_rows() if row[0].value}
    for door in ("116", "117", "205", "206"):
        rows[door][2].value = float(door)
    rows["251"][2].value = datetime(2026, 2, 5)  # noqa: DTZ001
    rows["251"][2].number_format = "d-mmm"
    for cell in rows["126"]:
        cell.font = Font(strike=True)
    sheet.row_dimensions[rows["127"][0].row].hidden = True
    rows["119"][3].value = "WORK\nRM"
    rows["121"][3].value = "BREAK\u00a0RM "


if __name__ == "__main__":
    build_workbook().save(TARGET)
    print(TARGET)  # noqa: T201
