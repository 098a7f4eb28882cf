"""Run as a program of its own: workbook bytes on standard input, its sheets as JSON on standard output."""

import json
import sys
from datetime import date
from typing import Any


def limit_use(most_bytes: int, most_seconds: int) -> None:
    """Let the system stop this process where the file would make it take the whole machine."""
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (most_bytes, most_bytes))
    resource.setrlimit(resource.RLIMIT_CPU, (most_seconds, most_seconds))


def read_sheets(data: bytes, most_rows: int, most_columns: int, most_cells: int) -> dict[str, Any]:
    """Every sheet: name, visible, rows (None where there are too many), merges, size."""
    import io

    from python_calamine import CalamineError, CalamineWorkbook, PasswordError, SheetVisibleEnum

    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        sheets = []
        for about in book.sheets_metadata:
            page = book.get_sheet_by_name(about.name)
            high, wide = page.total_height, page.total_width
            small = high <= most_rows and wide <= most_columns and high * wide <= most_cells
            sheets.append(
                {
                    "name": about.name,
                    "visible": about.visible is SheetVisibleEnum.Visible,
                    "size": [high, wide],
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
    limit_use(int(sys.argv[4]), int(sys.argv[5]))
    found = read_sheets(sys.stdin.buffer.read(), *map(int, sys.argv[1:4]))
    sys.stdout.buffer.write(json.dumps(found, default=_encode).encode())
