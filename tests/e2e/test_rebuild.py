"""A build over an earlier one: signs that are as they were are not made again, and no byte differs from a full build.

The yardstick of every test is a full build of the same schedule into a new folder.
"""

import hashlib
import json
import shutil
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as examples
from hypothesis import strategies as st

from schedule2sign import signmaker
from schedule2sign.api import load_issue
from schedule2sign.model.job import SignRecord
from schedule2sign.model.settings import Finality, Lexicon, Settings
from schedule2sign.pipeline import build_job, write_job
from schedule2sign.resources import templates_folder
from schedule2sign.writers import bench_inspection, checks, manifest, proof_pages, sheets, sign_dxf, sign_svg
from schedule2sign.writers.report_signs import Signs

SETTINGS = Settings(job="HB27", revision="A")
SIGNS = 7  # the stair has one on each side
ROWS = (
    ("101", "ARCHIVE", "LEVEL 1"),
    ("102", "BINDERY", "LEVEL 1"),
    ("103", "MEN", "LEVEL 1"),
    ("104", "STAIR 2", "LEVEL 1"),
    ("105", "READNG ROOM", "LEVEL 1"),  # held: the word is in no list
    ("106", "MUSIC ROOM", "LEVEL 1"),
)
Row = tuple[str, ...]


def write(folder: Path, rows: tuple[Row, ...], name: str = "rooms.csv") -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    lines = [("ROOM NO", "ROOM NAME", "LEVEL"), *rows]
    (folder / name).write_text("".join(f"{','.join(line)}\n" for line in lines), encoding="utf-8")
    return folder / name


def build(schedule: Path, out: Path, settings: Settings = SETTINGS, earlier: tuple[Path, ...] = ()) -> dict[str, str]:
    """SHA-256 of every file written."""
    write_job(build_job([schedule], settings, earlier=earlier), out, earlier=earlier)
    return sums(out)


def sums(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The output folder of a first run."""
    folder = tmp_path_factory.mktemp("first")
    build(write(folder, ROWS), folder / "out")
    return folder / "out"


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Ids of the signs that are laid out while the test runs."""
    laid_out: list[str] = []
    lay_out = signmaker.lay_out

    def count(request: Any, *rest: Any) -> Any:
        laid_out.append(request.sign_id)
        return lay_out(request, *rest)

    monkeypatch.setattr(signmaker, "lay_out", count)
    return laid_out


def test_the_same_schedule_makes_no_sign_again(first: Path, made: list[str], tmp_path: Path) -> None:
    again = build(write(tmp_path, ROWS), tmp_path / "again", earlier=(first,))
    assert made == []
    assert again == sums(first)


def test_how_many_signs_are_taken_over_is_shown(first: Path, tmp_path: Path) -> None:
    shown: list[tuple[str, int, int]] = []
    rows = (("110", "CANTEEN", "LEVEL 1"), *ROWS)
    build_job([write(tmp_path, rows)], SETTINGS, earlier=[first], progress=lambda *stage: shown.append(stage))
    assert ("taking over unchanged signs", SIGNS, SIGNS) in shown


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Production files that are drawn while the test runs."""
    files: list[str] = []

    def count(module: Any, name: str, suffix: str) -> None:
        draw = getattr(module, name)

        def counted(*arguments: Any) -> bytes:
            record = next(one for one in arguments if isinstance(one, SignRecord))
            files.append(record.request.sign_id + suffix)
            return draw(*arguments)

        monkeypatch.setattr(module, name, counted)

    count(sign_dxf, "_render_sign", ".dxf")
    count(sign_svg, "render_sign", ".svg")
    return files


def test_files_that_would_be_the_same_are_not_drawn_again(first: Path, drawn: list[str], tmp_path: Path) -> None:
    rows = (("110", "CANTEEN", "LEVEL 1"), *ROWS[::-1])
    found = build(write(tmp_path, rows), tmp_path / "again", earlier=(first,))
    assert sorted(drawn) == ["HB27-01-110-C.dxf", "HB27-01-110-C.svg"]
    assert found == build(write(tmp_path, rows), tmp_path / "full")


def test_sheets_that_would_be_the_same_are_not_drawn_again(
    first: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[str] = []
    render = sheets.render_dxf

    def counted(layers: Any, notes: Sequence[str], *parts: Any) -> bytes:
        drawn.append(next(note for note in notes if note.startswith("SHEET ")))
        return render(layers, notes, *parts)

    monkeypatch.setattr(sheets, "render_dxf", counted)
    build(write(tmp_path, ROWS[::-1]), tmp_path / "sorted", earlier=(first,))
    assert drawn == []
    # One name is another: the sheet it lies on is drawn, with what lies there too, and its patches are.
    rows = (*ROWS[:2], ("103", "WOMEN", "LEVEL 1"), *ROWS[3:])
    found = build(write(tmp_path, rows), tmp_path / "renamed", earlier=(first,))
    assert drawn
    assert found == build(write(tmp_path, rows), tmp_path / "full")


BLOCK = tuple((f"{number}", "ARCHIVE", "LEVEL 2") for number in range(201, 219))  # some pages of the proof


@pytest.fixture
def shown(monkeypatch: pytest.MonkeyPatch) -> dict[str, list[str]]:
    """By the document, ids of the signs that are drawn on its pages while the test runs."""
    signs: dict[str, list[str]] = {"proof": [], "inspection": []}

    def count(module: Any, name: str, ids: list[str]) -> None:
        make = getattr(module, name)

        def counted(record: SignRecord, *rest: Any) -> Any:
            ids.append(record.request.sign_id)
            return make(record, *rest)

        monkeypatch.setattr(module, name, counted)

    count(proof_pages, "_entry", signs["proof"])
    count(bench_inspection, "_block", signs["inspection"])
    return signs


def test_pages_that_would_be_the_same_are_not_drawn_again(shown: dict[str, list[str]], tmp_path: Path) -> None:
    build(write(tmp_path, BLOCK), tmp_path / "old")
    assert {len(ids) for ids in shown.values()} == {len(BLOCK)}
    for ids in shown.values():
        ids.clear()
    again = build(write(tmp_path, BLOCK), tmp_path / "again", earlier=(tmp_path / "old",))
    assert shown == {"proof": [], "inspection": []}
    assert again == sums(tmp_path / "old")
    # One name is another: of each document one page is drawn.
    schedule = write(tmp_path, (*BLOCK[:8], ("209", "KITCHEN", "LEVEL 2"), *BLOCK[9:]))
    found = build(schedule, tmp_path / "renamed", earlier=(tmp_path / "old",))
    for ids in shown.values():
        assert "HB27-02-209-C" in ids
        assert len(ids) <= 5
    assert found == build(schedule, tmp_path / "full")


@pytest.mark.parametrize(
    ("path", "spoil"),
    [
        ("proof.pdf", Path.unlink),
        ("proof.pdf", lambda path: _one_bit(path)),
        ("rebuild/proof.pdf.json", Path.unlink),
        ("rebuild/proof.pdf.json", lambda path: _cut_off(path)),
    ],
    ids=["no document", "one bit of it", "no record", "the record cut off"],
)
def test_a_document_that_was_changed_is_drawn_again(
    path: str, spoil: Callable[[Path], None], first: Path, shown: dict[str, list[str]], tmp_path: Path
) -> None:
    shutil.copytree(first, tmp_path / "old")
    spoil(tmp_path / "old" / path)
    found = build(write(tmp_path, ROWS), tmp_path / "again", earlier=(tmp_path / "old",))
    assert len(shown["proof"]) == SIGNS
    assert shown["inspection"] == []
    assert found == sums(first)


# What a page of the proof or the inspection sheet says that is not of the sign alone.
SAID: dict[str, Callable[[Settings], Settings]] = {
    "revision": lambda settings: replace(settings, revision="B"),
    "title": lambda settings: replace(settings, title="Harbor Branch Library"),
    "final": lambda settings: replace(settings, finality=Finality.FINAL),
    "page per floor": lambda settings: replace(settings, page_per_floor=True),
    "drill": lambda settings: replace(settings, process_values=(("drill.diameter", "0.062 in"),)),
}


@pytest.mark.parametrize("said", SAID)
def test_pages_say_what_the_job_says_now(said: str, first: Path, tmp_path: Path) -> None:
    schedule, settings = write(tmp_path, ROWS), SAID[said](SETTINGS)
    assert build(schedule, tmp_path / "again", settings, (first,)) == build(schedule, tmp_path / "full", settings)


def test_a_revised_issue_over_the_one_before_lists_what_is_to_be_made_now(first: Path, tmp_path: Path) -> None:
    schedule = write(tmp_path, (*ROWS[:2], ("103", "WOMEN", "LEVEL 1"), *ROWS[3:], ("110", "CANTEEN", "LEVEL 1")))

    def issue(out: Path, earlier: tuple[Path, ...]) -> dict[str, str]:
        write_job(build_job([schedule], SETTINGS, since=load_issue(first), earlier=earlier), out, earlier=earlier)
        return sums(out)

    found = issue(tmp_path / "again", (first,))
    assert found == issue(tmp_path / "full", ())
    assert found["bench/inspection.pdf"] != sums(first)["bench/inspection.pdf"]


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        # The revision stands in both; the cutter's numbers in the DXF, and in neither is the title or the place of a row.
        (replace(SETTINGS, revision="B"), [".dxf", ".svg"]),
        (replace(SETTINGS, process_values=(("drill.diameter", "0.062 in"),)), [".dxf", ".svg"]),
        (replace(SETTINGS, title="Harbor Branch Library", tolerance_mm=0.1), []),
    ],
    ids=["revision", "drill", "title"],
)
def test_files_are_drawn_again_for_all_that_stands_in_them(
    changed: Settings, expected: list[str], first: Path, drawn: list[str], tmp_path: Path
) -> None:
    found = build(write(tmp_path, ROWS), tmp_path / "again", changed, earlier=(first,))
    assert sorted({Path(file).suffix for file in drawn}) == expected
    assert found == build(write(tmp_path, ROWS), tmp_path / "full", changed)


def test_a_file_that_somebody_changed_or_lost_is_drawn_again(first: Path, drawn: list[str], tmp_path: Path) -> None:
    shutil.copytree(first, tmp_path / "old")
    changed, lost = (tmp_path / "old" / "signs" / f"HB27-01-{name}" for name in ("101-C.dxf", "103-C.svg"))
    changed.write_bytes(changed.read_bytes() + b"\r\n")
    lost.unlink()
    found = build(write(tmp_path, ROWS), tmp_path / "again", earlier=(tmp_path / "old",))
    assert sorted(drawn) == ["HB27-01-101-C.dxf", "HB27-01-103-C.svg"]
    assert found == sums(first)


def test_a_link_in_the_place_of_a_file_is_not_taken_over(first: Path, drawn: list[str], tmp_path: Path) -> None:
    shutil.copytree(first, tmp_path / "out")
    linked = tmp_path / "out" / "signs" / "HB27-01-101-C.dxf"
    linked.symlink_to(linked.rename(tmp_path / "elsewhere.dxf"))
    found = build(write(tmp_path, ROWS), tmp_path / "out", earlier=(tmp_path / "out",))
    assert drawn == ["HB27-01-101-C.dxf"]
    assert found == sums(first)
    assert not linked.is_symlink()


@pytest.fixture
def rendered(name: str, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Ids of the signs whose pieces of a document are made while the test runs."""
    rendered: list[str] = []
    owner, render = {"manifest.json": (manifest, "_render_sign"), "checks.csv": (checks, "_render")}[name]
    real = getattr(owner, render)

    def counted(*arguments: Any) -> bytes:
        rendered.append(next(one for one in arguments if isinstance(one, SignRecord)).request.sign_id)
        return real(*arguments)

    monkeypatch.setattr(owner, render, counted)
    return rendered


@pytest.mark.parametrize("name", ["manifest.json", "checks.csv"])
def test_pieces_of_a_document_are_taken_over_where_they_would_be_the_same(
    name: str, first: Path, tmp_path: Path, rendered: list[str]
) -> None:
    rows = (("110", "CANTEEN", "LEVEL 1"), *ROWS[1:], ("101", "ARCHIVE", "LEVEL 1"))
    found = build(write(tmp_path, rows), tmp_path / "again", earlier=(first,))
    # Where a row stands in the schedule is on record of every sign.
    assert "HB27-01-110-C" in rendered
    assert "HB27-01-102-C" not in rendered
    assert found == build(write(tmp_path, rows), tmp_path / "full")


@pytest.mark.parametrize("name", ["manifest.json", "checks.csv"])
def test_a_new_revision_makes_no_piece_of_a_sign_again(
    name: str, first: Path, tmp_path: Path, rendered: list[str]
) -> None:
    changed = replace(SETTINGS, revision="B", title="Harbor Branch Library")
    found = build(write(tmp_path, ROWS), tmp_path / "again", changed, earlier=(first,))
    assert rendered == []
    assert found == build(write(tmp_path, ROWS), tmp_path / "full", changed)


@pytest.mark.parametrize("damage", ["document", "record"])
@pytest.mark.parametrize("name", ["manifest.json", "checks.csv"])
def test_pieces_of_a_damaged_document_are_made_again(name: str, damage: str, first: Path, tmp_path: Path) -> None:
    shutil.copytree(first, tmp_path / "old")
    path = tmp_path / "old" / (name if damage == "document" else f"rebuild/{name}.json")
    path.write_bytes(path.read_bytes().replace(b"0", b"1", 40))
    assert build(write(tmp_path, ROWS), tmp_path / "again", earlier=(tmp_path / "old",)) == sums(first)


CHANGES: dict[str, tuple[tuple[Row, ...], list[str]]] = {
    "renamed": ((*ROWS[:2], ("103", "WOMEN", "LEVEL 1"), *ROWS[3:]), ["HB27-01-103"]),
    "renumbered": ((*ROWS[:5], ("116", "MUSIC ROOM", "LEVEL 1")), ["HB27-01-116"]),
    "a row more at the top": ((("110", "CANTEEN", "LEVEL 1"), *ROWS), ["HB27-01-110"]),
    "a row less": (ROWS[1:], []),
    "sorted otherwise": (ROWS[::-1], []),
    "put right": ((*ROWS[:4], ("105", "READING ROOM", "LEVEL 1"), ROWS[5]), ["HB27-01-105"]),
}


@pytest.mark.parametrize("change", CHANGES)
def test_only_what_changed_is_made_again(change: str, first: Path, made: list[str], tmp_path: Path) -> None:
    rows, expected = CHANGES[change]
    schedule = write(tmp_path, rows)
    found = build(schedule, tmp_path / "again", earlier=(first,))
    assert [sign_id[:11] for sign_id in made] == expected
    assert found == build(schedule, tmp_path / "full")


def _waivers(folder: Path) -> Path:
    """A waiver that waives nothing, which holds its sign."""
    path = folder / "waivers.toml"
    path.write_text(
        '[[waiver]]\nrule = "plate/edge"\ncode = "too-small"\nsign = "HB27-01-101-C"\nreason = "old plates"\n'
        'name = "R. Osei, shop"\ndate = 2027-01-15\nuntil = 2027-03-31\n',
        encoding="utf-8",
    )
    return path


def _wide_stairs(folder: Path) -> Path:
    """The shipped family with another plate for stairs."""
    copy = folder / "signs"
    shutil.copytree(templates_folder() / "signs", copy)
    stair = (copy / "stair.toml").read_text(encoding="utf-8")
    (copy / "stair.toml").write_text(stair.replace('widths = ["8 in", ', "widths = ["), encoding="utf-8")
    return copy


# What the job file may say, and the number of signs that are laid out again for it.
MEANS: dict[str, tuple[Callable[[Path], Settings], int]] = {
    "revision": (lambda _: replace(SETTINGS, revision="B", title="Harbor Branch Library"), 0),
    "process tolerance of the list": (lambda _: replace(SETTINGS, tolerance_mm=0.1), 0),
    "waivers": (lambda folder: replace(SETTINGS, waivers=str(_waivers(folder)), day=date(2027, 3, 1)), 0),
    "a word of the job": (lambda _: replace(SETTINGS, lexicon=Lexicon(words=("READNG",))), 1),
    "standard": (lambda _: replace(SETTINGS, standard="us-california"), SIGNS + 1),
    "font": (lambda _: replace(SETTINGS, font="Cabin-Regular.otf"), SIGNS),
    "cutter": (lambda _: replace(SETTINGS, process_values=(("letter_cutter.included_angle_deg", 20.0),)), SIGNS),
    "color": (lambda _: replace(SETTINGS, base_color="navy"), SIGNS),
    "braille size": (lambda _: replace(SETTINGS, braille_size="us-wide"), SIGNS),
    "braille code": (lambda _: replace(SETTINGS, braille_code="ueb-uncontracted"), SIGNS),
    "one template": (lambda folder: replace(SETTINGS, templates=str(_wide_stairs(folder))), 1),
}


@pytest.mark.parametrize("means", MEANS)
def test_what_signs_are_made_with_is_never_taken_from_before(
    means: str, first: Path, made: list[str], tmp_path: Path
) -> None:
    make, expected = MEANS[means]
    schedule, settings = write(tmp_path, ROWS), make(tmp_path)
    found = build(schedule, tmp_path / "again", settings, earlier=(first,))
    assert len(made) == expected, made
    assert found == build(schedule, tmp_path / "full", settings)


def test_a_held_sign_is_held_again_and_a_released_one_can_be(first: Path, tmp_path: Path) -> None:
    schedule, settings = write(tmp_path, ROWS), replace(SETTINGS, waivers=str(_waivers(tmp_path)), day=date(2027, 3, 1))

    def status(job_settings: Settings, earlier: Path) -> dict[str, str]:
        job = build_job([schedule], job_settings, earlier=[earlier])
        return {sign.request.sign_id[5:11]: sign.status.value for sign in job.signs}

    plain = status(SETTINGS, first)
    assert (plain["01-101"], plain["01-105"]) == ("released", "held")
    assert status(settings, first) == {**plain, "01-101": "held"}
    # And the other way round: what is kept of the held sign is no reason to hold it.
    build(schedule, tmp_path / "held", settings)
    assert status(SETTINGS, tmp_path / "held") == plain


def _cut_off(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-200])


def _one_bit(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)


Change = Callable[[list[list[str]], dict[str, str]], None]


def _rewrite(change: Change, *, checked: bool = True) -> Callable[[Path], None]:
    """Write other works, with a record of the pieces and a list of checksums that agree with them.

    Each work is the digests of what it has in common with others, itself and its made sign; before it stands the hash
    of the three, which is that of other texts where they are not `checked`.
    """

    def spoil(path: Path) -> None:
        record_path = path.parent / "works.txt.json"
        record, data = json.loads(record_path.read_text()), path.read_bytes()
        pieces = [data[begin:end] for begin, end in zip(record["begins"], record["ends"], strict=True)]
        *works, common = [piece.decode().split("\n") for piece in pieces]
        parts, texts = [work[1:4] for work in works], json.loads(common[0])
        change(parts, texts)
        joined = ["\n".join([*part, ""]) for part in parts]
        heads = [
            hashlib.sha256(text.encode()).hexdigest() if checked else work[0]
            for work, text in zip(works, joined, strict=True)
        ]
        written = [f"{head}\n{text}".encode() for head, text in zip(heads, joined, strict=True)] + [
            f"{json.dumps(texts)}\n".encode()
        ]
        ends = [sum(map(len, written[: place + 1])) for place in range(len(written))]
        record |= {"begins": [0, *ends[:-1]], "ends": ends}
        _replace(path, b"".join(written))
        _replace(record_path, json.dumps(record).encode())

    return spoil


def _replace(path: Path, data: bytes) -> None:
    """Other contents, and a list of checksums that agrees with them."""
    sums = next(folder for folder in path.parents if (folder / "SHA256SUMS").is_file()) / "SHA256SUMS"
    before = hashlib.sha256(path.read_bytes()).hexdigest()
    path.write_bytes(data)
    sums.write_text(sums.read_text().replace(before, hashlib.sha256(data).hexdigest()))


def _record(change: Callable[[dict[str, Any]], Any]) -> Callable[[Path], None]:
    """Another record of the pieces, with a list of checksums that agrees with it."""

    def spoil(path: Path) -> None:
        record_path = path.parent / "works.txt.json"
        _replace(record_path, json.dumps(change(json.loads(record_path.read_text()))).encode())

    return spoil


def _every(place: int, text: str) -> Change:
    def change(works: list[list[str]], _texts: dict[str, str]) -> None:
        for work in works:
            work[place] = text

    return change


def _swap_made(works: list[list[str]], _texts: dict[str, str]) -> None:
    made = [work[2] for work in works]
    for work, other in zip(works, made[1:] + made[:1], strict=True):
        work[2] = other


def _swap(works: list[list[str]], _texts: dict[str, str]) -> None:
    works.append(works.pop(0))


DAMAGE: dict[str, Callable[[Path], None]] = {
    "gone": Path.unlink,
    "cut off": _cut_off,
    "one bit": _one_bit,
    "not works": lambda path: path.write_bytes(b"{}"),
    "a link": lambda path: path.symlink_to(path.rename(path.with_name("elsewhere"))),
    "common values missing": _rewrite(lambda _, texts: texts.clear()),
    "another class": _rewrite(_every(1, '["Path","/"]')),
    "another work": _rewrite(_swap),
    "another made sign": _rewrite(_swap_made, checked=False),
    "a list": _rewrite(_every(1, "[[]]")),
    "deep": _rewrite(_every(1, "[" * 900 + "]" * 900)),
    "not a text": _rewrite(_every(1, "\N{LATIN SMALL LETTER E WITH ACUTE}")),
    "a line more": _rewrite(_every(2, "null\nnull")),
    "another program": _rewrite(
        lambda works, _: [work.__setitem__(1, work[1].replace('"SignWork","', '"SignWork","0')) for work in works]
    ),
    "record gone": lambda path: (path.parent / "works.txt.json").unlink(),
    "no record": _record(lambda _: [1]),
    "a piece beyond the end": _record(lambda record: {**record, "ends": [end + 10**9 for end in record["ends"]]}),
    "a piece before the start": _record(lambda record: {**record, "begins": [-1 for _ in record["begins"]]}),
    "a piece of no length": _record(lambda record: {**record, "begins": record["ends"]}),
    "a place that is no number": _record(lambda record: {**record, "begins": ["0" for _ in record["begins"]]}),
    "a record too long": _record(lambda record: {**record, "more": " " * 65_000_000}),
}


@pytest.mark.parametrize("damage", DAMAGE)
def test_what_is_damaged_or_made_otherwise_is_made_again(
    damage: str, first: Path, made: list[str], tmp_path: Path
) -> None:
    shutil.copytree(first, tmp_path / "old")
    DAMAGE[damage](tmp_path / "old" / "rebuild" / "works.txt")
    found = build(write(tmp_path, ROWS), tmp_path / "again", earlier=(tmp_path / "old",))
    assert len(made) == SIGNS
    assert found == sums(first)


@pytest.mark.parametrize("folder", ["missing", "empty", "file", "foreign"])
def test_a_folder_that_is_not_ours_gives_nothing(folder: str, made: list[str], tmp_path: Path) -> None:
    place = tmp_path / folder
    if folder == "file":
        place.write_text("no folder", encoding="utf-8")
    elif folder != "missing":
        place.mkdir()
    if folder == "foreign":
        (place / "manifest.json").write_text('{"tool": {"name": "another"}}', encoding="utf-8")
        (place / "SHA256SUMS").write_text(f"{'0' * 64}  rebuild/works.txt\n", encoding="utf-8")
    build_job([write(tmp_path, ROWS)], SETTINGS, earlier=[place])
    assert len(made) == SIGNS


@pytest.fixture
def described(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Ids of the signs that are described for the report page while the test runs."""
    ids: list[str] = []
    describe = Signs.describe

    def count(self: Signs, record: SignRecord) -> bytes:
        ids.append(record.request.sign_id)
        return describe(self, record)

    monkeypatch.setattr(Signs, "describe", count)
    return ids


def test_a_page_has_only_the_changed_sign_described_again(first: Path, described: list[str], tmp_path: Path) -> None:
    build(write(tmp_path, ROWS), tmp_path / "same", earlier=(first,))
    assert described == []
    rows = (*ROWS[:2], ("103", "WOMEN", "LEVEL 1"), *ROWS[3:])
    found = build(write(tmp_path, rows), tmp_path / "renamed", earlier=(first,))
    assert described == ["HB27-01-103-C"]
    assert found == build(write(tmp_path, rows), tmp_path / "full")


def _another_record(change: Callable[[dict[str, Any]], Any]) -> Callable[[Path], None]:
    """Write another record of the page's pieces, and a list of checksums that agrees with it."""

    def spoil(folder: Path) -> None:
        path, sums = folder / PAGE_RECORD, folder / "SHA256SUMS"
        before = path.read_bytes()
        path.write_text(json.dumps(change(json.loads(before))))
        digests = (hashlib.sha256(data).hexdigest() for data in (before, path.read_bytes()))
        sums.write_text(sums.read_text().replace(*digests))

    return spoil


PAGE_RECORD = "rebuild/report.html.json"
PAGE_DAMAGE: dict[str, Callable[[Path], None]] = {
    "page gone": lambda folder: (folder / "report.html").unlink(),
    "page cut off": lambda folder: _cut_off(folder / "report.html"),
    "one bit of the page": lambda folder: _one_bit(folder / "report.html"),
    "record gone": lambda folder: (folder / PAGE_RECORD).unlink(),
    "record cut off": lambda folder: _cut_off(folder / PAGE_RECORD),
    "one bit of the record": lambda folder: _one_bit(folder / PAGE_RECORD),
    "a list": _another_record(lambda record: [record]),
    "an end missing": _another_record(lambda record: {**record, "ends": record["ends"][1:]}),
    "no such bytes": _another_record(
        lambda record: {**record, **{name: [10**9 + at for at in record[name]] for name in ("begins", "ends")}}
    ),
    "other recipes": _another_record(lambda record: {**record, "recipes": ["0" * 24] * len(record["recipes"])}),
}


@pytest.mark.parametrize("damage", PAGE_DAMAGE)
def test_a_page_that_is_damaged_is_made_again(damage: str, first: Path, described: list[str], tmp_path: Path) -> None:
    shutil.copytree(first, tmp_path / "old")
    PAGE_DAMAGE[damage](tmp_path / "old")
    found = build(write(tmp_path, ROWS), tmp_path / "again", earlier=(tmp_path / "old",))
    assert len(described) == SIGNS
    assert found == sums(first)


NAMES = ("ARCHIVE", "BINDERY", "MEN", "KITCHEN", "STUDIO", "READNG ROOM")
SCHEDULES = st.lists(
    st.tuples(st.sampled_from(range(101, 108)).map(str), st.sampled_from(NAMES), st.just("LEVEL 1")),
    min_size=1,
    max_size=4,
).map(tuple)


@examples(max_examples=4, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(before=SCHEDULES, after=SCHEDULES)
def test_any_schedule_over_any_other_gives_the_bytes_of_a_full_build(
    before: tuple[Row, ...], after: tuple[Row, ...]
) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        build(write(folder, before), folder / "out")
        schedule = write(folder, after)
        assert build(schedule, folder / "out", earlier=(folder / "out",)) == build(schedule, folder / "full")
