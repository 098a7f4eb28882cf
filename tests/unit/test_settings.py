"""The job file: what it sets, and that every mistake is named."""

from pathlib import Path

import pytest

from schedule2sign.errors import InputError
from schedule2sign.model.schedule import Field
from schedule2sign.model.settings import Finality, Settings, SuffixMeaning
from schedule2sign.settings import load_settings


def write(folder: Path, text: str) -> Path:
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_an_empty_job_file_is_the_defaults(tmp_path: Path) -> None:
    assert load_settings(write(tmp_path, "")) == Settings()


def test_every_table_is_read(tmp_path: Path) -> None:
    settings = load_settings(
        write(
            tmp_path,
            """
            sheets = ["DOORS"]
            [job]
            id = "K7"
            title = "Kestrel Hall"
            revision = "B"
            numbers = "final"
            suffix = "door"
            [standard]
            id = "us-california"
            [make]
            raised = "1/32 in"
            side_deg = 0
            base_reflectance = 9
            [wording]
            men = "MEN'S RESTROOM"
            [lexicon]
            names = ["VALE"]
            [lexicon.abbreviations]
            PT = "PHYSICAL THERAPY"
            [columns]
            name = "BEZEICHNUNG"
            """,
        )
    )
    assert (settings.job, settings.title, settings.revision) == ("K7", "Kestrel Hall", "B")
    assert settings.finality is Finality.FINAL
    assert settings.suffix is SuffixMeaning.DOOR
    assert settings.standard == "us-california"
    assert settings.raised_mm == 0.79375  # 1/32 in, exactly
    assert settings.side_deg == 0.0
    assert settings.base_reflectance == 9.0
    assert settings.wording.men == "MEN'S RESTROOM"
    assert settings.wording.women == "WOMEN"
    assert settings.lexicon.names == ("VALE",)
    assert settings.lexicon.abbreviations == (("PT", "PHYSICAL THERAPY"),)
    assert settings.columns == ((Field.ROOM_NAME, "BEZEICHNUNG"),)
    assert settings.sheets == ("DOORS",)


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("[job]\nid = 'a/b'", "job.id is 'a/b'"),
        ("[job]\nid = 7", "job.id must be text"),
        ("[job]\nnumbers = 'maybe'", "'final', 'not final', 'unknown'"),
        ("[jobs]\nid = 'A'", "'jobs', which means nothing here"),
        ("[wording]\nmens = 'MEN'", "'mens', which means nothing here"),
        ("[columns]\nroom = 'X'", "columns is 'room'"),
        ("[make]\nraised = '0.03'", "has no unit"),
        ("[make]\nraised = 'thick'", "is not a length"),
        ("[make]\nbase_reflectance = 120", "from 0 to 100"),
        ("[lexicon]\nnames = 'VALE'", "must be a list of texts"),
        ("job = 'A'", "job must be a table"),
        ("[job", "not valid TOML"),
    ],
)
def test_a_mistake_is_named(tmp_path: Path, text: str, named: str) -> None:
    with pytest.raises(InputError, match=r"[Jj]ob file") as caught:
        load_settings(write(tmp_path, text))
    assert named in str(caught.value)


def test_a_missing_file_and_wrong_bytes_are_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        load_settings(tmp_path / "none.toml")
    path = tmp_path / "job.toml"
    path.write_bytes(b"[job]\ntitle = '\xff'")
    with pytest.raises(InputError, match="not UTF-8 text"):
        load_settings(path)


def test_page_per_floor_is_true_or_false(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text("[proof]\npage_per_floor = true\n")
    assert load_settings(path).page_per_floor is True
    path.write_text("[proof]\npage_per_floor = 1\n")
    with pytest.raises(InputError, match=r"proof\.page_per_floor must be true or false, not 1"):
        load_settings(path)
    path.write_text("[proof]\npage_per_level = true\n")
    with pytest.raises(InputError, match="page_per_level"):
        load_settings(path)
