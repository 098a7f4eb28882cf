"""`templates`, `preview` and `font` as a user runs them, and a template made without touching code."""

import json
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from schedule2sign.cli.main import main
from schedule2sign.layout.template import load_templates
from schedule2sign.resources import templates_folder

EXAMPLE = (templates_folder() / "README.md").read_text(encoding="utf-8").split("```toml\n")[1].split("```")[0]
FAMILY = sorted(load_templates(templates_folder() / "signs"))

Say = Callable[..., tuple[int, str, str]]


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str]) -> Say:
    def run(*arguments: object) -> tuple[int, str, str]:
        code = main([str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        return code, out, err

    return run


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job with a template, a style and a pictogram of its own beside it."""
    folder = tmp_path / "my-signs"
    (folder / "pictograms").mkdir(parents=True)
    (folder / "chapel.toml").write_text(EXAMPLE, encoding="utf-8")
    (folder / "style.toml").write_text('[plate]\ncorner_radius = "1/2 in"\n', encoding="utf-8")
    (folder / "pictograms" / "bar.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><rect width="40" height="120"/></svg>', encoding="utf-8"
    )
    path = tmp_path / "job.toml"
    path.write_text('[make]\ntemplates = "my-signs"\n', encoding="utf-8")
    return path


def test_templates_lists_every_member_and_font(say: Say) -> None:
    code, out, _ = say("templates")
    assert code == 0
    assert re.findall(r"^([a-z-]+) {2,}\S", out, re.MULTILINE) == FAMILY
    assert re.search(
        r"^room +Room: number over name\n +plates 8 x 4 1/2 to 12 x 8 1/2 in; number 1 in", out, re.MULTILINE
    )
    assert len(re.findall(r"\.[ot]tf +.*: stroke 1\d\.\d%", out, re.MULTILINE)) >= 3
    document = json.loads(say("templates", "--json")[1])
    assert [entry["id"] for entry in document["templates"]] == FAMILY
    assert all(0.10 <= font["stroke_ratio"] <= 0.15 for font in document["fonts"])  # ADA 703.2.6, 703.5.7


def test_gallery_draws_every_member(say: Say, tmp_path: Path) -> None:
    code, out, _ = say("templates", "--gallery", tmp_path / "sheet.svg")
    assert (code, out) == (0, f"{len(FAMILY)} templates drawn in {tmp_path / 'sheet.svg'}.\n")
    sheet = (tmp_path / "sheet.svg").read_text(encoding="utf-8")
    ids = re.findall(r'\bid="([^"]+)"', sheet)
    assert len(ids) == len(set(ids))
    assert all(f">{name}</text>" in sheet for name in FAMILY)
    say("templates", "--gallery", tmp_path / "folder")
    assert {file.name for file in (tmp_path / "folder").iterdir()} == {f"{name}.svg" for name in FAMILY} | {
        "index.html"
    }
    page = (tmp_path / "folder" / "index.html").read_text(encoding="utf-8")
    assert page.count("<figure>") == len(FAMILY)
    code, _, err = say("templates", "--gallery", tmp_path / "sheet.tiff")
    assert (code, err) == (
        2,
        f"schedule2sign: --gallery {tmp_path / 'sheet.tiff'}: write .html, .svg, .png, or name a folder.\n",
    )


def test_preview_draws_one_sign_and_says_what_was_done(say: Say, tmp_path: Path) -> None:
    out_file = tmp_path / "a.svg"
    code, out, _ = say("preview", "room", "--text", "conference room", "--number", "2-104", "-o", out_file)
    assert code == 0
    assert "8 x 5 1/2 in; 'CONFERENCE ROOM' set in 2 lines" in out
    assert "No certificate" in out
    assert "2-104 / CONFERENCE / ROOM" in out_file.read_text(encoding="utf-8")
    before = out_file.read_bytes()
    say("preview", "room", "--text", "conference room", "--number", "2-104", "-o", out_file)
    assert out_file.read_bytes() == before


def test_preview_refuses_what_it_cannot_draw(say: Say, tmp_path: Path) -> None:
    out = tmp_path / "a.svg"
    assert say("preview", "room", "-o", tmp_path / "a.gif")[0] == 2
    code, _, err = say("preview", "chapel", "-o", out)
    assert (code, "There is no template 'chapel'. Known: all-gender, back-plate" in err) == (2, True)
    code, _, err = say("preview", "number", "--text", "LIBRARY", "-o", out)
    assert (code, "Template 'number' has no name; it takes --number." in err) == (2, True)
    code, said, _ = say("preview", "room", "--text", "W" * 30, "-o", out)
    assert (code, "HOLD" in said, "Nothing was drawn." in said) == (1, True, True)
    assert not out.exists()
    code, _, err = say("templates", "--family", "nowhere")
    assert (code, "Shipped: signs, signs-framed" in err) == (2, True)


@pytest.mark.parametrize("family", ["signs", "signs-framed"])
def test_a_copied_family_draws_the_same_signs(say: Say, tmp_path: Path, family: str) -> None:
    copy = tmp_path / "mine"
    code, out, _ = say("templates", "--family", family, "--copy", copy)
    assert (code, f"{len(FAMILY)} templates and their style copied" in out) == (0, True)
    assert (copy / "sign-template.schema.json").is_file()
    assert (copy / "room.toml").read_text(encoding="utf-8").startswith("#:schema sign-template.schema.json\n")
    drawn = []
    for name in (family, str(copy)):
        say("preview", "restroom", "--family", name, "-o", tmp_path / "a.svg")
        drawn.append((tmp_path / "a.svg").read_bytes())
    assert drawn[0] == drawn[1]
    code, _, err = say("templates", "--copy", copy)
    assert (code, "is there and not empty" in err) == (2, True)


def test_a_template_of_the_users_own_needs_no_code(say: Say, job: Path, tmp_path: Path) -> None:
    document = json.loads(say("templates", "--job", job, "--json")[1])
    assert [entry["id"] for entry in document["templates"]] == sorted([*FAMILY, "chapel"])
    by_id = {entry["id"]: entry for entry in document["templates"]}
    assert "rule line" in by_id["chapel"]["fields"]
    assert "pictogram (all, bar, men, toilet, women)" not in by_id["chapel"]["fields"]

    out = tmp_path / "chapel.svg"
    code, said, _ = say("preview", "chapel", "--job", job, "--number", "12", "--text", "quiet room", "-o", out)
    assert (code, "10 x 6 in" in said) == (0, True)
    picture = out.read_text(encoding="utf-8")
    # The style of the user's folder, 1/2 in, rounds this plate and the shipped room's alike.
    assert "0.500000 0.000000" in picture
    say("preview", "room", "--job", job, "--number", "12", "--text", "STUDY", "-o", out)
    assert "0.500000 0.000000" in out.read_text(encoding="utf-8")


def test_a_job_is_built_with_the_users_templates(say: Say, job: Path, tmp_path: Path) -> None:
    own = job.parent / "my-signs"
    room = (templates_folder() / "signs" / "room.toml").read_text(encoding="utf-8")
    (own / "room.toml").write_text(room.replace('"4 1/2 in", "5 1/2 in", ', ""), encoding="utf-8")
    doors = tmp_path / "doors.csv"
    doors.write_text("ROOM NO,ROOM NAME\n101,LIBRARY\n102,READING ROOM\n", encoding="utf-8")
    assert say("build", doors, "--job", job, "-o", tmp_path / "out", "--quiet")[0] in (0, 1)
    (first, second) = sorted((tmp_path / "out" / "signs").glob("*.svg"))
    for file in (first, second):
        text = file.read_text(encoding="utf-8")
        assert 'height="6.5in"' in text
        assert "0.500000 0.000000" in text


def test_a_mistake_in_the_users_template_is_named_with_file_and_line(say: Say, job: Path, tmp_path: Path) -> None:
    chapel = job.parent / "my-signs" / "chapel.toml"
    chapel.write_text(EXAMPLE.replace('line = "1/32 in"', 'line = "thin"'), encoding="utf-8")
    line = next(n for n, text in enumerate(chapel.read_text().splitlines(), start=1) if "thin" in text)
    code, out, err = say("preview", "room", "--job", job, "--text", "A", "-o", tmp_path / "x.svg")
    assert (code, out) == (2, "")
    assert f"Template chapel.toml, line {line}: rule_line.line is no length" in err
    chapel.write_text(EXAMPLE + '[standard.us-californa.colors]\nbase = "red"\n', encoding="utf-8")
    code, _, err = say("templates", "--job", job)
    assert (code, "standard.us-californa is no standard; known: " in err, "us-california" in err) == (2, True, True)


def test_png_without_its_renderer_says_how_to_get_it(say: Say, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "resvg_py", None)
    code, _, err = say("preview", "room", "-o", tmp_path / "a.png")
    assert (code, "pip install 'schedule2sign[png]'" in err) == (2, True)
    assert say("preview", "room", "-o", tmp_path / "a.pdf")[0] == 0
    assert (tmp_path / "a.pdf").read_bytes().startswith(b"%PDF-")
    assert say("preview", "room", "--dpi", "0", "-o", tmp_path / "a.png")[0] == 2


def test_a_font_of_the_users_own_stands_beside_the_job_file(say: Say, tmp_path: Path) -> None:
    shutil.copy(templates_folder() / "fonts" / "Lato-Regular.ttf", tmp_path / "Mine.ttf")
    (tmp_path / "job.toml").write_text('[make]\nfont = "Mine.ttf"\n', encoding="utf-8")
    drawn = []
    for options in (("--job", tmp_path / "job.toml"), ("--font", "Lato-Regular.ttf"), ()):
        assert say("preview", "room", *options, "-o", tmp_path / "a.svg")[0] == 0
        drawn.append((tmp_path / "a.svg").read_bytes())
    assert drawn[0] == drawn[1] != drawn[2]


def test_font_measures_a_file(say: Say) -> None:
    code, out, _ = say("font", "RobotoCondensed-Regular.ttf")
    assert code == 0
    assert "ok   Stroke of I: 12.6 % (I); 15.0 % max. [ADA 703.2.6]" in out
    assert out.endswith("YES: the font passes these checks.\n")
    bold = Path("/usr/share/fonts/truetype/dejavu/DejaVuSans-Bold.ttf")
    if bold.is_file():
        code, out, _ = say("font", bold, "--json")
        report = json.loads(out)
        failed = {check["id"]: check["measured"] for check in report["checks"] if not check["met"]}
        assert (code, report["accepted"], failed["stroke-most"]) == (1, False, "25.8 %")
    assert say("font", "Nothing.ttf")[0] == 2
    assert say("font", "Inter-Regular.otf", "--height", "tall")[0] == 2


@pytest.mark.skipif(shutil.which("rsvg-convert") is None or shutil.which("pdftoppm") is None, reason="no renderer")
@pytest.mark.parametrize("arguments", [("room", "--number", "101"), ("door-all",), ("restroom",)], ids=lambda a: a[0])
def test_png_and_pdf_show_what_the_svg_shows(say: Say, tmp_path: Path, arguments: tuple[str, ...]) -> None:
    """Our PNG and PDF against two unrelated programs' rendering of the SVG and the PDF, pixel by pixel."""
    pytest.importorskip("resvg_py")
    image, array = pytest.importorskip("PIL.Image"), pytest.importorskip("numpy").asarray
    for kind in ("svg", "png", "pdf"):
        say("preview", *arguments, "-o", tmp_path / f"a.{kind}", "--dpi", "96")
    subprocess.run(["rsvg-convert", tmp_path / "a.svg", "-o", tmp_path / "svg.png"], check=True)
    subprocess.run(["pdftoppm", "-r", "96", "-png", "-singlefile", tmp_path / "a.pdf", tmp_path / "pdf"], check=True)
    ours = image.open(tmp_path / "a.png").convert("RGBA")
    paper = image.new("RGBA", ours.size, "white")
    seen = array(image.alpha_composite(paper, ours).convert("L"), dtype=int)
    for other in ("svg.png", "pdf.png"):
        picture = image.open(tmp_path / other).convert("RGBA")
        theirs = array(image.alpha_composite(image.new("RGBA", picture.size, "white"), picture).convert("L"), dtype=int)
        assert abs(theirs.shape[0] - seen.shape[0]) <= 1
        assert abs(theirs.shape[1] - seen.shape[1]) <= 1
        rows, columns = min(theirs.shape[0], seen.shape[0]), min(theirs.shape[1], seen.shape[1])
        apart = abs(theirs[:rows, :columns] - seen[:rows, :columns]) > 96
        assert apart.mean() < 0.004, other  # a shape moved by a pixel is 1 % of these pictures or more
