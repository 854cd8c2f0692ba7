"""Work order and template as read back from their PDFs by libraries that did not write them."""

import io
import re
from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pdfplumber
import pytest
import trimesh
from scipy.spatial import cKDTree
from scipy.spatial.transform import Rotation

from limbwright.core.findings import Finding, Severity
from limbwright.core.frame import Side
from limbwright.couple.plan import CouplingKind
from limbwright.make.workorder import picture
from limbwright.make.workorder.bench_tables import height_table, height_words, material_rows
from limbwright.make.workorder.order import work_order_pdf
from limbwright.make.workorder.panels import tags_of
from limbwright.make.workorder.shape_tables import AROUND, area_table, trim_table
from limbwright.make.workorder.template import section_levels, template_pdf
from limbwright.make.workorder.verdict_tables import (
    case_table,
    force_table,
    force_words,
    weakest_words,
)
from limbwright.make.workorder.wording import number
from limbwright.prove.plan import SocketProcess
from limbwright.shape.plan import AreaName
from order_sheets import (
    POINTS_PER_MM,
    demo_sheet,
    mirrored,
    page_texts,
    undrawn_glyphs,
)

pytestmark = pytest.mark.slow

HOSTILE = '#panic("x") [ ] $ /* */ // " \\ @x <y> \u6f22\u202e'


@pytest.fixture(scope="module")
def sheet(demo_folder):
    return demo_sheet(demo_folder)


@pytest.fixture(scope="module", params=list(Side), ids=lambda side: side.value)
def sided(sheet, request):
    return sheet if request.param is sheet.person.side else mirrored(sheet)


@pytest.fixture(scope="module")
def order(sided):
    return work_order_pdf(sided)


@pytest.fixture(scope="module")
def template(sided):
    return template_pdf(sided)


def opened(pdf):
    return pdfplumber.open(io.BytesIO(pdf))


def test_every_page_says_the_side_and_that_the_person_is_invented(sided, order, template):
    own = sided.person.side.value.upper()
    other = "LEFT" if own == "RIGHT" else "RIGHT"
    for pdf in (order, template):
        for text in page_texts(pdf):
            head = text[:200]
            assert own in head
            assert "INVENTED PERSON, NOT FOR USE" in head
            assert "never makes it" in text
            assert other not in text


@pytest.mark.usefixtures("coarse_pictures")
def test_a_real_person_is_not_marked_invented(sheet):
    for text in page_texts(work_order_pdf(replace(sheet, invented=False))):
        assert "INVENTED" not in text


def test_no_sign_is_shown_as_an_empty_box(order, template):
    assert undrawn_glyphs(order) == 0
    assert undrawn_glyphs(template) == 0


def test_the_same_sheet_gives_the_same_bytes(sided, order, template):
    assert work_order_pdf(sided) == order
    assert template_pdf(sided) == template


def test_no_two_words_overlap_and_none_leaves_the_page(order):
    with opened(order) as pdf:
        for page in pdf.pages:
            words = page.extract_words(use_text_flow=False, keep_blank_chars=False)
            boxes = np.array([[w["x0"], w["top"], w["x1"], w["bottom"]] for w in words])
            assert boxes[:, 0].min() > 12 * POINTS_PER_MM
            assert boxes[:, 2].max() < page.width - 12 * POINTS_PER_MM
            for (a, first), (b, second) in combinations(zip(words, boxes, strict=True), 2):
                wide = min(first[2], second[2]) - max(first[0], second[0])
                high = min(first[3], second[3]) - max(first[1], second[1])
                assert wide < 1.0 or high < 3.0, (page.page_number, a["text"], b["text"])


def test_names_in_drawings_are_large_enough_to_read(order):
    with opened(order) as pdf:
        letters = [letter for page in pdf.pages for letter in page.chars]
        assert min(letter["size"] for letter in letters) >= 6.4
        drawn = [page for page in pdf.pages if "scale 1:" in page.extract_text()]
        words = [word for page in drawn for word in page.extract_words(extra_attrs=["size"])]
    for name in ("spacing", "body", "plumb", "datum;", "tube", "anterior", "ANTERIOR"):
        sizes = [word["size"] for word in words if word["text"] == name]
        assert sizes
        assert min(sizes) >= 8.0


def test_pages_are_filled_and_no_heading_stands_last(order):
    with opened(order) as pdf:
        for page in pdf.pages[:-1]:
            words = page.extract_words(extra_attrs=["size"])
            body = [word for word in words if word["bottom"] < page.height - 20 * POINTS_PER_MM]
            lowest = max(body, key=lambda word: word["bottom"])
            assert lowest["bottom"] > 0.55 * page.height
            assert lowest["size"] < 12


@pytest.mark.usefixtures("coarse_pictures")
def test_what_stops_the_job_stands_on_the_first_page(sheet):
    stop = Finding(
        "align",
        "made-up",
        Severity.STOP,
        "The test says stop.",
        value=3.0,
        unit="mm",
        remedy="another test",
    )
    stopped = page_texts(work_order_pdf(replace(sheet, findings=(stop,))))
    assert "Do not make this socket" in stopped[0]
    assert "The test says stop." in stopped[0]
    assert "Would change it: another test." in stopped[0]
    assert " ".join(stopped).count("Would change it: another test.") == 2
    free = page_texts(work_order_pdf(replace(sheet, findings=())))
    assert "No finding stops this job" in free[0]


@pytest.mark.usefixtures("coarse_pictures")
def test_what_does_not_hold_leads_on_the_first_page_before_what_is_not_established(sheet):
    unknown = Finding("assess", "made-up", Severity.NOT_ESTABLISHED, "Nobody knows this.")
    weak = Finding(
        "prove",
        "strength-made-up",
        Severity.WARNING,
        "Holds 20 % of the reference load.",
        value=57.0,
        limit=11.4,
        unit="MPa",
    )
    first = page_texts(work_order_pdf(replace(sheet, findings=(unknown, weak))))[0]
    assert first.index("Does not hold") < first.index("Holds 20 %") < first.index("Read before")
    strong = replace(weak, value=8.0)
    assert (
        "Does not hold"
        not in page_texts(work_order_pdf(replace(sheet, findings=(unknown, strong))))[0]
    )


def test_the_order_says_what_the_sheet_holds(sided, order):
    text = told(order)
    alignment, shape = sided.alignment, sided.shape
    for girth in shape.girths[1:]:
        assert f"{girth.model_mm:.1f}" in text
        assert f"{girth.lined_mm:.1f}" in text
    assert f"{alignment.settings['pylon'][0]:.1f}" in text
    assert sided.proof.interface.label.partition(":")[2].split(";")[0].strip() in text
    assert "FIRST ESTIMATE" in text
    for caution in sided.cautions:
        assert caution[:60] in text
    for area in shape.areas:
        assert area.name.value.replace("_", " ") in text
    assert text.count("not a conformity test") <= 4


def test_screws_stand_true_to_size_on_the_template(sided, template):
    with opened(template) as pdf:
        page = pdf.pages[0]
        rounds = [
            mark
            for mark in [*page.curves, *page.rects]
            if abs(mark["width"] - mark["height"]) < 0.05
        ]
        screw = sided.couple_plan.coupling.screw_diameter_mm * POINTS_PER_MM
        middles = np.array(
            [
                [0.5 * (mark["x0"] + mark["x1"]), 0.5 * (mark["top"] + mark["bottom"])]
                for mark in rounds
                if mark["width"] == pytest.approx(screw, abs=0.1)
            ]
        )
        assert len(middles) == 4
        side = sided.couple_plan.coupling.screw_square_mm * POINTS_PER_MM
        assert np.ptp(middles, axis=0) == pytest.approx([side, side], abs=0.05)
        level = [mark["width"] for mark in [*page.lines, *page.curves] if mark["height"] < 0.5]
        assert min(abs(width - 100 * POINTS_PER_MM) for width in level) < 0.05


def words_on(page):
    return {word["text"]: 0.5 * (word["x0"] + word["x1"]) for word in page.extract_words()}


def test_sides_are_named_right_from_below_and_from_above(sided, template):
    """From below, front up, the patient's right is on the paper's left; from above it is right."""
    lateral_is_right = sided.person.side is Side.RIGHT
    with opened(template) as pdf:
        below, above = words_on(pdf.pages[0]), words_on(pdf.pages[1])
    assert (below["LATERAL"] < below["MEDIAL"]) == lateral_is_right
    assert (above["LATERAL"] > above["MEDIAL"]) == lateral_is_right
    exit_right = sided.coupling.seat.exit_direction[0] * (1 if lateral_is_right else -1)
    assert (below["exit"] > 0.5 * 210 * POINTS_PER_MM) == (exit_right < 0)


def test_sections_are_those_of_the_positive_model_not_mirrored(sided, template):
    """Oracle: trimesh cuts the part as it is made, in the patient's frame (x to the right)."""
    positive = trimesh.Trimesh(
        sided.made.positive.mesh.vertices, sided.made.positive.mesh.faces, process=False
    )
    with opened(template) as pdf:
        for page, level in zip(pdf.pages[1:], section_levels(sided), strict=True):
            outline = max([*page.curves], key=lambda mark: mark["width"] * mark["height"])
            paper = np.array(outline["pts"]) * [1, -1] / POINTS_PER_MM
            cut = positive.section(plane_origin=[0, 0, -level], plane_normal=[0, 0, 1])
            true = np.asarray(cut.discrete[0])[:, :2]
            true = true[np.linalg.norm(np.diff(true, axis=0, append=true[:1]), axis=1) > 0]
            assert off(paper, true) < 0.35
            assert off(paper * [-1, 1], true) > 1.0
            assert np.ptp(paper, axis=0) == pytest.approx(np.ptp(true, axis=0), abs=0.1)


def off(points, outline):
    """Largest distance of points from an outline, middles of their boxes laid together, mm."""
    closed = np.vstack([outline, outline[:1]])
    fine = np.concatenate([np.linspace(a, b, 20) for a, b in pairwise(closed)])
    middle = [0.5 * (item.min(axis=0) + item.max(axis=0)) for item in (points, outline)]
    return cKDTree(fine - middle[1]).query(points - middle[0])[0].max()


def test_an_outline_larger_than_the_paper_is_refused_not_shrunk(sheet):
    surface = sheet.shape.model
    wide = replace(
        sheet.shape, model=type(surface)(surface.vertices * [1.9, 1.9, 1], surface.faces)
    )
    texts = page_texts(template_pdf(replace(sheet, shape=wide)))
    refused = [text for text in texts[1:] if "Not drawn" in text]
    assert refused
    assert all("100 mm" not in text.split("Not drawn")[1] for text in refused)


@pytest.fixture
def coarse_pictures(monkeypatch):
    """Pictures of few pixels, where they are not what is looked at."""
    monkeypatch.setattr(picture, "PIXELS_PER_MM", 0.4)


def told(pdf):
    """The whole text, its lines joined."""
    return re.sub(r"\s+", " ", " ".join(page_texts(pdf)))


@pytest.mark.usefixtures("coarse_pictures")
@pytest.mark.parametrize("kind", list(CouplingKind))
def test_every_kind_of_coupling_has_its_order(sheet, kind):
    plan = sheet.couple_plan
    coupling = plan.coupling.model_copy(update={"kind": kind})
    bodiless = kind not in (CouplingKind.PIN, CouplingKind.MAGNET, CouplingKind.LANYARD)
    seat = replace(sheet.coupling.seat, kind=kind)
    changed = replace(
        sheet,
        couple_plan=plan.model_copy(update={"coupling": coupling}),
        coupling=replace(sheet.coupling, seat=seat),
    )
    text = told(work_order_pdf(changed))
    assert kind.value in text
    assert ("socket's own floor" in text) == bodiless
    assert "exit" in page_texts(template_pdf(changed))[0] or bodiless


def poor(sheet):
    """Sheets that lack what most have."""
    shape, proof, interface = sheet.shape, sheet.proof, sheet.proof.interface
    bare = replace(
        sheet,
        shape=replace(shape, areas=(), liner_mm=np.zeros_like(shape.liner_mm)),
        shape_plan=sheet.shape_plan.model_copy(update={"areas": (), "take_up": ()}),
    )
    first = replace(interface, cases=interface.cases[:1])
    height = replace(sheet.coupling.height, pylon_mm=-12.5)
    return {
        "no areas, no liner": bare,
        "no strength": replace(
            sheet,
            proof=replace(proof, strength=()),
            assessment=replace(sheet.assessment, load_level=None),
        ),
        "no checks": replace(sheet, proof=replace(proof, strength=(), suspension=())),
        "one load case": replace(sheet, proof=replace(proof, interface=first)),
        "no load case": replace(
            sheet,
            proof=replace(
                proof,
                interface=replace(interface, cases=()),
                coupling_tilt_deg={},
                coupling_offset_mm={},
            ),
        ),
        "no tube": replace(sheet, coupling=replace(sheet.coupling, height=height)),
        "hostile title": replace(
            sheet,
            title=(HOSTILE * 4)[:120],
            person=sheet.person.model_copy(update={"code": HOSTILE[:40]}),
        ),
        "no findings": replace(sheet, findings=()),
    }


@pytest.mark.usefixtures("coarse_pictures")
@pytest.mark.parametrize(
    ("which", "says"),
    [
        ("no areas, no liner", "No area is asked for"),
        ("no strength", "No reference load is established"),
        ("no checks", "Nothing could be checked"),
        ("one load case", "FIRST ESTIMATE"),
        ("no load case", "there is no pressure to show"),
        ("no tube", "87.5 mm are missing"),
        ("hostile title", "U+6F22"),
        ("no findings", "No finding stops this job"),
    ],
)
def test_a_sheet_that_lacks_something_says_so(sheet, which, says):
    changed = poor(sheet)[which]
    text = told(work_order_pdf(changed))
    assert says in text
    assert template_pdf(changed).startswith(b"%PDF")


def test_parts_that_do_not_fit_are_told_with_the_shortfall(sheet):
    height = replace(sheet.coupling.height, pylon_mm=60.0, pylon_minimum_mm=75.0)
    short = replace(sheet, coupling=replace(sheet.coupling, height=height))
    assert "15.0 mm are missing" in height_words(short)


def test_a_tilted_body_s_own_height_stands_beside_what_it_rises(sheet):
    rises = next(one for one in sheet.coupling.height.items if one.name == "coupling body")
    own_mm = rises.height_mm + 0.3
    seat = replace(sheet.coupling.seat, body_height_mm=own_mm)
    tilted = replace(sheet, coupling=replace(sheet.coupling, seat=seat))
    row = next(line for line in height_table(tilted).splitlines() if "coupling body" in line)
    assert f"{own_mm:.1f} tilted" in row
    assert f"{rises.height_mm:.1f}" in row
    upright = replace(seat, body_height_mm=rises.height_mm)
    told_upright = height_table(replace(sheet, coupling=replace(sheet.coupling, seat=upright)))
    assert "tilted" not in told_upright


def test_the_trim_line_is_told_every_45_degrees(sided):
    rows = dict(re.findall(r'#"([a-z]+)";\], \[#"(−?[\d.]+)";', trim_table(sided)))
    assert len(rows) == 8
    line = sided.shape.trim.points_mm
    angle = np.degrees(np.arctan2(line[:, 1], line[:, 0])) % 360
    for step, name in enumerate(AROUND):
        off = np.abs((angle - 45 * step + 180) % 360 - 180)
        told_mm = float(rows[name].replace("−", "-"))
        assert told_mm == pytest.approx(line[np.argmin(off), 2], abs=2.5)
    plan = sided.shape_plan.trim
    for name, height in (("anterior", plan.anterior_mm), ("posterior", plan.posterior_mm)):
        assert float(rows[name].replace("−", "-")) == pytest.approx(height, abs=0.5)


def test_quantities_are_those_of_the_parts_by_another_library(sheet):
    rows = dict(material_rows(sheet))
    model = trimesh.Trimesh(sheet.shape.model.vertices, sheet.shape.model.faces, process=False)
    assert f"{model.area / 100:.0f} cm²" in rows["Inside of the socket"]
    for name, part in (("Socket shell", sheet.made.shell), ("Positive model", sheet.made.positive)):
        body = trimesh.Trimesh(part.mesh.vertices, part.mesh.faces, process=False)
        assert f"{body.volume / 1000:.0f} ml" in rows[name]
        assert " × ".join(f"{extent:.0f}" for extent in body.extents) in rows[name]


def test_cloth_is_counted_for_all_layers(sheet):
    plan = sheet.prove_plan.model_copy(
        update={"process": SocketProcess.LAMINATED, "layers": 8, "layer_mm": 0.5}
    )
    rows = dict(material_rows(replace(sheet, prove_plan=plan)))
    model = trimesh.Trimesh(sheet.shape.model.vertices, sheet.shape.model.faces, process=False)
    assert f"{8 * model.area / 1e6:.2f} m²" in rows["Cloth or tape"]
    assert "8 of 0.50 mm, together 4.0 mm" in rows["Layers"]


def test_forces_along_the_leg_and_the_weakest_place_stand_in_the_order(sheet):
    detail = sheet.proof.strength_detail
    rows = force_table(detail)
    _, forefoot = detail.forces
    base = forefoot.part.count("socket") - 1
    for name in ("socket base", "pylon, upper end", "ankle"):
        assert name in rows
    assert f"{forefoot.bending_n_m[base]:.0f}" in rows
    assert f"{forefoot.force_n:.0f} N" in force_words(detail)
    assert detail.weakest.check in weakest_words(detail)
    assert f"{100 * detail.weakest.share:.0f} %" in weakest_words(detail)
    unknown = replace(detail, weakest=None)
    assert "not established" in weakest_words(unknown)


def test_the_limb_sinks_where_its_balance_is_told_in_the_middle_of_the_socket(sheet):
    case = sheet.proof.interface.cases[0]
    turned = replace(case.pose, turn_rad=np.array([0.03, 0.02, 0.0]))
    told = replace(
        sheet.proof,
        interface=replace(sheet.proof.interface, cases=(replace(case, pose=turned),)),
        socket_middle_mm=np.array([8.0, -20.0, -60.0]),
    )
    middle = told.socket_middle_mm
    goes = Rotation.from_rotvec(turned.turn_rad).apply(middle) - middle + turned.shift_mm
    assert number(-float(goes[2]), 1) in case_table(replace(sheet, proof=told))
    assert number(-float(turned.shift_mm[2]), 1) not in case_table(replace(sheet, proof=told))


def test_a_moved_area_is_told_in_the_patients_directions(sheet):
    """Around is anti-clockwise from lateral by way of anterior: a lateral area goes forward."""
    areas = tuple(
        plan.model_copy(update={"move_around_mm": 6.0, "move_distal_mm": -4.0})
        for plan in sheet.shape_plan.areas
    )
    moved = replace(sheet, shape_plan=sheet.shape_plan.model_copy(update={"areas": areas}))
    table = area_table(moved, tags_of(moved))
    assert "4 up, 6 anterior" in table
    rows = {plan.name: row for plan, row in zip(areas, table.splitlines()[2:], strict=False)}
    assert "4 up, 6 anterior" in rows[AreaName.FIBULAR_SHAFT]
    assert "4 up, 6 medial" in rows[AreaName.PATELLAR_TENDON]
