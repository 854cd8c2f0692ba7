import pytest

from coupling_bodies import person, seat_on
from limbwright.assess.plan import Activity
from limbwright.case.parts_file import example_parts, parse_parts
from limbwright.core.findings import Severity
from limbwright.core.sources import Basis
from limbwright.couple.alternatives import alternative_findings, alternatives
from limbwright.couple.build_height import build_height
from limbwright.couple.catalogue import Catalogue
from limbwright.couple.plan import CouplePlan, CouplingPlan, PartsPlan

PARTS = PartsPlan(
    datum_floor_mm=400.0,
    plate_mm=15.0,
    socket_adapter_mm=20.0,
    foot_adapter_mm=20.0,
    foot_mm=70.0,
    shoe_heel_mm=10.0,
    pylon_minimum_mm=70.0,
)
PLAN = CouplePlan(coupling=CouplingPlan(body_height_mm=30.0, spacing_mm=3.0), parts=PARTS)


def entry(key, kind, height_mm, **more):
    size = {
        "magnet-lock": {"body_diameter_mm": 55.0},
        "pin-lock": {"body_diameter_mm": 55.0},
        "foot": {"length_mm": 250.0},
        "tube-clamp": {"outside_mm": 44.0, "insert_mm": 36.0},
    }[kind]
    fields = {"height_mm": height_mm, **size, **more}
    head = f'[[part]]\nkey = "{key}"\nkind = "{kind}"\nprovenance = "measured"\ndate = 2026-03-01\n'
    return head + "\n".join(f"{name} = {value!r}" for name, value in fields.items()) + "\n"


def catalogue(*entries):
    return Catalogue(parts=parse_parts("\n".join(entries).encode(), "parts.toml"))


def short_by(missing_mm):
    """A limb so long that the tube is that much too short: 178 mm fit, cap and liner included."""
    # 400 = end + 10 + 3 + 30 + 10 + 15 + 20 + 20 + 70 + 10 + tube; tube = 70 at an end of 142
    end_mm = 142.0 + missing_mm
    return build_height(seat_on(PLAN.coupling, end_mm=end_mm), PLAN, person())


def found(missing_mm, *entries, who=None):
    height = short_by(missing_mm)
    seat = seat_on(PLAN.coupling, end_mm=142.0 + missing_mm)
    return alternatives(height, seat, PLAN, who or person(), catalogue(*entries)), height


def test_what_fits_asks_for_no_alternative():
    others, height = found(-5.0, entry("low", "foot", 50.0))
    assert others == ()
    assert alternative_findings(others, height) == ()


def test_a_lower_part_that_gives_the_missing_millimetres_is_named_with_what_is_left():
    others, height = found(17.0, entry("low", "foot", 50.0), entry("tall", "foot", 60.0))
    (only,) = others
    assert [swap.key for swap in only.swaps] == ["low"]
    assert only.spare_mm == pytest.approx(3.0)  # 20 mm lower, 17 missing
    told = alternative_findings(others, height)[0]
    assert told.severity is Severity.NOTE
    assert "17.0 mm being missing" in told.text
    assert "foot low" in told.text
    assert told.value == pytest.approx(3.0)


def test_the_rank_is_height_to_spare_then_what_it_holds_then_mass():
    others, _ = found(
        5.0,
        entry("b", "magnet-lock", 20.0, capacity_n=150.0, mass_kg=0.1),
        entry("a", "magnet-lock", 20.0, capacity_n=190.0, mass_kg=0.3),
        entry("c", "magnet-lock", 20.0, capacity_n=190.0, mass_kg=0.2),
        entry("low", "foot", 50.0),
    )
    assert [one.swaps[0].key for one in others] == ["low", "c", "a", "b"]


def test_two_parts_are_exchanged_only_where_one_does_not_suffice():
    others, _ = found(25.0, entry("low", "foot", 50.0), entry("flat", "magnet-lock", 22.0))
    assert [{swap.key for swap in one.swaps} for one in others] == [{"low", "flat"}]
    assert others[0].spare_mm == pytest.approx(3.0)


def test_a_part_that_does_not_admit_the_person_is_no_alternative():
    low = entry("low", "foot", 50.0, max_body_mass_kg=75.0)
    assert found(10.0, low)[0] == ()
    light = person(mass_kg=70.0)
    assert len(found(10.0, low, who=light)[0]) == 1
    slow = entry("slow", "foot", 50.0, max_activity="K2")
    assert found(10.0, slow, who=person(activity=Activity.K3))[0] == ()


def test_a_coupling_of_another_kind_is_named_as_such():
    others, height = found(10.0, entry("pin", "pin-lock", 18.0, capacity_n=400.0))
    assert others[0].swaps[0].kind == "pin-lock"
    assert "pin-lock" in alternative_findings(others, height)[0].text


def test_nothing_that_fits_is_told_too():
    others, height = found(90.0, entry("low", "foot", 60.0))
    assert others == ()
    told = alternative_findings(others, height)[0]
    assert told.code == "no-part-would-fit"
    assert told.severity is Severity.WARNING


def test_examples_stand_in_only_where_the_user_has_none_and_are_marked():
    both = catalogue(example_parts().decode(), entry("low", "foot", 52.0))
    height = short_by(15.0)
    seat = seat_on(PLAN.coupling, end_mm=157.0)
    others = alternatives(height, seat, PLAN, person(), both)
    keys = {swap.key for one in others for swap in one.swaps}
    assert "low" in keys
    assert "example-foot-low" not in keys
    only = alternatives(height, seat, PLAN, person(), Catalogue(parts=both.parts[:-1]))
    assert all(one.basis is Basis.DEFAULT for one in only)
    assert "invented example" in alternative_findings(only, height)[0].text
