"""Revision B from the command line: what changed, what is made again, and whose answers stay."""

import json
import subprocess
import sys
from pathlib import Path

import ezdxf
import openpyxl
import pytest

ROOMS = "ROOM NO,ROOM NAME,LEVEL\n101,LIBRARY,1\n102,STORAGE,1\n103,CONFERENCE,1\n104,LOUNGE,1\n105,STUDIO,1\n106,KITCHEN,1\n"
JOB = '[job]\nid = "HB"\nrevision = "{}"\nnumbers = "final"\n'


def run(*arguments: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-P", "-m", "schedule2sign", *map(str, arguments)]
    return subprocess.run(command, cwd=cwd, capture_output=True, text=True, check=False, timeout=120)


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with issue A of a small job, where a person held sign 105."""
    folder = tmp_path_factory.mktemp("issues")
    (folder / "a.csv").write_text(ROOMS, encoding="utf-8")
    (folder / "a.toml").write_text(JOB.format("A"), encoding="utf-8")
    (folder / "b.toml").write_text(JOB.format("B"), encoding="utf-8")
    assert run("build", "a.csv", "--job", "a.toml", "-o", "draft", "--quiet", cwd=folder).returncode == 0
    book = openpyxl.load_workbook(folder / "draft" / "sign-list.xlsx")
    page = book["Sign list"]
    columns = {cell.value: cell.column for cell in page[1]}
    row = next(row[0].row for row in page.iter_rows(min_row=2) if row[0].value == "HB-01-105-C")
    page.cell(row, columns["decision"]).value = "hold"
    page.cell(row, columns["answered by"]).value = "Ada"
    book.save(folder / "answers.xlsx")
    command = ("build", "a.csv", "--job", "a.toml", "--decisions", "answers.xlsx", "-o", "A", "--quiet")
    assert run(*command, cwd=folder).returncode == 1
    return folder


def revise(folder: Path, name: str, *edits: tuple[str, str]) -> Path:
    text = ROOMS
    for old, new in edits:
        assert old in text
        text = text.replace(old, new)
    (folder / name).write_text(text, encoding="utf-8")
    return folder / name


def test_a_re_sorted_schedule_is_no_difference(first: Path) -> None:
    head, *rows = ROOMS.splitlines()
    (first / "turned.csv").write_text("\n".join([head, *reversed(rows)]) + "\n", encoding="utf-8")
    done = run("build", "turned.csv", "--job", "a.toml", "--decisions", "answers.xlsx", "-o", "T", "--quiet", cwd=first)
    assert done.returncode == 1, done.stderr
    done = run("compare", "A", "T", cwd=first)
    assert (done.returncode, done.stdout.splitlines()[-1]) == (0, "No difference.")


def test_two_folders_or_a_folder_and_a_schedule_give_the_same_changes(first: Path) -> None:
    revise(first, "b.csv", ("104,LOUNGE", "104,READING ROOM"), ("103,CONF", "203,CONF"), ("102,STORAGE,1\n", ""))
    command = ("build", "b.csv", "--job", "b.toml", "--decisions", "answers.xlsx", "-o", "B", "--quiet")
    assert run(*command, cwd=first).returncode == 1
    folders = json.loads(run("compare", "A", "B", "--json", cwd=first).stdout)
    done = run("compare", "A", "b.csv", "--job", "b.toml", "--json", "-o", "what.xlsx", cwd=first)
    assert done.returncode == 1
    assert json.loads(done.stdout) == folders
    kinds = {(sign["change"], sign["id_before"], sign["id"]) for sign in folders["signs"]}
    assert kinds == {
        ("text", "HB-01-104-C", "HB-01-104-C"),
        ("renumber", "HB-01-103-C", "HB-01-203-C"),
        ("deleted", "HB-01-102-C", "HB-01-102-C"),
    }
    page = openpyxl.load_workbook(first / "what.xlsx")["Changed signs"]
    assert {row[0] for row in page.iter_rows(min_row=2, values_only=True)} == {"text", "renumber", "deleted"}


def test_since_keeps_the_answers_and_plans_the_bench_for_the_remake_only(first: Path) -> None:
    revise(first, "c.csv", ("104,LOUNGE", "104,READING ROOM"))
    done = run("build", "c.csv", "--job", "b.toml", "--since", "A", "-o", "C", cwd=first)
    assert done.returncode == 1, done.stderr
    assert "of 6 signs: 1 text, 5 unchanged; to make: 1 piece" in done.stdout
    record = json.loads((first / "C" / "manifest.json").read_text(encoding="utf-8"))
    status = {sign["id"]: sign["status"] for sign in record["signs"]}
    assert status["HB-01-105-C"] == "held", "a person held it in the issue before"
    (sheet,) = [path for path in (first / "C" / "sheets").glob("*.dxf") if "raised" not in path.name]
    sign = first / "C" / "signs" / "HB-01-104-C.dxf"
    holes = [len(ezdxf.readfile(at).modelspace().query('CIRCLE[layer=="BRAILLE_DRILL"]')) for at in (sheet, sign)]
    assert holes[0] == holes[1] > 0, "the sheet holds the work of the one sign to make, beside bare spares"
    changes = json.loads((first / "C" / "changes.json").read_text(encoding="utf-8"))
    assert [sign["id"] for sign in changes["signs"]] == ["HB-01-104-C"]
    assert record["bench"]["to_make"] == {"HB-01-104-C": 1}
    done = run("verify", "C", cwd=first)
    assert (done.returncode, done.stdout.splitlines()[-1]) == (0, "Differences: none"), done.stdout
    page = (first / "C" / "report.html").read_text(encoding="utf-8")
    assert "104 / [LOUNGE]" in page
    assert "of 6 signs: 1 text, 5 unchanged; to make: 1 piece" in page
    assert "CHANGED SINCE THE EARLIER ISSUE" in (first / "C" / "00-READ-ME.txt").read_text(encoding="utf-8")


def test_an_unchanged_sign_has_the_bytes_it_had(first: Path) -> None:
    revise(first, "d.csv", ("104,LOUNGE", "104,READING ROOM"))
    done = run("build", "d.csv", "--job", "a.toml", "--since", "A", "-o", "D", "--quiet", cwd=first)
    assert done.returncode == 1, done.stderr
    for path in sorted((first / "A" / "signs").iterdir()):
        same = path.read_bytes() == (first / "D" / "signs" / path.name).read_bytes()
        assert same is ("-104-" not in path.name), path.name


def test_what_a_person_held_is_held_again_under_its_new_number(first: Path) -> None:
    revise(first, "e.csv", ("105,STUDIO", "305,STUDIO"))
    done = run("build", "e.csv", "--job", "b.toml", "--since", "A", "-o", "E", "--json", cwd=first)
    assert done.returncode == 1, done.stderr
    document = json.loads(done.stdout)
    held = [sign["id"] for sign in document["signs"] if sign["status"] == "held"]
    assert held == ["HB-01-305-C"]
    assert any(flag["code"] == "revision/was-held" for flag in document["flags"])
    assert not list((first / "E" / "signs").glob("*305*"))


def test_how_far_a_sign_had_come_decides_what_to_do(first: Path) -> None:
    revise(first, "f.csv", ("102,STORAGE,1\n", ""))
    (first / "made.csv").write_text("sign id,stage\nHB-01-102-C,installed\n", encoding="utf-8")
    done = run("compare", "A", "f.csv", "--job", "b.toml", "--made", "made.csv", cwd=first)
    assert done.returncode == 1
    assert "have it removed" in done.stdout


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("compare", "nowhere", "A"), "no output folder"),
        (("compare", "A", "nowhere.csv"), "nowhere.csv"),
        (("compare", "A", "A", "--made", "none.csv"), "cannot be read"),
        (("build", "a.csv", "--since", "nowhere", "-o", "X"), "no output folder"),
    ],
)
def test_what_cannot_be_compared_is_exit_2_with_one_message(first: Path, arguments: tuple[str, ...], said: str) -> None:
    done = run(*arguments, cwd=first)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert not (first / "X").exists()


def test_another_building_is_refused(first: Path) -> None:
    (first / "other.csv").write_text(
        "ROOM NO,ROOM NAME,LEVEL\n" + "".join(f"{at},GALLERY,1\n" for at in range(501, 507)), encoding="utf-8"
    )
    done = run("compare", "A", "other.csv", "--job", "b.toml", cwd=first)
    assert done.returncode == 2
    assert "6 of 6 signs" in done.stderr
    assert "room-number column" in done.stderr


def test_a_schedule_is_compared_with_the_answers_of_the_earlier_issue(first: Path) -> None:
    """Else every sign a person renamed or held would be listed as changed."""
    (first / "same.csv").write_text(ROOMS, encoding="utf-8")
    done = run("compare", "A", "same.csv", "--job", "a.toml", cwd=first)
    assert (done.returncode, done.stdout.splitlines()[-1]) == (0, "No difference."), done.stdout
