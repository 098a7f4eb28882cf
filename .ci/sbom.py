"""Build hook: the wheel's bill of materials, CycloneDX 1.7 JSON (ECMA-424), in .dist-info/sboms/ (PEP 770).

Made from pyproject.toml, schedule2sign/third_party.toml and the bytes of the files; no clock, so the same sources give the
same document.
"""

import hashlib
import json
import shutil
import tempfile
import tomllib
import uuid
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

NAME = "schedule2sign.cdx.json"


class BillOfMaterials(BuildHookInterface):  # type: ignore[type-arg]
    """Hands the document to the wheel builder."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Write the document where the builder can fetch it."""
        del version
        self._folder = Path(tempfile.mkdtemp())
        document = list_materials(Path(self.root), self.metadata.version)
        path = self._folder / NAME
        path.write_text(json.dumps(document, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
        build_data["sbom_files"].append(str(path))

    def finalize(self, version: str, build_data: dict[str, Any], artifact_path: str) -> None:
        """Clear up."""
        del version, build_data, artifact_path
        shutil.rmtree(self._folder)


def list_materials(root: Path, version: str) -> dict[str, Any]:
    """The document as JSON data."""
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))
    listed = tomllib.loads((root / "schedule2sign/third_party.toml").read_text(encoding="utf-8"))
    moved = project["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    extras = project["project"]["optional-dependencies"]
    required = [_library(text, listed["runtime"], "required") for text in project["project"]["dependencies"]]
    # The extras a user installs; those of a contributor are no part of the product.
    optional = [_library(text, listed["optional"], "optional") for extra in ("ifc", "png") for text in extras[extra]]
    system = [_package(name, facts) for name, facts in listed["system"].items()]
    carried = [_file(root, moved, entry, path) for entry in listed["shipped"] for path in entry["files"]]
    product = {
        "type": "application",
        "bom-ref": f"pkg:pypi/schedule2sign@{version}",
        "name": "schedule2sign",
        "version": version,
        "description": project["project"]["description"],
        "licenses": [{"license": {"id": "MIT"}}],
        "purl": f"pkg:pypi/schedule2sign@{version}",
    }
    components = sorted([*required, *optional, *system, *carried], key=lambda part: part["bom-ref"])
    document: dict[str, Any] = {
        "$schema": "http://cyclonedx.org/schema/bom-1.7.schema.json",
        "bomFormat": "CycloneDX",
        "specVersion": "1.7",
        "version": 1,
        "metadata": {"lifecycles": [{"phase": "build"}], "component": product},
        "components": components,
        "dependencies": [{"ref": product["bom-ref"], "dependsOn": [part["bom-ref"] for part in components]}],
        # Only what is declared: libraries that come with a library are not listed.
        "compositions": [{"aggregate": "incomplete_first_party_only", "dependencies": [product["bom-ref"]]}],
    }
    digest = hashlib.sha256(json.dumps(document, sort_keys=True).encode()).hexdigest()
    return {**document, "serialNumber": uuid.uuid5(uuid.NAMESPACE_URL, digest).urn}


def _library(text: str, listed: dict[str, Any], scope: str) -> dict[str, Any]:
    requirement = Requirement(text)
    name = canonicalize_name(requirement.name)
    # Order and form of the Package-URL project's version range syntax (vers): by version, constraints apart by "|".
    limits = sorted(requirement.specifier, key=lambda limit: [int(part) for part in limit.version.split(".")])
    return {
        "type": "library",
        "bom-ref": f"pkg:pypi/{name}",
        "name": name,
        "versionRange": "vers:pypi/" + "|".join(limit.operator + limit.version for limit in limits),
        "isExternal": True,
        "scope": scope,
        "licenses": _licenses(listed[name]["license"]),
        "purl": f"pkg:pypi/{name}",
    }


def _package(name: str, facts: dict[str, str]) -> dict[str, Any]:
    return {
        "type": "library",
        "bom-ref": f"pkg:deb/debian/{name}",
        "name": name,
        "version": facts["version"],
        "description": facts["origin"],
        "isExternal": True,
        "scope": "required",
        "licenses": _licenses(facts["license"]),
        "purl": f"pkg:deb/debian/{name}@{facts['version']}?distro=bookworm",
    }


def _file(root: Path, moved: dict[str, str], entry: dict[str, Any], path: str) -> dict[str, Any]:
    part: dict[str, Any] = {
        "type": "file",
        "bom-ref": path,
        "name": place_in_wheel(path, moved),
        "description": f"{entry['name']}: {entry['origin']}",
        "hashes": [{"alg": "SHA-256", "content": hashlib.sha256((root / path).read_bytes()).hexdigest()}],
        "licenses": _licenses(entry["license"]),
        "properties": [{"name": "schedule2sign:notice", "value": place_in_wheel(entry["notice"], moved)}],
    }
    if "version" in entry:
        part["version"] = entry["version"]
    return part


def place_in_wheel(path: str, moved: dict[str, str]) -> str:
    """Where a file of the repository lies in the wheel."""
    for source, target in moved.items():
        if path.startswith(source + "/"):
            return target + path.removeprefix(source)
    return path


def _licenses(expression: str) -> list[dict[str, Any]]:
    if expression.startswith("LicenseRef-"):
        return [{"license": {"name": expression}}]
    if " " in expression:
        return [{"expression": expression}]
    return [{"license": {"id": expression}}]
