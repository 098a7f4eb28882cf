"""README.md and DEVELOPERS.md against the program: commands, options, files, layers and links they name are there."""

import os
import re
from pathlib import Path

import ezdxf
import pytest

from schedule2sign.cli.main import COMMANDS, main

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
CLAIMS = re.compile(r"\b(compliant|certified|guaranteed|code[- ]approved)\b", re.IGNORECASE)
HEAD = "DOOR,ROOM NO,ROOM NAME,LEVEL\n"
ROOMS = HEAD + "101,101,MENS RR,1\n102,102,OFFICE,1\n103,103,LAUNDARY,1\n"


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder built since an earlier issue, so that every file is in it."""
    folder = tmp_path_factory.mktemp("readme")
    before = Path.cwd()
    os.chdir(folder)
    try:
        Path("doors.csv").write_text(ROOMS, encoding="utf-8")
        assert main(["build", "doors.csv", "-o", "old", "--quiet"]) == 1
        Path("doors.csv").write_text(ROOMS.replace("OFFICE", "STUDIO"), encoding="utf-8")
        assert main(["build", "doors.csv", "-o", "new", "--since", "old", "--quiet"]) == 1
    finally:
        os.chdir(before)
    return folder / "new"


def section(title: str) -> str:
    return README.split(f"## {title}\n")[1].split("\n## ")[0]


def named(text: str) -> set[str]:
    """The words in code quotes in the first column of the tables."""
    cells = [line.split("|")[1] for line in text.splitlines() if line.startswith("| `")]
    return {word for cell in cells for word in re.findall(r"`([^`]+)`", cell)}


def test_every_file_of_the_folder_is_in_the_table_and_every_line_of_the_table_is_a_file(out: Path) -> None:
    patterns = {name.replace("<sign-id>", "*") for name in named(section("What lands in the output folder"))}
    patterns = {f"signs/*{name}" if name.startswith(".") else name for name in patterns}
    patterns = {f"{name}*" if name.endswith("/") else name for name in patterns}
    files = {path.relative_to(out) for path in out.rglob("*") if path.is_file()}
    assert {str(file) for file in files if not any(file.match(pattern) for pattern in patterns)} == set()
    assert {pattern for pattern in patterns if not any(file.match(pattern) for file in files)} == set()


def test_every_layer_is_explained(out: Path) -> None:
    layers = {
        entity.dxf.layer
        for folder in ("signs", "sheets")
        for path in (out / folder).glob("*.dxf")
        for entity in ezdxf.readfile(path).modelspace()
    }
    assert len(layers) >= 8
    assert {layer for layer in layers if f"`{layer}`" not in README} == set()


def test_every_command_is_in_the_table() -> None:
    sources = [Path(str(module.__file__)).read_text(encoding="utf-8") for module in COMMANDS]
    commands = {name for source in sources for name in re.findall(r'add_parser\(\s*"([a-z]+)"', source)}
    said = {word.split()[0] for word in named(section("Commands")) if word[0].isalpha()}
    assert said - {"0", "1", "2", "3"} == commands


def test_every_option_named_is_one_of_build(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["build", "--help"])
    known = set(re.findall(r"--[a-z]+", capsys.readouterr().out))
    options = {option for word in named(section("Commands")) for option in re.findall(r"--[a-z]+", word)}
    assert len(options) >= 8
    assert options <= known


# DEVELOPERS.md also holds the numbers of speed and the table of hostile input.
@pytest.mark.parametrize(("name", "most_lines"), [("README.md", 130), ("DEVELOPERS.md", 140)])
def test_links_lead_somewhere_and_nothing_is_claimed(name: str, most_lines: int) -> None:
    text = (ROOT / name).read_text(encoding="utf-8")
    assert {link for link in re.findall(r"\]\(([^)#]+)", text) if not (ROOT / link).exists()} == set()
    assert not CLAIMS.search(text.replace('"compliant", "certified" or "guaranteed"', ""))
    assert len(text.splitlines()) <= most_lines


def test_ci_finds_its_two_lines() -> None:
    blocks = re.findall(r"^```bash\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
    assert [block.count("\n") for block in blocks] == [1, 1]
    assert blocks[0].strip().endswith("schedule2sign demo")
    assert "pytest" in blocks[1]
