"""Nested plates never overlap, keep their gap and stay inside the margins, whatever their sizes (shapely is the judge)."""

import functools
import itertools

import rectpack
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from schedule2sign.model.process import Stock
from schedule2sign.production.drilling import plan_runs, spanning_length
from schedule2sign.production.nesting import Piece, nest_plates
from schedule2sign.production.packing import first_fit, quick_sheet

IN = 25.4
# Sizes in eighths of an inch, and sizes in no grid at all.
side = st.one_of(st.integers(16, 88).map(lambda n: n * IN / 8), st.floats(40, 270))
stocks = st.builds(
    Stock,
    width_mm=st.sampled_from([24 * IN, 48 * IN, 610.0]),
    height_mm=st.sampled_from([12 * IN, 24 * IN, 305.0]),
    margin_mm=st.sampled_from([0.0, 0.25 * IN, 0.5 * IN]),
    gap_mm=st.sampled_from([0.125 * IN, 0.25 * IN, 3.3]),
    plate_cutter_mm=st.just(0.125 * IN),
    grain=st.booleans(),
    plate_feed_mm_s=st.just(25.4),
    plate_passes=st.just(2),
)


@given(sizes=st.lists(st.tuples(side, side), min_size=1, max_size=25), copies=st.integers(1, 4), stock=stocks)
@settings(max_examples=60, deadline=None)
def test_plates_never_overlap_and_stay_inside(sizes, copies, stock):
    room = min(stock.width_mm, stock.height_mm) - 2 * stock.margin_mm
    plates = [
        Piece(
            sign_id=f"S{index}",
            copy=copy,
            width_mm=min(width, room),
            height_mm=min(height, room),
            stock=f"c{index % 2}",
        )
        for index, (width, height) in enumerate(sizes)
        for copy in range(copies)
    ]
    nests = nest_plates(plates, stock)
    placed = [(plate.sign_id, plate.copy) for nest in nests for sheet in nest.sheets for plate in sheet.plates]
    assert sorted(placed) == sorted((plate.sign_id, plate.copy) for plate in plates)
    by_name = {(plate.sign_id, plate.copy): plate for plate in plates}
    for nest in nests:
        assert nest.bound <= len(nest.sheets)
        for sheet in nest.sheets:
            inside = shapely.box(
                stock.margin_mm, stock.margin_mm, stock.width_mm - stock.margin_mm, stock.height_mm - stock.margin_mm
            ).buffer(1e-3)
            boxes = []
            for plate in sheet.plates:
                made = by_name[plate.sign_id, plate.copy]
                size = (made.height_mm, made.width_mm) if plate.turned else (made.width_mm, made.height_mm)
                assert (plate.width_mm, plate.height_mm) == size
                assert not (stock.grain and plate.turned)
                assert made.stock == nest.stock
                corners = [plate.place(corner) for corner in ((0, 0), (made.width_mm, made.height_mm))]
                boxes.append(shapely.box(*map(min, *corners), *map(max, *corners)))
                assert inside.contains(boxes[-1])
            for a, b in itertools.combinations(boxes, 2):
                assert a.distance(b) >= stock.gap_mm - 1e-3
            area = sum(box.area for box in boxes)
            usable = (stock.width_mm - 2 * stock.margin_mm) * (stock.height_mm - 2 * stock.margin_mm)
            assert abs(sheet.used_share - area / usable) < 1e-9


@given(
    sizes=st.lists(st.tuples(st.integers(1, 9), st.integers(1, 9)), min_size=1, max_size=60),
    room=st.tuples(st.integers(9, 24), st.integers(9, 24)),
    rotation=st.booleans(),
    bin_way=st.sampled_from([rectpack.PackingBin.BFF, rectpack.PackingBin.BBF]),
    pack_way=st.sampled_from([rectpack.MaxRectsBssf, rectpack.MaxRectsBaf]),
)
@settings(max_examples=150, deadline=None)
def test_sheets_are_packed_as_the_library_packs_them(sizes, room, rotation, bin_way, pack_way):
    def pack(way):
        packer = rectpack.newPacker(bin_algo=bin_way, pack_algo=way, rotation=rotation)
        for index, size in enumerate(sizes):
            packer.add_rect(*size, index)
        packer.add_bin(*room, count=float("inf"))
        packer.pack()
        return [sheet.rect_list() for sheet in packer]

    assert pack(quick_sheet(pack_way)) == pack(pack_way)
    if bin_way is rectpack.PackingBin.BFF:
        rects = rectpack.SORT_AREA([(*size, index) for index, size in enumerate(sizes)])
        sheets = first_fit(rects, functools.partial(quick_sheet(pack_way), *room, rot=rotation))
        assert [sheet.rect_list() for sheet in sheets] == pack(pack_way)


@given(st.lists(st.tuples(st.floats(0, 200), st.floats(0, 100)), max_size=30, unique=True), st.sampled_from([0.0, 0.5]))
@settings(max_examples=100, deadline=None)
def test_a_run_visits_every_hole_in_order_and_no_tour_is_below_the_bound(holes, run_in):
    (run,) = plan_runs([holes], run_in)
    rest = iter(run.points)
    assert all(hole in rest for hole in holes)
    assert run.length_mm >= run.bound_mm - 1e-6
    assert run.bound_mm == spanning_length(holes)


@given(st.lists(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), max_size=40), max_size=70))
@settings(max_examples=40, deadline=None)
def test_sheets_spanned_together_are_spanned_as_alone(sheets):
    runs = list(plan_runs(sheets, 0.0))
    assert [(run.holes, run.bound_mm) for run in runs] == [(len(holes), spanning_length(holes)) for holes in sheets]
