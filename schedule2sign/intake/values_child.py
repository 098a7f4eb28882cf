"""Run as a program of its own: workbook bytes on standard input, its sheets as JSON on standard output."""

import json
import sys
from datetime import date
from typing import Any


def read_sheets(data: bytes, most_rows: int, most_columns: int) -> dict[str, Any]:
    """Every sheet: name, visible, rows (None where there are too many), merges, size."""
    import io

    from python_calamine import CalamineError, CalamineWorkbook, PasswordError, SheetVisibleEnum

    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        sheets = []
        for about in book.sheets_metadata:
            page = book.get_sheet_by_name(about.name)
            small = page.total_height <= most_rows and page.total_width <= most_columns
            sheets.append(
                {
                    "name": about.name,
                    "visible": about.visible is SheetVisibleEnum.Visible,
                    "size": [page.total_height, page.total_width],
                    "rows": page.to_python(skip_empty_area=False) if small else None,
                    "merges": page.merged_cell_ranges,
                }
            )
    except PasswordError:
        return {"error": "password"}
    except CalamineError as error:
        return {"error": str(error)}
    return {"sheets": sheets}


def _encode(value: object) -> dict[str, str]:
    return {"date": value.isoformat()} if isinstance(value, date) else {"time": str(value)}


if __name__ == "__main__":
    found = read_sheets(sys.stdin.buffer.read(), int(sys.argv[1]), int(sys.argv[2]))
    sys.stdout.buffer.write(json.dumps(found, default=_encode).encode())
