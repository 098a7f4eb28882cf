"""Every sign template, a third in each style, read back and judged again: what agrees may not be called a difference."""

from dataclasses import replace
from pathlib import Path

import pytest

from schedule2sign.layout.gallery import sample_request
from schedule2sign.model.job import Status
from schedule2sign.model.settings import Settings
from schedule2sign.pipeline import build_job
from schedule2sign.recheck.verify import verify_folder
from schedule2sign.signmaker import find_templates, make_samples
from schedule2sign.writers.commit import commit
from schedule2sign.writers.manifest import Manifest
from schedule2sign.writers.sign_dxf import SignDxf
from schedule2sign.writers.sign_svg import SignSvg


@pytest.mark.parametrize(
    ("settings", "share"),
    [
        (Settings(templates="signs", standard="us-ada-2010", font="Lato-Regular.ttf"), 0),
        (Settings(templates="signs-framed", standard="us-california", font="Inter-Regular.otf"), 1),
        (Settings(templates="signs", standard="de", font="RobotoCondensed-Regular.ttf"), 2),
    ],
)
def test_every_template_reads_back_as_it_was_drawn(tmp_path: Path, settings: Settings, share: int) -> None:
    schedule = tmp_path / "doors.csv"
    schedule.write_text("DOOR,ROOM NO,ROOM NAME\n101,101,CLASSROOM\n", encoding="utf-8")
    templates = dict(list(find_templates(settings).items())[share::3])
    requests = [replace(sample_request(template), sign_id=f"S-{name}") for name, template in templates.items()]
    records = tuple(
        replace(
            record,
            status=Status.RELEASED,  # whatever a sample is flagged for: here it is only drawn
            flags=(),
            drawn_as=("signs/{id}.dxf", "signs/{id}.svg"),
        )
        for record in make_samples(requests, settings)
        if record.layout is not None
    )
    job = replace(build_job([schedule], settings), signs=records, bench=None)
    commit((file for writer in (Manifest(), SignDxf(), SignSvg()) for file in writer.render(job)), tmp_path / "out")
    report = verify_folder(tmp_path / "out")
    assert report.differences == ()
    assert report.signs == len(records) == len(templates)
    assert report.drawings == 2 * len(records)
