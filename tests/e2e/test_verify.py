"""`verify` on a small job: whatever is done to a file of it is found and named.

Most damage is done to the DXF and the SVG alike, with the checksums made anew, so that no hash and no comparison of the
two files can find it: only the geometry can. The files are changed by code of this test's own.
"""

import hashlib
import itertools
import json
import math
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from schedule2sign.cli.main import main

Move = Callable[[float, float], tuple[float, float]]
ROWS = """DOOR,ROOM NO,ROOM NAME,HAND
101,101,CLASSROOM,LH
102,102,STORAGE,RH
103,103,MENS RR,LH
105,105,XQZV,LH
"""
DOT_PITCH_IN = 0.095  # middle of 0.090 to 0.100, ADA Table 703.3.1


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("job")
    (folder / "doors.csv").write_text(ROWS, encoding="utf-8")
    code = main(["build", str(folder / "doors.csv"), "-o", str(folder / "out"), "--quiet"])
    assert code == 1  # one sign is held: its name is no word
    return folder / "out"


@pytest.fixture
def out(built: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(built, tmp_path / "out"))


def verify(out: Path, capsys: pytest.CaptureFixture[str], *more: str) -> tuple[int, dict]:
    capsys.readouterr()
    code = main(["verify", str(out), "--json", *more])
    return code, json.loads(capsys.readouterr().out)


def codes(report: dict, sign_id: str = "") -> set[str]:
    return {each["code"] for each in report["differences"] if not sign_id or each["sign_id"] == sign_id}


def hash_anew(out: Path) -> None:
    files = sorted(path for path in out.rglob("*") if path.is_file() and path.name != "SHA256SUMS")
    lines = [f"{hashlib.sha256(p.read_bytes()).hexdigest()}  {p.relative_to(out).as_posix()}\n" for p in files]
    (out / "SHA256SUMS").write_text("".join(lines), encoding="utf-8")


def sign_of(out: Path, number: str) -> dict:
    manifest = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    return next(sign for sign in manifest["signs"] if sign["room_number"] == number)


class Dxf:
    """A DXF as a list of entities, each a list of (code, value) pairs; nothing of the file is lost."""

    def __init__(self, path: Path) -> None:
        self.path = path
        lines = path.read_bytes().decode("ascii").split("\r\n")
        self.pairs = [[lines[i], lines[i + 1]] for i in range(0, len(lines) - 1, 2)]

    def entities(self, layer: str) -> list[tuple[int, int]]:
        """Where each entity of the layer starts and ends."""
        start = self.pairs.index(["  2", "ENTITIES"])
        ends = [i for i in range(start, len(self.pairs)) if self.pairs[i][0] == "  0"]
        spans = [(a, b) for a, b in itertools.pairwise(ends) if self.pairs[a][1] in ("LWPOLYLINE", "CIRCLE")]
        return [(a, b) for a, b in spans if ["  8", layer] in self.pairs[a:b]]

    def point(self, span: tuple[int, int]) -> tuple[float, float]:
        chosen = {pair[0]: float(pair[1]) for pair in reversed(self.pairs[slice(*span)]) if pair[0] in (" 10", " 20")}
        return chosen[" 10"], chosen[" 20"]

    def move(self, span: tuple[int, int], move: Move) -> None:
        for index in range(*span):
            if self.pairs[index][0] == " 10":
                x, y = move(float(self.pairs[index][1]), float(self.pairs[index + 1][1]))
                self.pairs[index][1], self.pairs[index + 1][1] = f"{x:.6f}", f"{y:.6f}"

    def save(self) -> None:
        self.path.write_bytes("".join(f"{code}\r\n{value}\r\n" for code, value in self.pairs).encode("ascii"))


class Svg:
    """An SVG as text; places are given as in the DXF, y up."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.text = path.read_text(encoding="utf-8")
        self.height = float(re.search(r'viewBox="0 0 \S+ (\S+)"', self.text)[1])

    def elements(self, layer: str) -> list[str]:
        group = re.search(rf'<g [^>]*id="{layer}"[^>]*>.*?</g>', self.text, re.DOTALL)
        return re.findall(r"<(?:path|circle) [^>]*/>", group[0]) if group else []

    def move(self, element: str, move: Move) -> None:
        if element.startswith("<circle"):
            x, y = (float(re.search(rf'{name}="(\S+?)"', element)[1]) for name in ("cx", "cy"))
            x, y = move(x, self.height - y)
            changed = re.sub(r'cx="\S+?"', f'cx="{x:.6f}"', element)
            changed = re.sub(r'cy="\S+?"', f'cy="{self.height - y:.6f}"', changed)
        else:
            changed = re.sub(
                r"([ML]|0 0 0 )([-\d.]+) ([-\d.]+)", lambda m: m[1] + self._moved(m[2], m[3], move), element
            )
        self.text = self.text.replace(element, changed)

    def _moved(self, x: str, y: str, move: Move) -> str:
        a, b = move(float(x), self.height - float(y))
        return f"{a:.6f} {self.height - b:.6f}"

    def save(self) -> None:
        self.path.write_text(self.text, encoding="utf-8")


class Both:
    """The two drawings of a sign, changed alike; checksums are made anew."""

    def __init__(self, out: Path, number: str) -> None:
        self.out = out
        self.sign_id = sign_of(out, number)["id"]
        self.dxf = Dxf(out / f"signs/{self.sign_id}.dxf")
        self.svg = Svg(out / f"signs/{self.sign_id}.svg")

    def save(self) -> None:
        self.dxf.save()
        self.svg.save()
        hash_anew(self.out)

    def dots(self) -> list[tuple[float, float]]:
        return [self.dxf.point(span) for span in self.dxf.entities("BRAILLE_DRILL")]

    def svg_dot(self, x: float, y: float) -> str:
        """The SVG's element of the dot at this place of the DXF."""

        def away(element: str) -> float:
            cx, cy = (float(re.search(rf'{name}="(\S+?)"', element)[1]) for name in ("cx", "cy"))
            return math.hypot(cx - x, self.svg.height - cy - y)

        return min(self.svg.elements("BRAILLE_DRILL"), key=away)

    def move_all(self, move: Move) -> None:
        for layer in LAYERS:
            for span in self.dxf.entities(layer):
                self.dxf.move(span, move)
            for element in self.svg.elements(layer):
                self.svg.move(element, move)

    def move_letter(self, index: int, move: Move) -> None:
        """The letter of that number from the left of the whole sign: its outline, its counters, its cutter path."""
        element = sorted(self.svg.elements("RAISED_OUTLINE"), key=_left)[index]
        xs, ys = _points(element)
        box = min(xs) - 0.03, max(xs) + 0.03, self.svg.height - max(ys) - 0.03, self.svg.height - min(ys) + 0.03
        self.svg.move(element, move)
        for layer in ("RAISED_OUTLINE", "RAISED_CUT"):
            for span in self.dxf.entities(layer):
                x, y = self.dxf.point(span)
                if box[0] <= x <= box[1] and box[2] <= y <= box[3]:
                    self.dxf.move(span, move)


LAYERS = (
    "PLATE_EDGE",
    "RAISED_OUTLINE",
    "RAISED_CUT",
    "BRAILLE_DRILL",
    "PICTOGRAM",
    "WINDOW",
    "FIXING_HOLES",
    "REF",
    "NOTES",
)


def _points(element: str) -> tuple[list[float], list[float]]:
    found = re.findall(r"[ML]([-\d.]+) ([-\d.]+)", element)
    return [float(x) for x, _ in found], [float(y) for _, y in found]


def _left(element: str) -> float:
    return min(_points(element)[0])


def test_what_was_written_agrees_and_the_summary_says_what_was_compared(out: Path) -> None:
    result = subprocess.run(
        [sys.executable, "-P", "-m", "schedule2sign", "verify", str(out)], capture_output=True, text=True, timeout=120
    )
    assert (result.returncode, result.stderr) == (0, "")
    assert "Differences: none" in result.stdout
    manifest = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    signs = [sign for sign in manifest["signs"] if sign["status"] == "released"]
    letters = sum(len(line.replace(" ", "")) for sign in signs for line in sign["lines"])
    dots = sum(bin(ord(cell) - 0x2800).count("1") for s in signs for line in s["braille"] for cell in line["cells"])
    assert f"{len(signs)} rebuilt from geometry: {letters} letters, {dots} dots" in result.stdout
    assert "raised/depth (3): a drawing has no depth" in result.stdout


def test_every_verdict_is_judged_again_or_named_as_not_measurable(
    out: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, report = verify(out, capsys)
    assert (code, report["agrees"]) == (0, True)
    manifest = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    released = [sign for sign in manifest["signs"] if sign["status"] == "released"]
    verdicts = sum(len(rules) for sign in released for rules in sign["verdicts"].values())
    unmeasured = sum(entry["signs"] for entry in report["not_remeasurable"])
    assert report["compared"]["verdicts"] + unmeasured == verdicts
    assert unmeasured > 0


def test_quiet_says_nothing(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()
    assert main(["verify", str(out), "--quiet"]) == 0
    assert capsys.readouterr().out == ""


# Dots: one more or less is another letter.


def test_a_dot_moved_to_the_next_place_is_found(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    both = Both(out, "101")
    taken = both.dots()
    x, y = next(
        (x, y)
        for x, y in taken
        if not any(math.hypot(x - a, y - DOT_PITCH_IN - b) < 0.02 for a, b in taken)
        and any(abs(x - a) < 0.001 and y - DOT_PITCH_IN * 2.5 < b < y - DOT_PITCH_IN * 1.5 for a, b in taken)
    )
    span = both.dxf.entities("BRAILLE_DRILL")[taken.index((x, y))]
    both.svg.move(both.svg_dot(x, y), lambda a, b: (a, b - DOT_PITCH_IN))
    both.dxf.move(span, lambda a, b: (a, b - DOT_PITCH_IN))
    both.save()
    code, report = verify(out, capsys)
    assert code == 1
    assert {"braille", "rule-outcome"} <= codes(report, both.sign_id)
    assert {each["sign_id"] for each in report["differences"]} <= {both.sign_id, ""}
    assert {"sheet-plate", "sheet-count"} <= codes(report)  # the plate on the sheet is still the right one
    (named,) = [each for each in report["differences"] if each["code"] == "braille" and each["file"].endswith(".dxf")]
    assert re.search(r"cell \d+: dot \d too many, dot \d missing", named["message"])


def test_a_dot_left_out_is_found(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    both = Both(out, "102")
    span = both.dxf.entities("BRAILLE_DRILL")[5]
    both.svg.text = both.svg.text.replace(both.svg_dot(*both.dxf.point(span)), "")
    del both.dxf.pairs[slice(*span)]
    both.save()
    code, report = verify(out, capsys)
    assert code == 1
    assert "braille" in codes(report, both.sign_id)


def test_a_dot_too_many_is_found(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    both = Both(out, "102")
    taken = both.dots()
    x, y = next((x, y) for x, y in taken if not any(math.hypot(x + DOT_PITCH_IN - a, y - b) < 0.02 for a, b in taken))
    # Only a dot of a left column has a place at its right; one of a right column ends off the grid. Both are found.
    span = both.dxf.entities("BRAILLE_DRILL")[taken.index((x, y))]
    element = both.svg_dot(x, y)
    both.svg.text = both.svg.text.replace(element, element + element.replace('cx="', 'cx="new'))
    both.svg.text = re.sub(r'cx="new(\S+?)"', lambda m: f'cx="{float(m[1]) + DOT_PITCH_IN:.6f}"', both.svg.text)
    copied = [list(pair) for pair in both.dxf.pairs[slice(*span)]]
    both.dxf.pairs[span[1] : span[1]] = copied
    both.dxf.move((span[1], span[1] + len(copied)), lambda a, b: (a + DOT_PITCH_IN, b))
    both.save()
    code, report = verify(out, capsys)
    assert code == 1
    assert "braille" in codes(report, both.sign_id)


def test_a_dot_off_the_grid_is_named_with_its_place(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    both = Both(out, "103")
    span = both.dxf.entities("BRAILLE_DRILL")[7]
    x, y = both.dxf.point(span)
    both.svg.move(both.svg_dot(x, y), lambda a, b: (a + 0.01, b))
    both.dxf.move(span, lambda a, b: (a + 0.01, b))
    both.save()
    code, report = verify(out, capsys)
    assert code == 1
    messages = [each["message"] for each in report["differences"] if each["code"] == "braille"]
    assert any(f"the dot at {25.4 * (x + 0.01):.3f}, {25.4 * y:.3f} mm stands off it" in text for text in messages)


def test_all_braille_moved_as_a_block_is_found(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    both = Both(out, "101")
    for span in both.dxf.entities("BRAILLE_DRILL"):
        both.dxf.move(span, lambda x, y: (x, y - 0.02))
    for element in both.svg.elements("BRAILLE_DRILL"):
        both.svg.move(element, lambda x, y: (x, y - 0.02))
    both.save()
    code, report = verify(out, capsys)
    assert code == 1
    assert {"dots", "rule-value"} <= codes(report, both.sign_id)


# Letters.


@pytest.mark.parametrize(("letter", "step"), [(0, (0.5, 0.0)), (3, (-0.5, 0.0)), (8, (0.0, -0.5))])
def test_a_letter_moved_by_half_a_millimeter_is_found(
    out: Path, capsys: pytest.CaptureFixture[str], letter: int, step: tuple[float, float]
) -> None:
    both = Both(out, "101")
    both.move_letter(letter, lambda x, y: (x + step[0] / 25.4, y + step[1] / 25.4))
    both.save()
    code, report = verify(out, capsys)
    assert code == 1
    named = [each for each in report["differences"] if each["code"] == "letter"]
    assert len(named) == 1
    assert "0.500 mm off" in named[0]["message"]
    assert named[0]["sign_id"] == both.sign_id
    if step[1]:
        assert "rule-outcome" in codes(report, both.sign_id)  # off its baseline


def test_a_letter_without_its_counter_is_found(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    both = Both(out, "101")
    element = next(e for e in both.svg.elements("RAISED_OUTLINE") if e.count("Z") == 2)
    rings = re.search(r'd="(.*?)"', element)[1].split("Z")[:2]
    areas = [_area(ring) for ring in rings]
    counter = rings[areas.index(min(areas))]
    both.svg.text = both.svg.text.replace(element, element.replace(f"{counter}Z", ""))
    first = tuple(float(v) for v in re.match(r"M([-\d.]+) ([-\d.]+)", counter).groups())
    spans = [
        span
        for span in both.dxf.entities("RAISED_OUTLINE")
        if math.dist(both.dxf.point(span), (first[0], both.svg.height - first[1])) < 1e-5
    ]
    assert len(spans) == 1
    del both.dxf.pairs[slice(*spans[0])]
    both.save()
    code, report = verify(out, capsys)
    assert code == 1
    assert "letter-shape" in codes(report, both.sign_id)


def _area(ring: str) -> float:
    xs, ys = _points(ring)
    return (max(xs) - min(xs)) * (max(ys) - min(ys))


# Whole files.


@pytest.mark.parametrize(
    ("kind", "factor"), [("dxf", 1.01), ("svg", 1.01), ("both", 1.01), ("dxf", 25.4), ("svg", 25.4), ("dxf", 1 / 25.4)]
)
def test_a_file_out_of_scale_is_found(out: Path, capsys: pytest.CaptureFixture[str], kind: str, factor: float) -> None:
    both = Both(out, "101")
    if kind != "svg":
        for layer in LAYERS:
            for span in both.dxf.entities(layer):
                both.dxf.move(span, lambda x, y: (x * factor, y * factor))
                for pair in both.dxf.pairs[slice(*span)]:
                    pair[1] = f"{float(pair[1]) * factor:.6f}" if pair[0] == " 40" else pair[1]
    if kind != "dxf":  # the printed size only, as a page setup does
        both.svg.text = re.sub(
            r'(width|height)="([\d.]+)in"', lambda m: f'{m[1]}="{float(m[2]) * factor:.6f}in"', both.svg.text
        )
    both.save()
    code, report = verify(out, capsys)
    assert code == 1
    scaled = {Path(each["file"]).suffix for each in report["differences"] if each["code"] == "scale"}
    assert scaled == ({".dxf", ".svg"} if kind == "both" else {f".{kind}"})


def test_inches_called_millimeters_are_found(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    both = Both(out, "101")
    place = both.dxf.pairs.index(["  9", "$INSUNITS"])
    both.dxf.pairs[place + 1][1] = "4"  # millimetres, DXF reference, $INSUNITS
    both.save()
    code, report = verify(out, capsys)
    assert (code, "scale" in codes(report, both.sign_id)) == (1, True)


@pytest.mark.parametrize("kind", ["dxf", "svg", "both"])
def test_a_mirrored_file_is_found(out: Path, capsys: pytest.CaptureFixture[str], kind: str) -> None:
    both = Both(out, "101")
    width = sign_of(out, "101")["width_mm"] / 25.4
    original = both.dxf.path.read_bytes(), both.svg.path.read_bytes()
    both.move_all(lambda x, y: (width - x, y))
    both.save()
    if kind != "both":
        (both.svg if kind == "dxf" else both.dxf).path.write_bytes(original[kind == "dxf"])
        hash_anew(out)
    code, report = verify(out, capsys)
    assert code == 1
    # The SVG's arcs keep their sense, so its mirrored plate has hollow corners: one more thing to find.
    expected = {"letter", "braille"} if kind == "both" else {"files-disagree"}
    assert expected <= codes(report, both.sign_id)


@pytest.mark.parametrize("patch_title", [False, True])
def test_two_signs_swapped_are_found(out: Path, capsys: pytest.CaptureFixture[str], patch_title: bool) -> None:
    first, second = sign_of(out, "101")["id"], sign_of(out, "102")["id"]
    for suffix in (".dxf", ".svg"):
        a, b = out / f"signs/{first}{suffix}", out / f"signs/{second}{suffix}"
        texts = a.read_bytes(), b.read_bytes()
        if patch_title:  # now the files say of themselves that they are right
            texts = texts[0].replace(first.encode(), second.encode()), texts[1].replace(second.encode(), first.encode())
        a.write_bytes(texts[1])
        b.write_bytes(texts[0])
    if not patch_title:
        code, report = verify(out, capsys)
        assert (code, "file-swapped" in codes(report)) == (1, True)
    hash_anew(out)
    code, report = verify(out, capsys)
    assert code == 1
    for sign_id in (first, second):
        found = codes(report, sign_id)
        assert {"letters", "braille"} <= found
        assert ("title" in found) is not patch_title


@pytest.mark.parametrize("suffix", [".dxf", ".svg"])
def test_a_file_cut_off_is_found(out: Path, capsys: pytest.CaptureFixture[str], suffix: str) -> None:
    path = out / f"signs/{sign_of(out, '103')['id']}{suffix}"
    path.write_bytes(path.read_bytes()[: path.stat().st_size * 2 // 3])
    code, report = verify(out, capsys)
    assert (code, codes(report) - {"sheet-plate"}) == (1, {"file-changed", "unreadable"})
    hash_anew(out)
    code, report = verify(out, capsys)
    assert (code, codes(report) - {"sheet-plate"}) == (1, {"unreadable"})


def test_the_cutter_path_of_a_letter_left_out_or_moved_is_found(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    both = Both(out, "103")
    both.dxf.move(both.dxf.entities("RAISED_CUT")[2], lambda x, y: (x + 0.002, y))
    both.save()
    code, report = verify(out, capsys)
    assert (code, codes(report, both.sign_id) - {"sheet-count"}) == (1, {"cutter-path"})
    del both.dxf.pairs[slice(*both.dxf.entities("RAISED_CUT")[2])]
    both.save()
    code, report = verify(out, capsys)
    assert (code, codes(report, both.sign_id) - {"sheet-count"}) == (1, {"cutter-path"})


@pytest.mark.parametrize(
    ("suffix", "old", "new"),
    [
        (".svg", "<svg", '<!DOCTYPE svg [<!ENTITY a "b">]><svg'),
        (".svg", 'id="RAISED_OUTLINE"', 'id="RAISED_OUTLINE" transform="translate(0.1 0)"'),
        (".svg", "</svg>", '<g id="WINDOW"><rect x="1" y="1" width="1" height="1"/></g></svg>'),
        (".svg", "</svg>", "<script>1</script></svg>"),
        (".svg", 'width="', 'width="nan'),
        (".dxf", "RAISED_OUTLINE\r\n100\r\nAcDbPolyline", "OTHER\r\n100\r\nAcDbPolyline"),
        (".dxf", "\r\n 70\r\n1\r\n 43", "\r\n 70\r\n0\r\n 43"),
        (".dxf", "AcDbPolyline\r\n 90", "AcDbPolyline\r\n210\r\n0.0\r\n220\r\n0.0\r\n230\r\n-1.0\r\n 90"),
    ],
)
def test_what_no_drawing_of_ours_holds_is_refused_not_read_over(
    out: Path, capsys: pytest.CaptureFixture[str], suffix: str, old: str, new: str
) -> None:
    sign_id = sign_of(out, "101")["id"]
    path = out / f"signs/{sign_id}{suffix}"
    data = path.read_bytes()
    assert old.encode() in data
    path.write_bytes(data.replace(old.encode(), new.encode(), 1))
    hash_anew(out)
    code, report = verify(out, capsys)
    assert (code, codes(report, sign_id)) == (1, {"unreadable"})


# Stock sheets: what really goes to the bench.


def sheet_of(out: Path, layer: str) -> Dxf:
    """The first sheet that draws on the layer."""
    return next(dxf for path in sorted((out / "sheets").glob("*.dxf")) if (dxf := Dxf(path)).entities(layer))


def test_sheets_are_read_and_agree(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, report = verify(out, capsys)
    assert code == 0
    assert report["compared"]["sheets"] == len(list((out / "sheets").glob("*.dxf"))) > 0


@pytest.mark.parametrize("layer", ["BRAILLE_DRILL", "RAISED_CUT"])
@pytest.mark.parametrize("change", ["move", "remove"])
def test_a_plate_that_is_no_sign_is_found(
    out: Path, capsys: pytest.CaptureFixture[str], layer: str, change: str
) -> None:
    sheet = sheet_of(out, layer)
    span = sheet.entities(layer)[4]
    if change == "move":
        sheet.move(span, lambda x, y: (x, y - 0.002))  # 0.05 mm
    else:
        del sheet.pairs[slice(*span)]
    sheet.save()
    hash_anew(out)
    code, report = verify(out, capsys)
    assert (code, codes(report)) == (1, {"sheet-plate", "sheet-count"})


def test_a_plate_edge_cut_off_its_place_is_found(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = sheet_of(out, "PLATE_CUT")
    sheet.move(sheet.entities("PLATE_CUT")[0], lambda x, y: (x + 0.01, y))
    sheet.save()
    hash_anew(out)
    code, report = verify(out, capsys)
    assert (code, codes(report)) == (1, {"sheet-edge"})


def test_a_sign_wanted_twice_and_laid_once_is_found(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = out / "manifest.json"
    manifest = json.loads(path.read_text(encoding="utf-8"))
    sign = next(sign for sign in manifest["signs"] if sign["room_number"] == "101")
    sign["quantity"] = 2
    path.write_text(json.dumps(manifest), encoding="utf-8")
    hash_anew(out)
    code, report = verify(out, capsys)
    assert (code, codes(report, sign["id"])) == (1, {"sheet-count"})


# The record.


def test_text_changed_in_the_record_is_found(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = out / "manifest.json"
    text = path.read_text(encoding="utf-8")
    # Everywhere, as an editor's "replace all" does, and the letters of the record with it.
    text = text.replace("STORAGE", "STORACE")
    manifest = json.loads(text)
    sign = next(sign for sign in manifest["signs"] if sign["room_number"] == "102")
    line = sign["as_cut"]["lines"][1]
    line["letters_mm"] = [char + old[1:] for char, old in zip("STORACE", line["letters_mm"], strict=True)]
    path.write_text(json.dumps(manifest), encoding="utf-8")
    hash_anew(out)
    code, report = verify(out, capsys)
    assert code == 1
    assert {"letter-shape", "braille-reading"} <= codes(report, sign["id"])


@pytest.mark.parametrize(
    ("damage", "expected"),
    [
        (lambda sign: sign.update(lines=["102", "STORACE"]), "record"),
        (lambda sign: sign["braille"][1].update(cells="\u280e\u281e\u2815\u2817\u2801\u281b\u2811\u2811"), "record"),
        (lambda sign: sign["as_cut"]["measured"]["raised/height"].update(character_height=15.9), "rule-value"),
        (lambda sign: sign["as_cut"]["measured"]["raised/height"].clear(), "rule-value"),
        (lambda sign: sign["verdicts"]["met"].remove("raised/level"), "not-recorded"),
        (lambda sign: sign.update(width_mm=200.0), "plate"),
        (lambda sign: sign.update(as_cut=None), "record"),
    ],
)
def test_numbers_changed_in_the_record_are_found(
    out: Path, capsys: pytest.CaptureFixture[str], damage: Callable[[dict], None], expected: str
) -> None:
    path = out / "manifest.json"
    manifest = json.loads(path.read_text(encoding="utf-8"))
    sign = next(sign for sign in manifest["signs"] if sign["room_number"] == "102")
    damage(sign)
    path.write_text(json.dumps(manifest), encoding="utf-8")
    hash_anew(out)
    code, report = verify(out, capsys)
    assert code == 1
    assert expected in codes(report, sign["id"])


# Files and folders.


def test_files_changed_missing_and_extra_are_named(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (out / "flagged.csv").write_text("x", encoding="utf-8")
    (out / "sign-list.xlsx").unlink()
    (out / "signs" / "new.dxf").write_text("x", encoding="utf-8")
    (out / "link.txt").symlink_to(out / "flagged.csv")
    code, report = verify(out, capsys)
    assert code == 1
    assert {(each["code"], each["file"]) for each in report["differences"]} == {
        ("file-changed", "flagged.csv"),
        ("file-missing", "sign-list.xlsx"),
        ("file-extra", "signs/new.dxf"),
        ("nobodys-file", "signs/new.dxf"),
        ("file-link", "link.txt"),
    }


def test_a_held_sign_with_a_file_and_a_released_one_without_are_named(
    out: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    held, released = sign_of(out, "105"), sign_of(out, "101")
    assert held["status"] == "held"
    shutil.copy(out / f"signs/{released['id']}.dxf", out / f"signs/{held['id']}.dxf")
    (out / f"signs/{released['id']}.svg").unlink()
    hash_anew(out)
    code, report = verify(out, capsys)
    assert code == 1
    assert "held-has-file" in codes(report, held["id"])
    assert codes(report, released["id"]) == {"released-lacks-file"}


def test_no_checksum_list_is_a_difference(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (out / "SHA256SUMS").unlink()
    code, report = verify(out, capsys)
    assert (code, codes(report)) == (1, {"file-missing"})


def test_a_damaged_record_in_a_folder_of_ours_is_a_difference(out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = out / "manifest.json"
    path.write_bytes(path.read_bytes()[:2000])
    code, report = verify(out, capsys)
    assert (code, codes(report)) == (1, {"file-changed", "record"})
    path.unlink()
    code, report = verify(out, capsys)
    assert (code, codes(report)) == (1, {"file-missing", "record"})


def test_a_folder_that_is_not_ours_cannot_be_verified(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["verify", str(tmp_path / "nowhere")]) == 2
    assert "no folder" in capsys.readouterr().err
    (tmp_path / "notes.txt").write_text("hello", encoding="utf-8")
    assert main(["verify", str(tmp_path)]) == 2
    assert "is no output folder of this program" in capsys.readouterr().err
    (tmp_path / "manifest.json").write_text('{"tool": {"name": "other"}}', encoding="utf-8")
    assert main(["verify", str(tmp_path)]) == 2
    assert "'other'" in capsys.readouterr().err


def test_without_the_font_what_needs_it_is_named_and_with_it_judged(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shipped = Path(__file__).resolve().parents[2] / "templates" / "fonts"
    font = tmp_path / "House.ttf"
    shutil.copy(shipped / "Lato-Regular.ttf", font)
    (tmp_path / "doors.csv").write_text("\n".join(ROWS.splitlines()[:2]), encoding="utf-8")
    (tmp_path / "job.toml").write_text(f'[make]\nfont = "{font}"\n', encoding="utf-8")
    out = tmp_path / "out"
    assert main(["build", str(tmp_path / "doors.csv"), "--job", str(tmp_path / "job.toml"), "-o", str(out)]) == 0
    code, without = verify(out, capsys)
    assert (code, len(without["notes"])) == (0, 1)
    assert "raised/height" in {entry["rule"] for entry in without["not_remeasurable"]}
    code, given = verify(out, capsys, "--font", str(font))
    assert (code, given["notes"]) == (0, [])
    assert "raised/height" not in {entry["rule"] for entry in given["not_remeasurable"]}
    assert main(["verify", str(out), "--font", str(shipped / "Inter-Regular.otf")]) == 2
    assert "is not the font of this job" in capsys.readouterr().err
