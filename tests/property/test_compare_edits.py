"""Compare, proved by pairs of schedules with known edits: exactly those edits are reported, whatever the order of rows."""

import csv
import tempfile
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from schedule2sign.model.revision import ChangeKind
from schedule2sign.model.settings import Settings
from schedule2sign.pipeline import build_job, issue_of
from schedule2sign.revision.compare import compare_issues

NAMES = ("ARCHIVE", "ATELIER", "BALLROOM", "BINDERY", "CANTEEN", "CHAPEL", "CLINIC", "DARKROOM", "FORGE", "FOUNDRY",
         "GALLERY", "GREENHOUSE", "GYMNASIUM", "KITCHEN", "LABORATORY", "LIBRARY", "LOUNGE", "NURSERY", "OBSERVATORY",
         "PANTRY", "STUDIO", "THEATER", "WORKSHOP", "VAULT")  # fmt: skip
FRESH = ("AQUARIUM", "BAKERY", "BOARD ROOM", "BOOKSTORE", "BREWERY", "CAFE", "CINEMA", "COPY ROOM", "DAIRY", "DINING ROOM",
         "GAME ROOM", "MAIL ROOM", "MUSEUM", "MUSIC ROOM", "ORCHARD", "PHARMACY", "PLAYROOM", "READING ROOM", "RECEPTION",
         "ROTUNDA", "SUN ROOM", "TEA ROOM", "TREASURY", "BINDERY ANNEX")  # fmt: skip
Row = tuple[str, str]  # number, name


@st.composite
def pairs_of_schedules(draw: st.DrawFn) -> tuple[list[Row], list[Row], set[tuple[str, str, str]]]:
    """Rows of two issues and the edits between them: kind, number before, number now."""
    count = draw(st.integers(10, len(NAMES)))
    before = [(str(100 + at), NAMES[at]) for at in range(count)]
    edits = draw(st.lists(st.sampled_from(["rename", "delete", "renumber"]), max_size=4))
    places = draw(st.permutations(range(count)))
    after: dict[int, Row] = dict(enumerate(before))
    expected: set[tuple[str, str, str]] = set()
    for at, edit in zip(places, edits, strict=False):
        number, name = before[at]
        if edit == "rename":
            after[at] = (number, FRESH[at])
            expected.add(("text", number, number))
        elif edit == "delete":
            del after[at]
            expected.add(("deleted", number, number))
        else:
            after[at] = (str(400 + at), name)
            expected.add(("renumber", number, str(400 + at)))
    rows = list(after.values())
    for at in range(draw(st.integers(0, 3))):
        rows.append((str(600 + at), f"ANNEX {chr(66 + at)} OFFICE"))
        expected.add(("new", "", str(600 + at)))
    return before, draw(st.permutations(rows)), expected


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(pairs_of_schedules())
def test_exactly_the_edits_made_are_reported(pair: tuple[list[Row], list[Row], set[tuple[str, str, str]]]) -> None:
    before, after, expected = pair
    with tempfile.TemporaryDirectory() as folder:
        issues = [
            issue_of(build_job([_write(Path(folder), rows)], Settings(revision=revision)))
            for rows, revision in ((before, "A"), (after, "B"))
        ]
    comparison = compare_issues(*issues)
    found = {
        (change.kind.value, _number(change.old_id), _number(change.sign_id))
        for change in comparison.changes
        if change.kind is not ChangeKind.UNCHANGED
    }
    assert found == expected
    assert sum(count for _, count in comparison.totals) == len(comparison.changes)
    assert {change.sign_id for change in comparison.remake} <= {
        change.sign_id for change in comparison.changes if change.kind.value in ("text", "renumber", "new")
    }
    assert not comparison.alerts


def _write(folder: Path, rows: list[Row]) -> Path:
    path = folder / "rooms.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(("ROOM NO", "ROOM NAME", "LEVEL"))
        writer.writerows((number, name, "LEVEL 1") for number, name in rows)
    return path


def _number(sign_id: str) -> str:
    return sign_id.split("-")[2] if sign_id else ""
