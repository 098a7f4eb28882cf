"""report.html in a browser: it loads without a complaint, filters, draws to scale, and an independent checker of
accessibility (axe-core) finds nothing."""

import csv
import html
import json
import re
import shutil
import subprocess
import sys
from pathlib import Path
from urllib.parse import quote

import pytest

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium is installed")
SIDE_MM = 3.0  # white around a drawn plate on the page


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("page") / "out"
    command = [sys.executable, "-P", "-m", "schedule2sign", "demo", str(out), "--quiet"]
    result = subprocess.run(command, capture_output=True, text=True, timeout=300)
    assert result.returncode == 1, result.stderr
    return out


@pytest.fixture(scope="module")
def manifest(folder: Path) -> dict:
    return json.loads((folder / "manifest.json").read_text(encoding="utf-8"))


def show(page: Path, fragment: str = "", *options: str) -> tuple[str, str]:
    """The page as the browser has it after its script ran, and what the browser complained of."""
    address = page.as_uri() + (f"#{fragment}" if fragment else "")
    command = [
        str(CHROMIUM),
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        f"--user-data-dir={page.parent.parent / 'browser'}",
        "--enable-logging=stderr",
        "--virtual-time-budget=20000",
        *options,
        "--dump-dom",
        address,
    ]
    result = subprocess.run(command, capture_output=True, text=True, timeout=180)
    complaints = [line for line in result.stderr.splitlines() if "CONSOLE" in line]
    return result.stdout, "\n".join(complaints)


def count(dom: str, name: str) -> str:
    found = re.search(rf'id="{name}-count">([^<]*)<', dom)
    assert found is not None
    return found[1]


def test_it_loads_without_a_complaint_and_shows_every_count(folder: Path, manifest: dict) -> None:
    dom, complaints = show(folder / "report.html")
    assert complaints == ""
    signs, flags = len(manifest["signs"]), len(manifest["flags"])
    assert count(dom, "signs") == f"{signs} of {signs} signs, showing 1 to 20"
    assert count(dom, "flags").startswith(f"{flags} of {flags} flags")
    rows = len(manifest["rows_without_a_sign"])
    assert count(dom, "unsigned").startswith(f"{rows} of {rows} rows")


def test_a_browser_complaint_would_be_seen(folder: Path) -> None:
    broken = folder.parent / "broken" / "report.html"
    broken.parent.mkdir()
    text = (folder / "report.html").read_text(encoding="utf-8")
    broken.write_text(text.replace('"use strict";', '"use strict"; missing();', 1), encoding="utf-8")
    assert "Content Security Policy" in show(broken)[1]  # the policy bars a script that is not the one it names


def test_filters_and_search_find_what_the_manifest_says(folder: Path, manifest: dict) -> None:
    held = [sign["id"] for sign in manifest["signs"] if sign["status"] == "held"]
    dom, complaints = show(folder / "report.html", f"signs.status={quote('=held')}")
    assert complaints == ""
    assert count(dom, "signs").startswith(f"{len(held)} of ")
    assert set(re.findall(r'<article[^>]*aria-label="Sign ([^"]+)"', dom)) == set(held[:20])

    lobbies = [sign for sign in manifest["signs"] if "CONFERENCE" in " ".join(sign["lines"])]
    dom, _ = show(folder / "report.html", "signs.q=conference%20room&flags.severity=%3DHOLD")
    assert count(dom, "signs").startswith(f"{len(lobbies)} of ")
    holds = sum(flag["severity"] == "HOLD" for flag in manifest["flags"])
    assert count(dom, "flags").startswith(f"{holds} of ")
    assert lobbies
    assert holds


def test_the_second_page_of_signs_goes_on_where_the_first_ended(folder: Path, manifest: dict) -> None:
    dom, _ = show(folder / "report.html", "signs.page=2")
    shown = re.findall(r'<article[^>]*aria-label="Sign ([^"]+)"', dom)
    assert shown == [sign["id"] for sign in manifest["signs"][20:40]]


def test_a_sign_is_drawn_to_scale_with_all_it_says(folder: Path, manifest: dict) -> None:
    sign = next(sign for sign in manifest["signs"] if sign["status"] == "released" and len(sign["lines"]) > 1)
    dom, _ = show(folder / "report.html", f"signs.q={sign['id']}", "--window-size=1280,900")
    card = re.search(r"<article.*?</article>", dom, re.DOTALL)
    assert card is not None
    width = float(re.search(r'<svg width="([\d.]+)mm"', card[0])[1])  # type: ignore[index]
    assert width == pytest.approx((sign["width_mm"] + 2 * SIDE_MM) / 2, abs=0.01)  # drawn 1 : 2
    text = html.unescape(re.sub(r"<[^>]+>", " ", card[0]))
    for line in sign["braille"]:
        assert line["cells"] in text
    assert f"row {sign['source']['row']}" in text
    assert sign["reason"] in text
    rules = sum(len(rules) for rules in sign["verdicts"].values())
    assert f"{rules} rules: {len(sign['verdicts']['met'])} met" in text
    # Dot numbers by the Unicode standard: bit n - 1 of U+2800 + n stands for dot n.
    cell = sign["braille"][0]["cells"][0]
    numbers = "".join(str(dot) for dot in range(1, 7) if (ord(cell) - 0x2800) >> (dot - 1) & 1)
    assert re.search(rf'class="points">{numbers}\b', card[0])


OPEN_ALL = """addEventListener("load", () => {
  for (const box of document.querySelectorAll("details")) box.open = true;
});"""


def with_scripts(page: Path, *scripts: str) -> Path:
    """A copy of the page that runs these too; its policy, which would bar them, is taken out."""
    text = page.read_text(encoding="utf-8")
    text = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", text)
    copy = page.parent.parent / "checked" / "report.html"
    copy.parent.mkdir(exist_ok=True)
    added = "".join(f"<script>{script}</script>" for script in scripts)
    copy.write_text(text.replace("</body>", f"{added}</body>"), "utf-8")
    return copy


def test_every_measured_value_stands_under_its_heading(folder: Path, manifest: dict) -> None:
    dom, _ = show(with_scripts(folder / "report.html", OPEN_ALL), "signs.status=%3Dreleased")
    tables = re.findall(r"<table><caption[^>]*>Rules of sign ([^<]*)</caption>.*?<tbody>(.*?)</tbody>", dom, re.DOTALL)
    assert [sign_id for sign_id, _ in tables] == [
        sign["id"] for sign in manifest["signs"] if sign["status"] == "released"
    ][:20]
    with (folder / "checks.csv").open(encoding="utf-8", newline="") as file:
        checks = list(csv.DictReader(file))
    for sign_id, body in tables:
        rows = [re.findall(r"<td[^>]*>(.*?)</td>", line) for line in re.findall(r"<tr>(.*?)</tr>", body)]
        shown = [[re.sub(r"<[^>]+>", "", cell) for cell in cells] for cells in rows]
        assert {len(cells) for cells in shown} == {7}
        measured = [(cells[0], cells[1], float(cells[2].split()[0])) for cells in shown if cells[2]]
        want = [
            (line["rule"], line["verdict"], float(line["measured"]))
            for line in checks
            if line["sign id"] == sign_id and line["unit"]
        ]
        assert measured
        assert measured == [(rule, verdict, pytest.approx(value, abs=0.006)) for rule, verdict, value in want]


def find_axe(folder: Path) -> str:
    """The source of axe-core, by the package client."""
    npm = shutil.which("npm")
    if npm is None:
        pytest.skip("npm is not installed")
    command = [npm, "install", "--no-audit", "--no-fund", "--ignore-scripts", "--prefix", str(folder), "axe-core@4"]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=60)
    except subprocess.TimeoutExpired:
        pytest.skip("axe-core cannot be had in time")
    source = folder / "node_modules" / "axe-core" / "axe.min.js"
    if done.returncode or not source.is_file():
        pytest.skip("axe-core cannot be had")
    return source.read_text(encoding="utf-8").replace("</script", "<\\/script")


RUN_AXE = """addEventListener("load", () => {
  for (const box of document.querySelectorAll("details")) box.open = true;
  setTimeout(async () => {
    const found = await axe.run(document, { resultTypes: ["violations"] });
    const report = document.createElement("pre");
    report.id = "axe";
    report.textContent = JSON.stringify({
      passes: found.passes.length,
      violations: found.violations.map((one) => [one.id, one.nodes.length, one.nodes[0].html]),
    });
    document.body.append(report);
  }, 300);
});"""


def check_by_axe(page: Path, source: str, *options: str) -> dict:
    checked = with_scripts(page, source, RUN_AXE)
    dom, _ = show(checked, "", "--virtual-time-budget=60000", *options)
    found = re.search(r'<pre id="axe">(.*?)</pre>', dom, re.DOTALL)
    assert found is not None, "the checker did not run"
    return json.loads(html.unescape(found[1]))


def test_axe_finds_nothing_on_a_wide_a_narrow_and_a_dark_screen(folder: Path, tmp_path: Path) -> None:
    source = find_axe(tmp_path)
    for options in (["--window-size=1280,900"], ["--window-size=400,900"], ["--blink-settings=preferredColorScheme=0"]):
        result = check_by_axe(folder / "report.html", source, *options)
        assert result["violations"] == []
        assert result["passes"] > 30
    # The same check sees a fault where there is one.
    spoilt = folder.parent / "spoilt" / "report.html"
    spoilt.parent.mkdir()
    text = (folder / "report.html").read_text(encoding="utf-8")
    spoilt.write_text(text.replace('<label for="signs-q">Search signs</label>', ""), encoding="utf-8")
    assert "label" in [one[0] for one in check_by_axe(spoilt, source)["violations"]]
