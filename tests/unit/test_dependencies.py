"""What the package runs with: ranges with both ends, nothing undeclared, nothing tampered with, no license unheard of.

Everything here is looked up in the installed packages' own metadata and in files of the repository; no network.
"""

import ast
import base64
import hashlib
import os
import sys
import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

ROOT = Path(__file__).resolve().parents[2]
CONSTRAINTS = ROOT / "tests" / "constraints"
PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
LISTED: dict[str, Any] = tomllib.loads((ROOT / "schedule2sign" / "third_party.toml").read_text(encoding="utf-8"))
ADVISORIES = tomllib.loads((CONSTRAINTS / "advisories.toml").read_text(encoding="utf-8"))["advisory"]
EXTRAS: dict[str, list[str]] = PROJECT["optional-dependencies"]
# The braille bindings are the operating system's; packages of these names on the Python index are something else.
NEVER = {"louis", "pylouis"}


def parse(texts: list[str]) -> dict[str, Requirement]:
    return {canonicalize_name(r.name): r for r in map(Requirement, texts) if r.name != PROJECT["name"]}


RUNTIME = parse(PROJECT["dependencies"])
DECLARED = RUNTIME | parse([text for extra in EXTRAS.values() for text in extra])


def limit(requirement: Requirement, operator: str) -> str:
    (found,) = [part.version for part in requirement.specifier if part.operator == operator]
    return found


def pins(name: str) -> dict[str, str]:
    """Exact versions of a constraints file; anything else in it is an error."""
    lines = (CONSTRAINTS / name).read_text(encoding="utf-8").splitlines()
    parts = [line.split("==") for line in lines if line and not line.startswith("#")]
    assert all(len(part) == 2 and str(Version(part[1])) for part in parts)
    assert len(dict(parts)) == len(parts)
    return dict(parts)


def next_untried(version: Version) -> Version:
    """The next major version, or minor while the major is 0: what a range must not admit unseen."""
    return Version(str(version.major + 1)) if version.major else Version(f"0.{version.minor + 1}")


@pytest.mark.parametrize("name", sorted(DECLARED))
def test_a_range_begins_at_the_oldest_tried_and_ends_before_what_nobody_tried(name: str) -> None:
    requirement = DECLARED[name]
    newest = Version(pins("newest.txt")[name])
    assert requirement.url is None
    assert {part.operator for part in requirement.specifier} <= {">=", "<", "!="}
    assert Version(limit(requirement, "<")) == next_untried(newest)
    assert newest in requirement.specifier


def test_the_oldest_set_is_the_lower_ends() -> None:
    oldest = pins("oldest.txt")
    wanted = RUNTIME | parse([text for extra in ("ifc", "png", "test") for text in EXTRAS[extra]])
    assert {name: oldest.get(name) for name in wanted} == {name: limit(r, ">=") for name, r in wanted.items()}
    # The rest came with them: declared nowhere.
    assert not (oldest.keys() - wanted.keys()) & DECLARED.keys()


def closure(names: list[str]) -> dict[str, metadata.Distribution]:
    """The installed packages of these names and all they need, extras left out."""
    found: dict[str, metadata.Distribution] = {}
    while names:
        name = canonicalize_name(names.pop())
        if name not in found:
            found[name] = metadata.distribution(name)
            names += [requirement.name for requirement in needs(found[name])]
    return found


def needs(distribution: metadata.Distribution) -> Iterator[Requirement]:
    for requirement in map(Requirement, distribution.requires or ()):
        if requirement.marker is None or requirement.marker.evaluate({"extra": ""}):
            yield requirement


@cache
def runtime() -> dict[str, metadata.Distribution]:
    return closure(list(RUNTIME))


def test_what_is_installed_is_what_the_ranges_ask_for() -> None:
    asked = [*RUNTIME.values(), *(need for one in runtime().values() for need in needs(one))]
    assert len(asked) > len(RUNTIME)
    wrong = [str(r) for r in asked if not r.specifier.contains(metadata.version(r.name), prereleases=True)]
    assert not wrong


def test_the_newest_set_names_everything_that_comes_with_a_range() -> None:
    # At the old end fewer packages come: the newest set may name more.
    assert runtime().keys() <= pins("newest.txt").keys()


def test_nothing_comes_from_a_direct_address_or_is_the_package_of_another_braille_program() -> None:
    assert not NEVER & (runtime().keys() | DECLARED.keys() | pins("newest.txt").keys() | pins("oldest.txt").keys())
    for name, distribution in runtime().items():
        assert distribution.read_text("direct_url.json") is None, name  # PEP 610


def test_the_bindings_in_use_are_the_operating_systems() -> None:
    from schedule2sign.braille.engine import load_bindings

    assert str(load_bindings().__file__).startswith("/usr/lib/python3/dist-packages/louis/")


def imports(source: str) -> set[str]:
    """Top names of the modules a file imports, wherever the import stands."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        match node:
            case ast.Import(names=names):
                found |= {alias.name for alias in names}
            case ast.ImportFrom(module=str(module), level=0):
                found.add(module)
            case ast.Call(
                func=ast.Attribute(attr="import_module") | ast.Name(id="__import__"), args=[ast.Constant(str(name)), *_]
            ):
                found.add(name)
    return {name.partition(".")[0] for name in found}


def foreign_imports() -> dict[str, set[str]]:
    """Modules of others and the files that import them."""
    found: dict[str, set[str]] = {}
    for path in (ROOT / "schedule2sign").rglob("*.py"):
        for name in imports(path.read_text(encoding="utf-8")) - sys.stdlib_module_names - {"schedule2sign"}:
            found.setdefault(name, set()).add(path.relative_to(ROOT / "schedule2sign").as_posix())
    return found


OPTIONAL = {"resvg_py": {"writers/picture.py"}, "ifcopenshell": {"intake/ifc.py"}}


def test_the_package_imports_what_it_declares_and_nothing_else() -> None:
    found = foreign_imports()
    assert {name: files for name, files in found.items() if name in OPTIONAL} == OPTIONAL
    owners = metadata.packages_distributions()
    used = {canonicalize_name(owner) for name in found.keys() - OPTIONAL for owner in owners.get(name, [name])}
    assert used == RUNTIME.keys()


def test_an_import_out_of_the_way_is_seen() -> None:
    source = (
        "import os\ndef f():\n    from louis.x import y\n    importlib.import_module('pandas.io')\n    from . import z"
    )
    assert imports(source) == {"os", "louis", "pandas"}


def changed_files(distribution: metadata.Distribution) -> list[str]:
    """Files whose bytes are not those of the package's own RECORD (the wheel format, PEP 427)."""
    changed = []
    for file in distribution.files or ():
        if file.hash is None or file.suffix == ".pyc":
            continue  # RECORD itself, and what is compiled at installation: numpy 1.26 lists such a file
        path = Path(str(file.locate()))
        digest = hashlib.new(file.hash.mode, path.read_bytes()).digest() if path.is_file() else b""
        if base64.urlsafe_b64encode(digest).rstrip(b"=").decode() != file.hash.value:
            changed.append(str(file))
    return changed


def test_no_file_of_a_library_was_changed_after_its_installation() -> None:
    assert {name: changed_files(one) for name, one in runtime().items() if changed_files(one)} == {}


def test_a_changed_file_is_found(tmp_path: Path) -> None:
    folder = tmp_path / "x-1.dist-info"
    folder.mkdir()
    (folder / "METADATA").write_text("Metadata-Version: 2.1\nName: x\nVersion: 1\n", encoding="utf-8")
    (tmp_path / "x.py").write_bytes(b"pass\n")
    value = base64.urlsafe_b64encode(hashlib.sha256(b"pass\n").digest()).rstrip(b"=").decode()
    (folder / "RECORD").write_text(f"x.py,sha256={value},5\ngone.py,sha256={value},5\n", encoding="utf-8")
    assert changed_files(metadata.Distribution.at(folder)) == ["gone.py"]
    (tmp_path / "x.py").write_bytes(b"pass;\n")
    assert changed_files(metadata.Distribution.at(folder)) == ["x.py", "gone.py"]


def stated_license(about: Mapping[str, Any]) -> str:
    """What a package's metadata says: its expression (PEP 639), else its classifiers, else a short text."""
    classifiers = [text for text in about.get_all("Classifier") or () if text.startswith("License ::")]  # type: ignore[attr-defined]
    words = " AND ".join(text.rpartition(" :: ")[2] for text in classifiers)
    return str(about.get("License-Expression") or words or about.get("License") or "not stated")


@pytest.mark.parametrize("name", sorted(runtime()))
def test_a_library_says_the_license_that_is_listed(name: str) -> None:
    assert name in LISTED["runtime"], "a library new to us: read its license, then list it"
    assert stated_license(runtime()[name].metadata) in LISTED["runtime"][name]["says"]


def test_listed_licenses_are_those_we_run_with() -> None:
    for name, entry in LISTED["runtime"].items():
        assert set(entry["license"].split(" AND ")) <= set(LISTED["licenses"]["allowed"]), name
    assert RUNTIME.keys() <= LISTED["runtime"].keys()
    assert LISTED["optional"].keys() == parse([*EXTRAS["ifc"], *EXTRAS["png"]]).keys()


def test_debian_says_the_license_that_is_listed_for_the_braille_engine() -> None:
    notice = Path("/usr/share/doc/python3-louis/copyright")
    if not notice.is_file():
        pytest.skip("this system was installed without the notices of its packages")
    assert {entry["license"] for entry in LISTED["system"].values()} == {"LGPL-3.0-or-later"}
    assert "files are under the LGPL version 3 or later" in notice.read_text(encoding="utf-8")


def admitted(requirement: Requirement, advisory: Mapping[str, str]) -> bool:
    """Whether a range reaches into the versions an advisory speaks of."""
    begins, ends = Version(limit(requirement, ">=")), Version(limit(requirement, "<"))
    return begins < Version(advisory["fixed"]) and Version(advisory.get("introduced", "0")) < ends


@pytest.mark.parametrize("advisory", ADVISORIES, ids=[entry["id"] for entry in ADVISORIES])
def test_no_range_admits_a_version_an_advisory_speaks_of(advisory: dict[str, str]) -> None:
    assert not admitted(RUNTIME[advisory["package"]], advisory)


@pytest.mark.parametrize(
    ("text", "found"),
    [("x>=1.0,<2", True), ("x>=1.4,<2", True), ("x>=1.5,<2", False), ("x>=0.1,<1.1", False), ("x>=0.1,<1.2", True)],
)
def test_a_range_that_admits_an_affected_version_is_found(text: str, found: bool) -> None:
    assert admitted(Requirement(text), {"introduced": "1.1", "fixed": "1.5"}) is found


def test_a_set_that_was_pinned_is_the_set_that_is_installed() -> None:
    # .ci/run says which set its environment was made with.
    pinned = os.environ.get("PINNED_BY")
    if not pinned:
        pytest.skip("this environment was not made from one of the two sets")
    expected = {name: Version(version) for name, version in pins(pinned).items() if name in runtime()}
    assert expected == {name: Version(one.version) for name, one in runtime().items()}
