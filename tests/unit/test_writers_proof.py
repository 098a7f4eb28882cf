"""proof.pdf read back by poppler: every message is in it as the job has it, drawn at the scale it states."""

import importlib.util
import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest

from schedule2sign.model.flag import Severity
from schedule2sign.model.job import Job, Status
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.revision import ChangeKind, Comparison, SignChange
from schedule2sign.model.settings import Finality
from schedule2sign.writers.proof import Proof
from schedule2sign.writers.proof_pictures import best_scale, dot_numbers

CLAIMS = re.compile(r"(?<!NOT A )\b(compliant|compliance|certified|guaranteed|code[- ]approved)\b", re.IGNORECASE)
pytestmark = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler is not installed")
DPI = 144


def load_sample() -> ModuleType:
    path = Path(__file__).resolve().parents[1] / "golden" / "sample_job.py"
    spec = importlib.util.spec_from_file_location("sample_job_for_proof", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


sample = load_sample()


@pytest.fixture(scope="module")
def job() -> Job:
    return sample.sample_job()


def render(job: Job, folder: Path) -> Path:
    (file,) = Proof().render(job)
    assert file.path == "proof.pdf"
    path = folder / "proof.pdf"
    path.write_bytes(file.data)
    return path


def run(*command: object) -> str:
    return subprocess.run([str(part) for part in command], check=True, capture_output=True, timeout=60).stdout.decode()


@pytest.fixture(scope="module")
def proof(job: Job, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return render(job, tmp_path_factory.mktemp("proof"))


@pytest.fixture(scope="module")
def pages(proof: Path) -> list[str]:
    return run("pdftotext", "-raw", proof, "-").split("\f")[:-1]


def final(job: Job) -> Job:
    return replace(job, settings=replace(job.settings, finality=Finality.FINAL))


def test_every_sign_stands_in_it_once_with_its_words_and_what_its_braille_reads_back(
    job: Job, pages: list[str]
) -> None:
    text = "\n".join(pages)
    for record in job.signs:
        state = "HELD, NOT FOR PRODUCTION" if record.status is Status.HELD else "released"
        assert len(re.findall(rf"(?<!\S){re.escape(record.request.sign_id)} +{state}$", text, re.MULTILINE)) == 1
        for line in record.braille:
            assert f"reads back: {line.back or 'not read back'}" in text
        if record.layout is not None:
            lines = [line.text for line in sorted(record.layout.lines, key=lambda line: -line.baseline_mm)]
            assert " / ".join(lines) in text


def test_the_cover_says_job_rules_counts_and_who_must_sign(job: Job, pages: list[str]) -> None:
    cover = " ".join(pages[0].split())
    for words in (job.settings.job, job.settings.revision, job.standard.title, job.font.name, "charcoal", "non-glare"):
        assert words in cover
    for role in (
        "Wording approved by",
        "Braille read (credential) by",
        "Location plan approved by",
        "Released for production by",
    ):
        assert role in cover
    front = " ".join(" ".join(pages[:3]).split())
    assert f"{job.accounting.rows_read} rows read" in front
    assert "authority having jurisdiction" in front


def test_each_level_starts_a_page_and_the_exceptions_are_last(job: Job, pages: list[str]) -> None:
    for level in {record.request.level for record in job.signs}:
        signs = sum(record.request.level == level for record in job.signs)
        assert any(re.search(rf"(?m)^{level or 'Level not given'}: {signs} signs", page) for page in pages)
    last = " ".join(pages[-1].split())
    assert "Exceptions: what needs an answer" in last
    for flag in job.flags:
        if flag.severity is not Severity.NOTE:
            assert flag.message.split()[0] in last
    assert "NOTE" not in last


def test_pages_of_a_floor_name_it_in_their_heads_where_the_job_asks_for_it(job: Job, tmp_path: Path) -> None:
    many = tuple(
        replace(record, request=replace(record.request, sign_id=f"{record.request.sign_id}.{number}", level=level))
        for number in range(4)
        for record in job.signs
        for level in (("LEVEL 1", "LEVEL 2", "")[number % 3],)
    )
    asked = replace(job, signs=many, settings=replace(job.settings, page_per_floor=True))
    plain = replace(asked, settings=job.settings)
    right = f"{job.settings.job}, revision {job.settings.revision}"
    levels = {record.request.sign_id: record.request.level or "Level not given" for record in many}
    assert len(set(levels.values())) > 1
    seen: list[str] = []
    for text in run("pdftotext", "-layout", render(asked, tmp_path), "-").split("\f")[:-1]:
        head = text.lstrip().splitlines()[0]
        here = re.findall(r"(\S+) +(?:HELD, NOT FOR PRODUCTION|released)$", text, re.MULTILINE)
        floors = {levels[sign_id] for sign_id in here if sign_id in levels}
        assert len(floors) <= 1  # a floor starts a page of its own
        assert head.endswith(f"{floors.pop()} | {right}" if floors else right)
        assert floors or here or " | " not in head  # cover, types and exceptions name none
        seen += [sign_id for sign_id in here if sign_id in levels]
    assert sorted(seen) == sorted(levels)
    assert " | " + right not in run("pdftotext", "-layout", render(plain, tmp_path), "-")


def test_numbers_that_are_not_final_are_marked_on_every_page(job: Job, pages: list[str], tmp_path: Path) -> None:
    assert job.settings.finality is not Finality.FINAL
    # A turned word is taken apart by the reader into short runs of letters.
    assert run("pdftotext", render(final(job), tmp_path), "-").count("PROVISIONAL") == 0
    assert "PROVISIONAL" in pages[0]
    (file,) = Proof().render(job)
    assert file.data.count(b"/ca 0.14") == 1
    (file,) = Proof().render(final(job))
    assert file.data.count(b"/ca 0.14") == 0


def widest_run(image: bytes, color: tuple[int, int, int]) -> int:
    """Most pixels of a color next to each other in a row of a binary PPM."""
    match = re.match(rb"P6\s(\d+) (\d+)\s255\s", image)
    assert match is not None
    width, data = int(match[1]), image[match.end() :]
    row, best = bytes(color), 0
    for start in range(0, len(data), width * 3):
        best = max(
            [
                best,
                *(
                    len(found[0]) // 3
                    for found in re.finditer(b"(?:" + re.escape(row) + b")+", data[start : start + width * 3])
                ),
            ]
        )
    return best


def test_a_plate_is_drawn_at_the_scale_that_is_stated(job: Job, tmp_path: Path) -> None:
    record = next(record for record in job.signs if record.layout is not None)
    assert record.layout is not None
    # A second sign as long as it is wide, so that another scale is stated.
    wide = replace(
        sample.with_layout(record, replace(record.layout, width_mm=406.4)),
        request=replace(record.request, sign_id="WIDE"),
    )
    for one in (record, wide):
        path = render(final(replace(job, signs=(one,))), tmp_path)
        texts = run("pdftotext", "-raw", path, "-").split("\f")
        page = next(number for number, text in enumerate(texts, 1) if f"\n{one.request.sign_id} " in f"\n{text}")
        stated = int(re.search(r"drawn 1 : (\d+)", texts[page - 1])[1])  # type: ignore[index]
        image = subprocess.run(
            ["pdftoppm", "-r", str(DPI), "-aa", "no", "-aaVector", "no", "-f", str(page), "-l", str(page), str(path)],
            check=True,
            capture_output=True,
            timeout=60,
        ).stdout
        assert one.layout is not None
        charcoal = (0x3A, 0x3D, 0x40)
        assert widest_run(image, charcoal) == pytest.approx(one.layout.width_mm / MM_PER_INCH / stated * DPI, abs=3)


def test_every_font_is_embedded(proof: Path) -> None:
    lines = run("pdffonts", proof).splitlines()[2:]
    assert lines
    for line in lines:
        assert re.search(r" yes +(yes|no) +(yes|no) +\d+ +\d+$", line), line


def test_the_same_job_gives_the_same_bytes_and_no_claim(job: Job, proof: Path, pages: list[str]) -> None:
    (file,) = Proof().render(job)
    assert file.data == proof.read_bytes()
    assert not CLAIMS.search("\n".join(pages))


def test_a_book_of_500_signs_is_small(job: Job) -> None:
    drawn = [record for record in job.signs if record.layout is not None]
    signs = [
        replace(record, request=replace(record.request, sign_id=f"{record.request.sign_id}.{number}"))
        for number in range(500)
        for record in drawn[number % len(drawn) :][:1]
    ]
    assert len(signs) == 500
    (file,) = Proof().render(replace(job, signs=tuple(signs)))
    assert len(file.data) < 20e6


@pytest.mark.parametrize(
    ("cell", "dots"), [("⠀", ()), ("⠁", (1,)), ("⠼", (3, 4, 5, 6)), ("⠿", (1, 2, 3, 4, 5, 6)), ("⠲", (2, 5, 6))]
)
def test_dot_numbers_are_those_of_the_unicode_standard(cell: str, dots: tuple[int, ...]) -> None:
    assert dot_numbers(cell) == dots  # names such as "BRAILLE PATTERN DOTS-3456" of the Unicode code charts, U+2800


def test_the_scale_is_the_largest_that_fits(job: Job) -> None:
    layout = next(record.layout for record in job.signs if record.layout is not None)
    wide = layout.width_mm / MM_PER_INCH * 72
    assert best_scale(layout, wide + 0.01, 1e6) == 1
    assert best_scale(layout, wide / 2 + 0.01, 1e6) == 2
    assert best_scale(layout, wide / 2 - 0.01, 1e6) == 3
    assert best_scale(layout, wide / 37.5, 1e6) == 38


def test_changed_signs_are_marked_and_counted(job: Job, tmp_path: Path) -> None:
    sign_id = job.signs[0].request.sign_id
    changes = (SignChange(kind=ChangeKind.TEXT, sign_id=sign_id, text_before="100 / HALL", text_after="101 / LOBBY"),)
    compared = Comparison(old="revision A", new="revision B", changes=changes, totals=((ChangeKind.TEXT, 1),))
    text = " ".join(run("pdftotext", "-raw", render(replace(job, comparison=compared), tmp_path), "-").split())
    assert "Changes since revision A Change Signs text 1" in text
    assert text.count("CHANGED since the issue before: text; 100 / HALL -> 101 / LOBBY") == 1


def test_a_sign_with_more_to_say_than_a_page_holds_goes_on_over_the_page(job: Job, tmp_path: Path) -> None:
    record = next(record for record in job.signs if record.layout is not None)
    flags = tuple(replace(job.flags[0], message=f"Question {number}. " + "word " * 200) for number in range(60))
    changes = tuple(replace(change, after="X" * 300) for change in job.signs[0].request.changes * 40)
    assert changes
    lines = (replace(record.braille[0], cells="⠿" * 3000, text="X" * 3000, back="x" * 3000),)
    request = replace(record.request, changes=changes, messages=record.request.messages)
    monster = replace(record, request=request, flags=flags, work=replace(record.work, braille=lines))
    plain = replace(monster, work=sample.no_work(lines))
    text = run("pdftotext", "-raw", render(replace(job, signs=(monster, plain, record)), tmp_path), "-")
    assert len(re.findall("2840 more cells", text)) == 2
    assert len(re.findall("and 52 more flags", text)) == 2
    assert len(re.findall("APPROVED", text)) == 3
