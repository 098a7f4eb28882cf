"""report.html as bytes: nothing left out, nothing that can run but its own script, drawings as laid out."""

import base64
import hashlib
import importlib.util
import json
import re
from collections.abc import Iterable
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.revision import ChangeKind, Comparison, SignChange
from schedule2sign.model.rule import Basis, Finding, Limit, Measurement, Outcome, Verdict
from schedule2sign.writers.marks import Marks
from schedule2sign.writers.measures import measured_text
from schedule2sign.writers.pieces import Earlier, NoEarlier, Piece
from schedule2sign.writers.report import Report
from schedule2sign.writers.report_signs import Signs
from schedule2sign.writers.text import clean_text

CLAIMS = re.compile(r"(?<!NOT A )\b(compliant|compliance|certified|guaranteed|code[- ]approved)\b", re.IGNORECASE)
VOID = {"meta", "input", "link", "br", "img"}


def load_sample() -> ModuleType:
    path = Path(__file__).resolve().parents[1] / "golden" / "sample_job.py"
    spec = importlib.util.spec_from_file_location("sample_job_for_report", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


sample = load_sample()


class Page(HTMLParser):
    """Elements in order and the text of scripts and styles."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.raw: list[tuple[str, dict[str, str | None], str]] = []
        self.open: list[str] = []
        self.unbalanced: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.unbalanced.append(tag)

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] in ("script", "style"):
            self.raw.append((self.open[-1], self.tags[-1][1], data))


@pytest.fixture(scope="module")
def job() -> Job:
    return sample.sample_job()


def render(job: Job) -> str:
    (file,) = Report().render(job)
    assert file.path == "report.html"
    return file.data.decode("utf-8")


def json_of(text: str) -> dict[str, Any]:
    """The page's data as it stands there."""
    found = [raw for _, attributes, raw in Page(text).raw if attributes.get("id") == "data"]
    data: dict[str, Any] = json.loads("".join(found))
    return data


def data_of(text: str) -> dict[str, Any]:
    """The page's data; to each sign what it shares with others, to each number of a flag the flag."""
    data = json_of(text)
    shared, signs = data["shared"], []
    for needs, sign, *more in data["signs"]:
        if needs:
            (rules,), plate = shared[needs[0]], shared[needs[1]][1:]
            sign |= {"rules": [shared[name][1:] for name in rules], "plate": plate}
            sign |= dict(zip(("letters", "dots", "measured"), more, strict=True))
            sign["outlines"] = [shared[name][1] for name in needs[2:]]
        signs.append(sign)
    flags = [signs[flag[0]]["flags"][flag[1]] if isinstance(flag, list) else flag for flag in data["flags"]]
    return {**data, "signs": signs, "flags": flags}


@pytest.fixture(scope="module")
def text(job: Job) -> str:
    return render(job)


def test_the_page_is_well_formed_and_says_its_language(text: str) -> None:
    page = Page(text)
    assert not page.unbalanced
    assert not page.open
    assert ("html", {"lang": "en"}) in page.tags
    ids = [attributes["id"] for _, attributes in page.tags if "id" in attributes]
    assert len(ids) == len(set(ids))


def test_every_control_has_a_label_and_every_section_a_heading(text: str) -> None:
    tags = Page(text).tags
    labels = {attributes["for"] for tag, attributes in tags if tag == "label"}
    assert labels == {attributes["id"] for tag, attributes in tags if tag in ("input", "select")}
    sections = [attributes for tag, attributes in tags if tag == "section"]
    ids = {attributes.get("id") for _, attributes in tags}
    assert len(sections) == 7
    assert all(section["aria-labelledby"] in ids for section in sections)


def test_only_its_own_script_and_style_may_run(text: str) -> None:
    page = Page(text)
    policy = next(a["content"] for tag, a in page.tags if tag == "meta" and a.get("http-equiv"))
    for kind in ("script", "style"):
        sources = [
            raw for tag, attributes, raw in page.raw if tag == kind and attributes.get("type") != "application/json"
        ]
        digest = base64.b64encode(hashlib.sha256("".join(sources).encode()).digest()).decode()
        assert f"{kind}-src 'sha256-{digest}'" in policy
    assert policy.startswith("default-src 'none'")
    assert not [a for _, a in page.tags if any(name.startswith("on") or name in ("style", "src") for name in a)]


def test_nothing_is_fetched(text: str) -> None:
    addresses = set(re.findall(r"\w+://[^\s\"'<]+", text))
    assert addresses == {"http://www.w3.org/2000/svg"}  # the name of a namespace, not an address
    links = [a["href"] for tag, a in Page(text).tags if tag == "a"]
    assert links
    assert all(link.startswith("#") for link in links)


def test_every_sign_row_and_flag_is_in_it(job: Job, text: str) -> None:
    data = data_of(text)
    assert [sign["id"] for sign in data["signs"]] == [sign.request.sign_id for sign in job.signs]
    assert [flag["message"] for flag in data["flags"]] == [
        flag.message for flag in sorted(job.flags, key=lambda flag: -flag.severity.rank)
    ]
    unsigned = [decision for decision in job.decisions if decision.outcome.value != "signed"]
    assert [row["why"] for row in data["unsigned"]] == [decision.reason for decision in unsigned]
    given = {row.source.row: [clean_text(cell) for cell in row.as_given] for row in job.schedule.rows}
    for sign, record in zip(data["signs"], job.signs, strict=True):
        assert [line[1] for line in sign["braille"]] == [line.cells for line in record.braille]
        assert [flag["code"] for flag in sign["flags"]] == [flag.code for flag in record.flags]
        number = record.request.source.row
        assert sign["row"] == [sample.FILE, sample.SHEET, number, given[number]]
        assert [rule for rule, *_ in sign.get("rules", ())] == [verdict.rule for verdict in record.verdicts]


def test_of_tables_side_by_side_a_sign_shows_its_own_row(job: Job) -> None:
    left, right = (
        replace(sample.data_row(8, door, name), source=sample.source(8, column))
        for column, door, name in (("A", "101", "Lobby"), ("E", "201", "Attic"))
    )
    signs = [
        replace(record, request=replace(record.request, source=row.source))
        for record, row in zip(job.signs, (left, right), strict=False)
    ]
    data = data_of(render(replace(job, signs=tuple(signs), schedule=replace(job.schedule, rows=(left, right)))))
    assert [sign["row"][3] for sign in data["signs"]] == [["101", "101", "Lobby"], ["201", "201", "Attic"]]


def points(path: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path)]


def test_drawings_are_the_layout_at_real_size(job: Job, text: str) -> None:
    data = data_of(text)
    drawn = [(s, r.layout) for s, r in zip(data["signs"], job.signs, strict=True) if r.layout is not None]
    assert drawn
    for sign, layout in drawn:
        width, height, *_, dot_width, _ = sign["plate"]
        assert (width, height) == (
            pytest.approx(layout.width_mm, abs=0.005),
            pytest.approx(layout.height_mm, abs=0.005),
        )
        assert dot_width == pytest.approx(layout.cell_size.base_mm, abs=0.005)
        got = []
        for y, *placed in sign["letters"]:
            for outline, x in zip(placed[::2], placed[1::2], strict=True):
                got += [(x + px, height - (y + py)) for px, py in points(sign["outlines"][outline])]
        want = [point for line in layout.lines for glyph in line.glyphs for ring in glyph.rings for point in ring]
        assert len(got) == len(want)
        for (gx, gy), (wx, wy) in zip(got, want, strict=True):
            assert gx == pytest.approx(wx, abs=0.02)
            assert gy == pytest.approx(wy, abs=0.02)
        centers = sorted((x, round(height - y, 2)) for y, *across in sign["dots"] for x in across)
        assert len(centers) == len(layout.dots)
        dots = sorted(layout.dots, key=lambda dot: (round(dot.x_mm, 2), round(dot.y_mm, 2)))
        for (x, y), dot in zip(centers, dots, strict=True):
            assert (x, y) == (pytest.approx(dot.x_mm, abs=0.01), pytest.approx(dot.y_mm, abs=0.01))


def test_a_letter_that_repeats_is_drawn_once(job: Job, text: str) -> None:
    drawn = [layout for record in job.signs if (layout := record.layout) is not None]
    letters = [glyph.outline.rings for layout in drawn for line in layout.lines for glyph in line.glyphs]
    names = {name for needs, *_ in json_of(text)["signs"] for name in needs[2:]}
    assert len(names) == len(set(letters)) < len(letters)


def test_what_signs_share_stands_once_and_only_what_they_need(job: Job, text: str) -> None:
    once, twice = json_of(text), json_of(render(replace(job, signs=job.signs * 2)))
    assert twice["shared"] == once["shared"]
    assert twice["signs"] == once["signs"] * 2
    assert len({json.dumps(value) for value in once["shared"].values()}) == len(once["shared"])
    needed = {name for needs, *_ in once["signs"] for name in needs}
    assert set(once["shared"]) == needed.union(*(once["shared"][name][0] for name in needed))
    fewer = json_of(render(replace(job, signs=job.signs[:1])))
    assert set(fewer["shared"]) < set(once["shared"])
    assert all(once["shared"][name] == value for name, value in fewer["shared"].items())


def keyed(job: Job) -> Job:
    """The job with works that a later run can take over."""
    signs = tuple(
        replace(record, work=replace(record.work, key=f"key {number}", made_with="program"))
        for number, record in enumerate(job.signs)
    )
    return replace(job, signs=signs)


def pieces_of(job: Job, earlier: Earlier | None = None) -> list[Piece]:
    (document,) = Report().documents(job, Marks(job))
    return list(document.pieces(earlier or NoEarlier()))


def sign_pieces(job: Job) -> dict[str, Piece]:
    """The piece of each sign, by its id."""
    pieces = pieces_of(job)
    first, end = (
        next(place for place, piece in enumerate(pieces) if piece.data == mark)
        for mark in (b'{"signs":[', b'],"shared":{')
    )
    ids = (record.request.sign_id for record in job.signs)
    return dict(zip(ids, pieces[first + 1 : end : 2], strict=True))


def test_the_piece_of_a_sign_depends_on_no_other_sign(job: Job) -> None:
    job = keyed(job)
    pieces = sign_pieces(job)
    assert all(piece.recipe for piece in pieces.values())
    assert sign_pieces(replace(job, signs=job.signs[::-1])) == pieces
    for number, record in enumerate(job.signs):
        alone = replace(job, signs=(record,), flags=record.flags)
        assert sign_pieces(alone) == {record.request.sign_id: pieces[record.request.sign_id]}
        changed = replace(record, request=replace(record.request, level="LEVEL 2"), flags=())
        others = sign_pieces(replace(job, signs=(*job.signs[:number], changed, *job.signs[number + 1 :])))
        assert [other for other, piece in others.items() if piece != pieces[other]] == [record.request.sign_id]


def test_a_flag_shows_its_row_whichever_sign_has_it(job: Job) -> None:
    job = keyed(job)
    of_other = replace(job.signs[0].flags[0], source=job.signs[1].request.source, given="")
    job = replace(job, signs=(replace(job.signs[0], flags=(of_other,)), *job.signs[1:]))
    rows, changed = job.schedule.rows, replace(sample.data_row(9, "102", "Girls"))
    renamed = replace(job, schedule=replace(job.schedule, rows=(*rows[:4], changed, *rows[5:])))
    before, after = sign_pieces(job), sign_pieces(renamed)
    first, second, *rest = before
    assert json.loads(before[first].data)[1]["flags"][0]["given"] == "102 | 102 | Niños"
    assert json.loads(after[first].data)[1]["flags"][0]["given"] == "102 | 102 | Girls"
    assert before[first].recipe != after[first].recipe
    assert before[second].recipe != after[second].recipe
    assert [before[sign_id] for sign_id in rest] == [after[sign_id] for sign_id in rest]


class Before:
    """Pieces of an earlier page."""

    def __init__(self, pieces: Iterable[Piece]) -> None:
        self._known = {piece.recipe: piece for piece in pieces if piece.recipe}

    def find(self, recipe: str) -> Piece | None:
        return self._known.get(recipe)


def test_only_what_the_earlier_page_lacks_is_made(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    described: list[str] = []
    describe = Signs.describe

    def counted(self: Signs, record: SignRecord) -> bytes:
        described.append(record.request.sign_id)
        return describe(self, record)

    monkeypatch.setattr(Signs, "describe", counted)
    job = keyed(job)
    pieces = pieces_of(job)
    ids = [record.request.sign_id for record in job.signs]
    described.clear()
    assert pieces_of(job, Before(pieces)) == pieces
    assert described == []
    kept = [piece for piece in pieces if piece.recipe]
    assert len(kept) > len(ids)
    needing = {sign_id: pieces_of(replace(job, signs=(sign,))) for sign_id, sign in zip(ids, job.signs, strict=True)}
    for lost in kept:
        described.clear()
        assert pieces_of(job, Before(piece for piece in pieces if piece is not lost)) == pieces
        # The sign itself, or the first that needs what is lost.
        assert described == [next(sign_id for sign_id in ids if lost in needing[sign_id])]


def test_it_is_written_while_it_is_made(job: Job) -> None:
    (file,) = Report().render(replace(job, signs=job.signs * 200))
    sizes = [len(chunk) for chunk in file.chunks()]
    assert len(sizes) > 3
    assert max(sizes) < 300_000
    assert b"".join(file.chunks()) == file.data


def test_measured_values_stand_with_limit_margin_and_clause(job: Job) -> None:
    limit = Limit(key="gap", low="0.125", high=None, unit="in", clause="703.2.7", basis=Basis.MEMORY)
    short = Measurement(limit=limit, value=0.1 * MM_PER_INCH, margin=-0.025 * MM_PER_INCH, where="A to B")
    verdict = Verdict(
        rule="raised/gap",
        outcome=Outcome.FLAGGED,
        findings=(Finding(code="too-small", message="Too close.", measurement=short),),
        closest=(short,),
    )
    failed = Verdict(rule="raised/word-gap", outcome=Outcome.NOT_CHECKED, why_not="the rule failed")
    record = sample.with_layout(job.signs[0], job.signs[0].layout, (verdict, failed))
    data = data_of(render(replace(job, signs=(record,))))
    (sign,) = data["signs"]
    assert sign["rules"] == [
        ["raised/gap", "flagged", "", [["0.125 in min.", "in", "703.2.7 (from memory)"]]],
        ["raised/word-gap", "not checked", "", []],
    ]
    assert (sign["measured"], sign["where"]) == ([0.1, -0.025], ["A to B"])
    assert sign["said"] == {"0": ["Too close."], "1": ["the rule failed"]}


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [(15.875, "in", "0.625 in"), (15.875, "mm", "15.875 mm"), (70.504, "percent", "70.5 %"), (-0.00001, "in", "0 in")],
)
def test_values_are_shown_in_the_unit_of_their_limit(value: float, unit: str, shown: str) -> None:
    assert measured_text(value, unit) == shown


HOSTILE = "</script><img src=x onerror=alert(1)><!-- \"'&\u2028$style ${title}"


def test_text_of_a_schedule_stays_text(job: Job) -> None:
    flag = Flag(code="x/y", severity=Severity.ASK, message=HOSTILE, who=HOSTILE, given=HOSTILE, fix="\ud800\x00")
    settings = replace(job.settings, title=HOSTILE, revision=HOSTILE)
    text = render(replace(job, flags=(flag,), settings=settings))
    page = Page(text)
    assert not page.unbalanced
    assert not [tag for tag, _ in page.tags if tag == "img"]
    assert len([tag for tag, _ in page.tags if tag == "script"]) == 2
    assert data_of(text)["flags"][0]["message"] == HOSTILE
    assert data_of(text)["flags"][0]["fix"] == ""


def test_the_same_job_gives_the_same_bytes_and_no_claim(job: Job, text: str) -> None:
    assert render(job) == text
    assert not CLAIMS.search(text)


def test_what_changed_since_the_issue_before_stands_with_the_sign(job: Job) -> None:
    first, *rest = job.signs
    changes = (
        SignChange(
            kind=ChangeKind.TEXT,
            sign_id=first.request.sign_id,
            old_id="A",
            text_before="100 / HALL",
            text_after="101 / LOBBY",
            action="re-make",
        ),
        *(SignChange(kind=ChangeKind.UNCHANGED, sign_id=record.request.sign_id) for record in rest),
    )
    totals = ((ChangeKind.TEXT, 1), (ChangeKind.UNCHANGED, len(rest)))
    compared = replace(job, comparison=Comparison(old="revision A", new="revision B", changes=changes, totals=totals))
    said = [sign["change"] for sign in data_of(render(compared))["signs"]]
    assert said == ["text; 100 / HALL -> 101 / LOBBY. re-make", *[""] * len(rest)]
