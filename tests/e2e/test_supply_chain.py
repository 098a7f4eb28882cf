"""The wheel: its bill of materials, everything of others in it listed with license and notice, its own RECORD."""

import base64
import csv
import fnmatch
import hashlib
import io
import json
import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from collections.abc import Iterator
from email.parser import Parser
from pathlib import Path
from typing import Any

import pytest
from fontTools.ttLib import TTFont
from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[2]
PYPROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
LISTED: dict[str, Any] = tomllib.loads((ROOT / "schedule2sign" / "third_party.toml").read_text(encoding="utf-8"))
MOVED: dict[str, str] = PYPROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
# Marks of a text somebody else wrote.
FOREIGN = re.compile(rb"SCOWL|wordlist|Copyright|\(c\) ?(19|20)\d\d|@license|All rights reserved", re.IGNORECASE)
FONTS = {".otf", ".ttf", ".ttc", ".woff", ".woff2"}
# The words by which a license is known in a notice or in a font's name table.
WORDS = {
    "OFL-1.1": "SIL Open Font License, Version 1.1",
    "Apache-2.0": "Apache License, Version 2.0",
    "CC0-1.0": "CC0 1.0",
    "LicenseRef-SCOWL": "SCOWL",
}


def make_wheel(source: Path, target: Path) -> bytes:
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(target), str(source)]
    made = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    assert made.returncode == 0, made.stderr
    (wheel,) = target.glob("*.whl")
    return wheel.read_bytes()


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    pytest.importorskip("build")
    pytest.importorskip("hatchling")
    return make_wheel(ROOT, tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="module")
def files(wheel: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(wheel)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


@pytest.fixture(scope="module")
def bom(files: dict[str, bytes]) -> dict[str, Any]:
    (name,) = [name for name in files if ".dist-info/sboms/" in name]  # PEP 770
    return json.loads(files[name])  # type: ignore[no-any-return]


def in_repository(name: str) -> str:
    for source, target in MOVED.items():
        if name.startswith(target + "/"):
            return source + name.removeprefix(target)
    return name


def carried(files: dict[str, bytes]) -> dict[str, bytes]:
    """The wheel's files by their path in the repository, without what the builder adds."""
    return {in_repository(name): data for name, data in files.items() if ".dist-info/" not in name}


def test_another_place_and_time_give_the_same_wheel(wheel: bytes, tmp_path: Path) -> None:
    source = tmp_path / "source"
    source.mkdir()
    for name in ("schedule2sign", "templates", "fixtures"):
        shutil.copytree(
            ROOT / name, source / name, copy_function=shutil.copyfile, ignore=shutil.ignore_patterns("__pycache__")
        )
    (source / ".ci").mkdir()
    for name in ("README.md", "LICENSE", "pyproject.toml", ".ci/sbom.py"):
        shutil.copyfile(ROOT / name, source / name)
    assert make_wheel(source, tmp_path / "dist") == wheel


def test_record_holds_the_hash_of_every_file(files: dict[str, bytes]) -> None:
    (record,) = [name for name in files if name.endswith(".dist-info/RECORD")]
    rows = {path: (digest, size) for path, digest, size in csv.reader(files[record].decode().splitlines())}
    assert rows.keys() == files.keys()
    for name, data in files.items():
        if name != record:
            digest = base64.urlsafe_b64encode(hashlib.sha256(data).digest()).rstrip(b"=").decode()
            assert rows[name] == (f"sha256={digest}", str(len(data)))


def test_the_bill_of_materials_is_cyclonedx(bom: dict[str, Any]) -> None:
    # The schema of CycloneDX 1.7 (ECMA-424), as the reference library ships it.
    pytest.importorskip("cyclonedx")
    from cyclonedx.schema import SchemaVersion
    from cyclonedx.validation.json import JsonStrictValidator

    validator = JsonStrictValidator(SchemaVersion.V1_7)
    assert validator.validate_str(json.dumps(bom)) is None
    assert validator.validate_str(json.dumps({**bom, "components": [{"type": "fruit", "name": "x"}]})) is not None


def test_the_bill_of_materials_says_what_is_in_the_wheel(bom: dict[str, Any], files: dict[str, bytes]) -> None:
    parts = bom["components"]
    shipped = {part["name"]: part for part in parts if part["type"] == "file"}
    assert {in_repository(name) for name in shipped} == {path for entry in LISTED["shipped"] for path in entry["files"]}
    for name, part in shipped.items():
        assert part["hashes"] == [{"alg": "SHA-256", "content": hashlib.sha256(files[name]).hexdigest()}]
        assert {entry["value"] for entry in part["properties"]} <= files.keys()
    assert {part["name"] for part in parts if part.get("purl", "").startswith("pkg:deb/")} == LISTED["system"].keys()
    assert "timestamp" not in bom["metadata"]


def test_the_bill_of_materials_gives_the_ranges_of_the_metadata(bom: dict[str, Any], files: dict[str, bytes]) -> None:
    (name,) = [name for name in files if name.endswith(".dist-info/METADATA")]
    asked = map(Requirement, Parser().parsestr(files[name].decode()).get_all("Requires-Dist") or ())
    required = {one.name: set(map(str, one.specifier)) for one in asked if one.marker is None}
    said = {
        part["name"]: set(part["versionRange"].removeprefix("vers:pypi/").split("|"))
        for part in bom["components"]
        if part.get("scope") == "required" and "versionRange" in part
    }
    assert len(required) > 10
    assert said == required


def unlisted(carried_files: dict[str, bytes]) -> Iterator[str]:
    """Files that are neither listed as another's nor ours by kind or name, or that another's mark contradicts."""
    others = {path for entry in LISTED["shipped"] for path in [*entry["files"], entry["notice"]]}
    ours = LISTED["ours"]
    for path, data in carried_files.items():
        if path in others:
            continue
        known = path.endswith(tuple(ours["kinds"])) or any(fnmatch.fnmatch(path, name) for name in ours["files"])
        if not known or Path(path).suffix in FONTS or (FOREIGN.search(data) and path not in SPEAKS_OF_THEM):
            yield path


# The list itself names those it lists.
SPEAKS_OF_THEM = {"schedule2sign/third_party.toml"}


def test_every_file_of_another_is_listed(files: dict[str, bytes]) -> None:
    assert list(unlisted(carried(files))) == []


@pytest.mark.parametrize(
    ("path", "data"),
    [
        ("templates/fonts/Other.ttf", b""),
        ("schedule2sign/naming/more.txt", b"a\nb\n"),
        ("schedule2sign/naming/more.csv", b"a,b\n"),
        ("templates/pictograms/stairs.svg", b"<svg/>"),
        ("schedule2sign/writers/chart.js", b"/* Copyright 2020 Somebody */"),
        ("schedule2sign/naming/more.toml", b"# from SCOWL"),
    ],
)
def test_a_file_of_another_without_a_line_is_found(path: str, data: bytes) -> None:
    assert list(unlisted({path: data})) == [path]


def test_every_line_of_the_list_stands_for_a_file(files: dict[str, bytes]) -> None:
    names = carried(files)
    for entry in [*LISTED["shipped"], *LISTED["drawn"]]:
        assert set(entry["files"]) <= names.keys()
    for pattern in LISTED["ours"]["files"]:
        assert fnmatch.filter(names, pattern), pattern
    profiles = set(fnmatch.filter(names, "schedule2sign/rules/profiles/*.toml"))
    assert profiles <= {path for entry in LISTED["drawn"] for path in entry["files"]}


def test_notices_travel_with_the_wheel_and_say_the_license(files: dict[str, bytes]) -> None:
    (info,) = {name.partition("/")[0] for name in files if ".dist-info/" in name}
    about = Parser().parsestr(files[f"{info}/METADATA"].decode())
    for entry in LISTED["shipped"]:
        assert entry["notice"] in about.get_all("License-File", [])  # PEP 639
        assert WORDS[entry["license"]] in " ".join(files[f"{info}/licenses/{entry['notice']}"].decode().split())
    stated = set(about["License-Expression"].split(" AND "))
    assert stated == {"MIT"} | {entry["license"] for entry in LISTED["shipped"]}


def test_a_fonts_own_name_table_agrees(files: dict[str, bytes]) -> None:
    names = carried(files)
    fonts = [(entry, path) for entry in LISTED["shipped"] for path in entry["files"] if Path(path).suffix in FONTS]
    assert len(fonts) == 4
    for entry, path in fonts:
        table = TTFont(io.BytesIO(names[path]))["name"]
        said = " ".join(str(table.getDebugName(13)).split())  # name 13 of OpenType: license description
        assert WORDS[entry["license"]] in said
        assert entry["version"] in str(table.getDebugName(5))
        assert entry["name"] in str(table.getDebugName(1))
