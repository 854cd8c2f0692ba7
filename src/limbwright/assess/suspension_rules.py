"""What speaks for and against each suspension for one person: the rules, each with its reason.

A rule reads facts that may be unknown (None); then it says nothing, and what was not asked is
listed. The choice is the practitioner's.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum

from limbwright.assess.condition import Amount, FollowsInstructions, Hands, Help, Sight
from limbwright.assess.description import (
    LimbShape,
    ScarMobility,
    Sensation,
    SkinColour,
    TissueAmount,
    TissueConsistency,
)
from limbwright.assess.plan import Activity, Liner, LinerMaterial, Person
from limbwright.core.sources import Confidence, Origin, Source


class Weight(str, Enum):
    """How a reason weighs."""

    FOR = "for"
    THINK_TWICE = "think twice"
    AVOID = "avoid"


@dataclass(frozen=True, slots=True)
class Facts:
    """What the rules read."""

    person: Person
    liner: Liner


Test = Callable[[Facts], bool | None]
"""True: it holds; False: it does not; None: not known."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One reason for or against.

    Parameters
    ----------
    weight : Weight
    asks : str
        What must be known to say so, in words.
    holds : Test
    text : str
        The reason, as half a sentence.
    source : Source
    """

    weight: Weight
    asks: str
    holds: Test
    text: str
    source: Source


_USUAL = Source(
    Origin.MEMORY,
    "usual indications and contraindications of suspensions, in our own words",
    Confidence.MEDIUM,
)
_GUIDE = Source(
    Origin.PUBLISHED,
    "Stevens et al. 2019, J Prosthet Orthot 31:172, guideline on transtibial suspension",
    Confidence.HIGH,
)
_PIN_SKIN = Source(
    Origin.PUBLISHED,
    "Beil and Street 2004, J Rehabil Res Dev 41:821: a pin squeezes proximally and sucks"
    " distally (-39.5 kPa) in swing",
    Confidence.HIGH,
)
_SEAL_DON = Source(
    Origin.PUBLISHED,
    "10 transtibial users compared on seal and pin liner, PMC4021017: the seal harder to don",
    Confidence.HIGH,
)
_MAGNET_PULL = Source(
    Origin.PUBLISHED,
    "Gholizadeh et al. 2014, PMC3898787: bench failure of a magnet 351 N, of a pin 580 N",
    Confidence.HIGH,
)

_A, _F, _T = Weight.AVOID, Weight.FOR, Weight.THINK_TWICE


def _equals(read: Callable[[Facts], object | None], *wanted: object) -> Test:
    def test(facts: Facts) -> bool | None:
        value = read(facts)
        return None if value is None else value in wanted

    return test


def _hands(facts: Facts) -> object | None:
    return facts.person.condition.hands


def _sight(facts: Facts) -> object | None:
    return facts.person.condition.sight


def _helped(facts: Facts) -> bool | None:
    given = facts.person.condition.help
    return None if given is None else given is Help.DAILY


def _alone_and(test: Test) -> Test:
    """What hinders only who has nobody to help at each donning; unknown help counts as none."""

    def both(facts: Facts) -> bool | None:
        found = test(facts)
        if not found:
            return found
        return not _helped(facts)

    return both


def _either(*tests: Test) -> Test:
    """True when one holds; False when none does; None when one that is not known might."""

    def test(facts: Facts) -> bool | None:
        found = [item(facts) for item in tests]
        if any(found):
            return True
        return None if None in found else False

    return test


def _condition(name: str) -> Callable[[Facts], object | None]:
    return lambda facts: getattr(facts.person.condition, name)


def _limb(name: str) -> Callable[[Facts], object | None]:
    return lambda facts: getattr(facts.person.limb, name)


def _active(facts: Facts) -> bool:
    return facts.person.activity in (Activity.K3, Activity.K4)


def _without_liner(facts: Facts) -> bool:
    return facts.liner.material in (LinerMaterial.NONE, LinerMaterial.FOAM)


_CANNOT_AIM = _alone_and(_either(_equals(_hands, Hands.POOR), _equals(_sight, Sight.POOR)))
_AIMS_BADLY = _alone_and(_equals(_sight, Sight.REDUCED, Sight.POOR))
_SOFT_END = _either(
    _equals(_limb("tissue_amount"), TissueAmount.EXCESSIVE),
    _equals(_limb("tissue_consistency"), TissueConsistency.FLABBY),
)
_BAD_SCAR = _either(
    _equals(_limb("scar_mobility"), ScarMobility.ADHERENT),
    _equals(_limb("scar_invaginated"), True),
)
_ROUGH_SHAPE = _either(_BAD_SCAR, _equals(_limb("shape"), LimbShape.BULBOUS))
_MUCH_CHANGE = _equals(_condition("daily_volume_change"), Amount.MUCH)
_SORE_SKIN = _either(_equals(_limb("dermatitis"), True), _equals(_limb("skin_intact"), False))
_OPEN = _either(_equals(_limb("skin_intact"), False), _equals(_limb("scar_healed"), False))
_POOR_BLOOD = _either(_equals(_limb("colour"), SkinColour.CYANOTIC), _equals(_limb("warm"), False))
_NUMB = _equals(_limb("sensation"), Sensation.ABSENT, Sensation.REDUCED)
_SWEATS = _either(
    _equals(_condition("perspiration"), Amount.MUCH), _equals(_limb("hyperhidrosis"), True)
)
_DEEP_KNEE = _equals(_condition("kneels"), True)
_UNSTABLE_KNEE = _equals(_limb("knee_stable"), False)

RULES: Mapping[str, tuple[Rule, ...]] = {
    "pin": (
        Rule(_F, "hands", _equals(_hands, Hands.WEAK), "weak hands can still don it", _USUAL),
        Rule(_F, "daily change of volume", _MUCH_CHANGE, "socks can make up volume", _USUAL),
        Rule(
            _A,
            "hands, sight and help",
            _CANNOT_AIM,
            "the pin must be found and aimed: hands or sight do not allow it, and nobody helps"
            " every day",
            _USUAL,
        ),
        Rule(_T, "sight and help", _AIMS_BADLY, "reduced sight makes the pin hard to aim", _USUAL),
        Rule(
            _A,
            "pain when the end is pulled",
            _equals(_condition("pain_when_pulled"), True),
            "it pulls at the limb's end, and that hurts",
            _PIN_SKIN,
        ),
        Rule(_T, "soft tissue", _SOFT_END, "loose tissue is milked distally", _PIN_SKIN),
        Rule(_T, "scar", _BAD_SCAR, "an adherent or drawn-in scar is pulled upon", _USUAL),
        Rule(_T, "neuroma", _equals(_limb("neuroma"), True), "a neuroma is pulled upon", _USUAL),
        Rule(
            _T,
            "soft tissue",
            _equals(_limb("tissue_amount"), TissueAmount.INSUFFICIENT),
            "the end is poorly padded",
            _USUAL,
        ),
        Rule(_T, "sensation", _NUMB, "skin damage at the end may go unfelt", _PIN_SKIN),
    ),
    "lanyard": (
        Rule(_F, "hands, sight and help", _CANNOT_AIM, "nothing needs to be aimed", _USUAL),
        Rule(_F, "soft tissue", _SOFT_END, "it draws loose tissue in when donning", _USUAL),
        Rule(
            _A,
            "hands and help",
            _alone_and(_equals(_hands, Hands.POOR)),
            "it needs strength and grip, and nobody helps every day",
            _USUAL,
        ),
        Rule(
            _T,
            "hands and help",
            _alone_and(_equals(_hands, Hands.WEAK)),
            "it needs hand strength",
            _USUAL,
        ),
        Rule(
            _T,
            "how instructions are followed",
            _equals(_condition("follows_instructions"), FollowsInstructions.POORLY),
            "its cord wears and must be inspected",
            _USUAL,
        ),
    ),
    "magnet": (
        Rule(
            _F,
            "hands or sight",
            _either(
                _equals(_hands, Hands.WEAK, Hands.POOR), _equals(_sight, Sight.REDUCED, Sight.POOR)
            ),
            "it finds its seat by itself",
            _USUAL,
        ),
        Rule(
            _A,
            "implanted devices",
            _equals(_condition("implanted_device"), True),
            "a magnet may disturb an implanted device; ask the implant's physician first",
            _USUAL,
        ),
        Rule(
            _A,
            "iron dust at work",
            _equals(_condition("metal_dust"), True),
            "iron dust gathers between its faces and takes its hold",
            _USUAL,
        ),
        Rule(
            _A,
            "activity",
            lambda facts: facts.person.activity is Activity.K4,
            "high activity comes near the limit of its hold",
            _MAGNET_PULL,
        ),
        Rule(
            _T,
            "activity",
            lambda facts: facts.person.activity is Activity.K3,
            "fast or active walking comes near the limit of its hold; see the margin in prove",
            _MAGNET_PULL,
        ),
    ),
    "suction": (
        Rule(_F, "activity", _active, "little pistoning and good control of rotation", _GUIDE),
        Rule(_A, "liner", _without_liner, "it needs a liner or sleeve that seals", _USUAL),
        Rule(_T, "shape and scar", _ROUGH_SHAPE, "an uneven shape leaks", _USUAL),
        Rule(_T, "daily change of volume", _MUCH_CHANGE, "the seal does not bear socks", _USUAL),
        Rule(
            _T,
            "hands and help",
            _alone_and(_equals(_hands, Hands.WEAK, Hands.POOR)),
            "it is harder to don",
            _SEAL_DON,
        ),
        Rule(_T, "perspiration", _SWEATS, "sweat loosens the liner's hold", _USUAL),
    ),
    "vacuum": (
        Rule(_F, "daily change of volume", _MUCH_CHANGE, "it best holds the day's volume", _GUIDE),
        Rule(_F, "activity", _active, "least pistoning of all", _GUIDE),
        Rule(_A, "liner", _without_liner, "it needs a liner and a sleeve that seal", _USUAL),
        Rule(
            _A,
            "how instructions are followed",
            _equals(_condition("follows_instructions"), FollowsInstructions.POORLY),
            "it needs a person who minds it and follows instructions",
            _GUIDE,
        ),
        Rule(_A, "circulation", _POOR_BLOOD, "the blood supply looks unsure", _USUAL),
        Rule(_A, "skin and scar", _OPEN, "there is an open wound; only under supervision", _USUAL),
        Rule(_T, "sensation", _NUMB, "skin damage may go unfelt", _USUAL),
    ),
    "sleeve": (
        Rule(
            _F,
            "activity",
            lambda facts: facts.person.activity in (Activity.K1, Activity.K2),
            "simple, and a second hold beside another suspension",
            _USUAL,
        ),
        Rule(_A, "skin", _SORE_SKIN, "it lies on sore skin", _USUAL),
        Rule(
            _A,
            "length of the thigh",
            _equals(_condition("short_thigh"), True),
            "the thigh is too short for it",
            _USUAL,
        ),
        Rule(_T, "kneeling", _DEEP_KNEE, "it hinders deep knee flexion", _USUAL),
        Rule(_T, "perspiration", _SWEATS, "it is hot", _USUAL),
        Rule(
            _T,
            "hands and help",
            _alone_and(_equals(_hands, Hands.POOR)),
            "it must be rolled up tight",
            _USUAL,
        ),
        Rule(_T, "activity", _active, "it holds less still than lock, suction or vacuum", _GUIDE),
    ),
    "strap": (
        Rule(
            _F,
            "prostheses on both sides",
            _equals(_condition("both_sides"), True),
            "quick for who sits much and dons two",
            _USUAL,
        ),
        Rule(_F, "liner", _without_liner, "it needs no liner", _USUAL),
        Rule(_A, "knee's stability", _UNSTABLE_KNEE, "it gives an unstable knee no hold", _USUAL),
        Rule(_T, "activity", _active, "it pistons most", _GUIDE),
    ),
    "supracondylar": (
        Rule(_F, "knee's stability", _UNSTABLE_KNEE, "it steadies the knee sideways", _USUAL),
        Rule(
            _A,
            "thigh",
            _equals(_condition("full_thigh"), True),
            "a full or strong thigh leaves no room for the wedge",
            _USUAL,
        ),
        Rule(_T, "kneeling", _DEEP_KNEE, "it hinders kneeling and deep flexion", _USUAL),
        Rule(_T, "activity", _active, "it holds less still than lock, suction or vacuum", _GUIDE),
    ),
}
"""By suspension; the keys are those of the coupling's kind, and one for the wedge over the knee."""
