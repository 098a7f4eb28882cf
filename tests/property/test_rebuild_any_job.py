"""Any job over any other: rows, settings and answers changed, over its folder or as the next issue.

The yardstick is a full build of the same into a new folder: not a byte may differ, whatever was taken over.
"""

import csv
import hashlib
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import openpyxl
from hypothesis import HealthCheck, given
from hypothesis import settings as examples
from hypothesis import strategies as st

from schedule2sign.model.settings import Finality, Lexicon, Settings, SuffixMeaning, Wording
from schedule2sign.pipeline import produce
from schedule2sign.revision.folder import read_folder

COLUMNS: dict[str, Sequence[str]] = {
    "DOOR NO": ("101", "102", "102A", "103", "104-B", "105", "206"),
    "ROOM NO": ("101", "102", "103", "104", "105", "206", ""),
    "ROOM NAME": (
        "OFFICE", "CONFERENCE RM", "MENS RR", "STAIR 2", "ELECTRICAL", "READNG ROOM", "DATA", "AUDITORIUM", "EXIT",
        "VACANT", "J. SMITH", "CORRIDOR", "UNISEX TOILET", "PT ROOM", "LAB C", "SIM TO 101", "ST. MARY CHAPEL", "",
    ),
    "LEVEL": ("LEVEL 1", "2ND FLOOR", "B1", ""),
    "HAND": ("", "LH", "RHR", "?"),
    "GLAZING": ("", "SL"),
    "INSERT": ("", "K. Stone"),
    "OCC LOAD": ("", "49", "TBD"),
    "QTY": ("", "2"),
    "REMARKS": ("", "EXISTING", "N.I.C."),
    "FROM ROOM": ("", "CORRIDOR", "101"),
    "SIZE": ("", "PR 3-0x7-0"),
}  # fmt: skip
ROWS = st.lists(st.tuples(*map(st.sampled_from, COLUMNS.values())), min_size=1, max_size=6)
LEXICON = {
    "words": st.sampled_from([(), ("READNG",)]),
    "names": st.sampled_from([(), ("STONE",)]),
    "abbreviations": st.sampled_from([(), (("PT", "PHYSICAL THERAPY"),)]),
    "approved": st.sampled_from([(), (("DATA", "NETWORK ROOM"),)]),
}
SETTINGS: dict[str, st.SearchStrategy[Any]] = {
    "revision": st.sampled_from("AB"),
    "title": st.sampled_from(["", "Harbor Hall"]),
    "tolerance_mm": st.sampled_from([0.0508, 0.1]),
    "base_color": st.sampled_from(["charcoal", "navy"]),
    "standard": st.sampled_from(["us-ada-2010", "us-california"]),
    "finality": st.sampled_from(Finality),
    "suffix": st.sampled_from(SuffixMeaning),
    "plate_top_mm": st.sampled_from([None, 1500.0]),
    "page_per_floor": st.booleans(),
    "lexicon": st.builds(Lexicon, **LEXICON),
    "wording": st.builds(Wording, level=st.sampled_from(["LEVEL", "FLOOR"])),
    "process_values": st.sampled_from([(), (("drill.diameter", "0.062 in"),)]),
    "templates": st.sampled_from(["signs", "signs-framed"]),
}
SOME = st.fixed_dictionaries({}, optional=SETTINGS).map(lambda chosen: dict(list(chosen.items())[:2]))
ANSWERS = st.dictionaries(st.integers(0, 5), st.sampled_from(["accept", "hold", "omit", "rename"]), max_size=2)


def write(path: Path, rows: Sequence[Sequence[str]]) -> Path:
    path.parent.mkdir()
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([[*COLUMNS], *rows])
    return path


def answer(sign_list: Path, answers: dict[int, str], to: Path) -> Path:
    """The list with decisions typed in, by the place of the sign in it."""
    book = openpyxl.load_workbook(sign_list)
    page = book["Sign list"]
    columns = {cell.value: cell.column for cell in page[1]}
    for place, verb in answers.items():
        if page.cell(place + 2, columns["sign id"]).value:
            page.cell(place + 2, columns["decision"]).value = verb
            page.cell(place + 2, columns["answer"]).value = "LIBRARY" if verb == "rename" else None
            page.cell(place + 2, columns["answered by"]).value = "T. Moss"
    book.save(to)
    return to


def sums(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


@examples(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    before=ROWS, after=ROWS, keep=st.integers(0, 6), first=SOME, then=SOME, answers=ANSWERS, next_issue=st.booleans()
)
def test_what_is_taken_over_changes_no_byte(
    before: list[tuple[str, ...]],
    after: list[tuple[str, ...]],
    keep: int,
    first: dict[str, Any],
    then: dict[str, Any],
    answers: dict[int, str],
    next_issue: bool,
) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        old, full = folder / "old", folder / "full"
        job = replace(Settings(), **first)
        produce([write(folder / "before" / "doors.csv", before)], job, old)
        given_answers = [answer(old / "sign-list.xlsx", answers, folder / "answered.xlsx")]
        schedule, job = write(folder / "after" / "doors.csv", [*before[:keep], *after]), replace(job, **then)
        # Fewer than half of the signs kept is another building to the comparison, which then refuses.
        since = read_folder(old) if next_issue and keep >= len(before) else None
        produce([schedule], job, full, decisions=given_answers, since=since)
        out = folder / "new" if since else old
        produce([schedule], job, out, decisions=given_answers, since=since, earlier=[out, old])
        assert sums(out) == sums(full)
