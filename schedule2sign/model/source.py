"""Where a value stands in the customer's own file."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Source:
    """A row, or one cell of it. `row` counts from 1 as the spreadsheet shows it; `column` is a letter or ""."""

    file: str
    sheet: str
    row: int
    column: str = ""

    def __str__(self) -> str:
        place = f"{self.column}{self.row}" if self.column else f"row {self.row}"
        return f"{self.file} [{self.sheet}] {place}" if self.sheet else f"{self.file} {place}"
