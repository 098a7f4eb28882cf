"""JSON written piece by piece against the standard library's writer."""

import json
from typing import Any

import pytest

from schedule2sign.model.flag import Severity
from schedule2sign.writers.jsontext import json_pieces

DOCUMENTS: tuple[dict[str, Any], ...] = (
    {"b": 1, "a": "x"},
    {"empty": [], "none": {}, "tuple": (), "deep": {"z": [{"y": []}, (1, [2, {"x": None}])], "a": {}}},
    {"numbers": [0, -1, 1.0, 0.1 + 0.2, 1e300, float("inf"), True, False], "word": Severity.HOLD},
    {'qu"ote': "line\nbreak \\ \u2028 \x07 é \ud800 ⠠⠁", "": ""},
)


@pytest.mark.parametrize("document", DOCUMENTS)
def test_pieces_are_what_the_standard_library_writes(document: dict[str, Any]) -> None:
    assert "".join(json_pieces(document)) == json.dumps(document, ensure_ascii=False, indent=2, sort_keys=True)


@pytest.mark.parametrize("items", [[], [1], [{"a": [1]}, "b", []]])
def test_an_iterator_is_an_array_made_while_it_is_written(items: list[Any]) -> None:
    made = []

    def one_by_one() -> Any:
        for item in items:
            made.append(item)
            yield item

    pieces = json_pieces({"first": 1, "items": one_by_one(), "last": 2})
    text = next(pieces)
    assert not made
    text += "".join(pieces)
    assert text == json.dumps({"first": 1, "items": items, "last": 2}, indent=2)
