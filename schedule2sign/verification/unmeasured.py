"""Rules that geometry alone cannot judge, from a table."""

import tomllib
from functools import cache
from pathlib import Path

_TABLE = Path(__file__).resolve().parent / "unmeasured.toml"


@cache
def load_unmeasured(*, font: bool) -> dict[str, str]:
    """Rule -> why it cannot be judged; more of them where the font is not at hand."""
    data = tomllib.loads(_TABLE.read_text(encoding="utf-8"))
    without = {} if font else {rule: f"{why}; the font is not at hand" for rule, why in data["without_font"].items()}
    return {**data["never"], **without}
