"""report.html as bytes: nothing left out, nothing that can run but its own script, drawings as laid out."""

import base64
import hashlib
import importlib.util
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Job
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.revision import ChangeKind, Comparison, SignChange
from schedule2sign.model.rule import Basis, Finding, Limit, Measurement, Outcome, Verdict
from schedule2sign.writers.measures import measured_text
from schedule2sign.writers.report import Report
from schedule2sign.writers.report_pools import Recent

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


def data_of(text: str) -> dict:
    """The page's data; what signs share taken out of the first of them and put where its number points to."""
    found = [raw for tag, attributes, raw in Page(text).raw if attributes.get("id") == "data"]
    data = json.loads("".join(found))
    data |= {"drawings": [], "verdicts": [], "lists": []}

    def number(value: Any, known: list[Any]) -> int:
        if isinstance(value, int):
            assert -1 <= value < len(known)
            return value
        assert value not in known, "written twice"
        known.append(value)
        return len(known) - 1

    for sign in data["signs"]:
        if isinstance(sign["verdicts"], list):
            sign["verdicts"] = [number(verdict, data["verdicts"]) for verdict in sign["verdicts"]]
        sign["verdicts"] = number(sign["verdicts"], data["lists"])
        sign["drawing"] = number(sign["drawing"], data["drawings"])
    return data


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
    assert [flag["message"] for flag in data["flags"][: data["listed"]]] == [
        flag.message for flag in sorted(job.flags, key=lambda flag: -flag.severity.rank)
    ]
    unsigned = [decision for decision in job.decisions if decision.outcome.value != "signed"]
    assert [row["why"] for row in data["unsigned"]] == [decision.reason for decision in unsigned]
    for sign, record in zip(data["signs"], job.signs, strict=True):
        assert [line[1] for line in sign["braille"]] == [line.cells for line in record.braille]
        assert [data["flags"][number]["code"] for number in sign["flags"]] == [flag.code for flag in record.flags]
        assert data["rows"][sign["row"]][2] == record.request.source.row
        verdicts = data["lists"][sign["verdicts"]] if sign["verdicts"] >= 0 else []
        assert [data["verdicts"][number][0] for number in verdicts] == [verdict.rule for verdict in record.verdicts]


def points(path: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path)]


def test_drawings_are_the_layout_at_real_size(job: Job, text: str) -> None:
    data = data_of(text)
    drawn = [(s, r.layout) for s, r in zip(data["signs"], job.signs, strict=True) if r.layout is not None]
    assert drawn
    for sign, layout in drawn:
        width, height, _, placed, dots, dot_width, _ = data["drawings"][sign["drawing"]]
        assert (width, height) == (
            pytest.approx(layout.width_mm, abs=0.005),
            pytest.approx(layout.height_mm, abs=0.005),
        )
        assert dot_width == pytest.approx(layout.cell_size.base_mm, abs=0.005)
        got = []
        for glyph, x, y in zip(placed[::3], placed[1::3], placed[2::3], strict=True):
            got += [(x + px, height - (y + py)) for px, py in points(data["glyphs"][glyph])]
        want = [point for line in layout.lines for glyph in line.glyphs for ring in glyph.rings for point in ring]
        assert len(got) == len(want)
        for (gx, gy), (wx, wy) in zip(got, want, strict=True):
            assert gx == pytest.approx(wx, abs=0.02)
            assert gy == pytest.approx(wy, abs=0.02)
        centers = [(float(x), height - float(y)) for x, y in re.findall(r"M(-?[\d.]+) (-?[\d.]+)h0", dots)]
        assert len(centers) == len(layout.dots)
        for (x, y), dot in zip(centers, layout.dots, strict=True):
            assert (x, y) == (pytest.approx(dot.x_mm, abs=0.01), pytest.approx(dot.y_mm, abs=0.01))


def test_a_letter_that_repeats_is_drawn_once(job: Job, text: str) -> None:
    data = data_of(text)
    outlines = {id(g.outline) for r in job.signs if r.layout for line in r.layout.lines for g in line.glyphs}
    assert len(data["glyphs"]) == len(outlines)


def test_what_signs_share_stands_in_the_first_of_them(job: Job, text: str) -> None:
    twice = data_of(render(replace(job, signs=job.signs * 2)))
    once, count = data_of(text), len(job.signs)
    assert twice["signs"][:count] == twice["signs"][count:] == once["signs"]
    assert all(twice[pool] == once[pool] for pool in ("drawings", "verdicts", "lists", "glyphs", "frames"))


def test_only_what_was_used_last_is_remembered() -> None:
    recent = Recent(2)
    assert [recent.add("a"), recent.add("b"), recent.find("a"), recent.add("c")] == [0, 1, 0, 2]
    assert [recent.find("a"), recent.find("b"), recent.find("c")] == [0, None, 2]
    assert recent.add("b") == 3


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
    record = sample.with_layout(job.signs[0], job.signs[0].layout, (verdict,))
    data = data_of(render(replace(job, signs=(record,))))
    assert data["verdicts"] == [
        [
            "raised/gap",
            "flagged",
            "",
            [["0.1 in", "0.125 in min.", "-0.025 in", "703.2.7 (from memory)", "A to B"]],
            ["Too close."],
        ]
    ]


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
