"""Every shipped template on the bench: each raised part gets its center line, and what cannot be made is held by name."""

import io
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
import shapely

from schedule2sign.layout.gallery import sample_request
from schedule2sign.model.flag import holds
from schedule2sign.model.job import Status
from schedule2sign.model.settings import Settings
from schedule2sign.pipeline import build_job
from schedule2sign.production.plan import plan_bench
from schedule2sign.production.process import load_process
from schedule2sign.signmaker import find_templates, make_samples
from schedule2sign.writers.sheets import Sheets
from schedule2sign.writers.sign_dxf import SignDxf

SYMBOLS = {"door-all", "door-men", "door-women"}  # 1/4 in thick, CBC 11B-703.7.2.6: not from the plates' stock
DRILL_RADIUS_IN = 0.0615 / 2


@pytest.fixture(scope="module")
def empty_job(tmp_path_factory: pytest.TempPathFactory):
    schedule = tmp_path_factory.mktemp("templates") / "doors.csv"
    schedule.write_text("DOOR,ROOM NO,ROOM NAME\n101,101,STORAGE\n", encoding="utf-8")
    return build_job([Path(schedule)], Settings())


@pytest.mark.parametrize("standard", ["us-ada-2010", "us-california"])
def test_every_template_can_be_cut(empty_job, standard):
    settings = Settings(standard=standard)
    records = make_samples([sample_request(template) for template in find_templates(settings).values()], settings)
    bench_codes = {
        record.request.template: {
            flag.code for flag in record.flags if flag.code.startswith("production/") and holds((flag,))
        }
        for record in records
    }
    assert {name for name, codes in bench_codes.items() if codes} == SYMBOLS
    released = tuple(
        replace(record, status=Status.RELEASED, flags=(), drawn_as=("signs/{id}.dxf",))
        for record in records
        if record.layout is not None and record.request.template not in SYMBOLS
    )
    assert len(released) >= 15
    job = replace(empty_job, signs=released)
    job = replace(job, bench=plan_bench(job, load_process()))
    assert sum(1 for _ in Sheets().render(job)) >= 2
    for record, file in zip(released, SignDxf().render(job), strict=True):
        space = ezdxf.read(io.StringIO(file.data.decode("ascii"), newline=None)).modelspace()

        def rings(*layers, space=space):
            found = [entity for entity in space if entity.dxftype() == "LWPOLYLINE" and entity.dxf.layer in layers]
            return [shapely.LinearRing([(x, y) for x, y, *_ in entity.get_points()]) for entity in found]

        raised, cuts = rings("RAISED_OUTLINE", "PICTOGRAM"), rings("RAISED_CUT")
        grooves = shapely.union_all([cut.buffer(0.0144 + 0.0005) for cut in cuts])
        for ring in raised:
            # The groove runs along every finished edge: all of it but the corners of counters it cannot reach.
            assert ring.intersection(grooves).length > 0.75 * ring.length, record.request.template
        walls = shapely.union_all([*raised, *rings("PLATE_EDGE", "WINDOW")])
        for circle in space.query("CIRCLE[layer=='BRAILLE_DRILL']"):
            center = shapely.Point(circle.dxf.center.x, circle.dxf.center.y)
            assert walls.distance(center) > DRILL_RADIUS_IN, record.request.template
