"""The JSON Schema against an independent validator, and the README against the schema."""

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest

from schedule2sign.resources import templates_folder

TEMPLATES = templates_folder()
SCHEMA = json.loads((TEMPLATES / "sign-template.schema.json").read_text(encoding="utf-8"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)
SHIPPED = sorted(TEMPLATES.glob("signs*/*.toml"))


def test_the_schema_is_a_valid_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert len(SHIPPED) > 20


@pytest.mark.parametrize("file", SHIPPED, ids=lambda file: f"{file.parent.name}/{file.stem}")
def test_every_shipped_template_is_valid_and_names_the_schema(file: Path) -> None:
    text = file.read_text(encoding="utf-8")
    assert [error.message for error in VALIDATOR.iter_errors(tomllib.loads(text))] == []
    named = text.splitlines()[0].removeprefix("#:schema ")
    assert (file.parent / named).resolve() == (TEMPLATES / "sign-template.schema.json").resolve()


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("[plate]\nwidth = ['8 in']", ["plate"]),
        ("[plate]\nwidths = ['8']", ["plate", "widths", 0]),
        ("[plate]\nshape = 'oval'", ["plate", "shape"]),
        ("[[text]]\nrole = 'title'\nheights = ['1 in']", ["text", 0, "role"]),
        ("[fixing]\nkind = 'screws'", ["fixing"]),
        ("[fixing]\nkind = 'tape'\ninset = '1 in'", ["fixing"]),
        ("remedies = ['shrink']", ["remedies", 0]),
        ("[standard.us-california.star]\nbeside = 'title'", ["standard", "us-california", "star", "beside"]),
    ],
)
def test_the_schema_finds_a_mistake_where_it_is(text: str, where: list[str | int]) -> None:
    assert where in [list(error.path) for error in VALIDATOR.iter_errors(tomllib.loads(text))]


def test_the_readme_explains_every_key() -> None:
    readme = (TEMPLATES / "README.md").read_text(encoding="utf-8")
    for table, part in SCHEMA["properties"].items():
        assert f"`[{table}]`" in readme or f"`[[{table}]]`" in readme or f"`{table}`" in readme or table == "standard"
        inner = part.get("properties") or part.get("items", {}).get("properties", {})
        for key in inner:
            assert f"`{key}`" in readme, (table, key)


def test_the_example_of_the_readme_is_valid() -> None:
    readme = (TEMPLATES / "README.md").read_text(encoding="utf-8")
    example = readme.split("```toml\n")[1].split("```")[0]
    assert list(VALIDATOR.iter_errors(tomllib.loads(example))) == []
