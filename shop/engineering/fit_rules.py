"""The rules of `fit`: each looks at one thing and says what speaks against a part, what is not known, what to mind.

Sources: IEC 60384-1 for ratings (a rating is never below the original's); data sheets of radial cans for pitches, from
memory; everything else is common practice of the trade, and said so in the rule.
"""

from collections.abc import Callable, Iterator

from shop.engineering.fit_facts import Candidate, Finding, Mounting, Place, Role, Technology, Weight
from shop.engineering.inputs import Remark

_PRECISE = (Technology.CERAMIC_1, Technology.FILM)
_WET = (Technology.ELECTROLYTIC, Technology.POLYMER, Technology.TANTALUM)
_PLAY_MM = 0.1
_BENDABLE_MM = 2.6
# A little less than exact, so that 470 against 470.0000001 is no finding.
_SAME = 1e-6


def _against(code: str, **facts: object) -> Finding:
    return Weight.AGAINST, Remark(code, facts)


def _unknown(code: str, **facts: object) -> Finding:
    return Weight.UNKNOWN, Remark(code, facts)


def _mind(code: str, **facts: object) -> Finding:
    return Weight.REMARK, Remark(code, facts)


def capacitance(place: Place, part: Candidate) -> Iterator[Finding]:
    """Keep timing, coupling and mains parts within the tolerance (20 % when none is known); see `_bulk` for the rest.

    For timing the part's own tolerance counts as well. A larger coupling capacitor only moves its corner down.
    """
    if place.role not in (Role.TIMING, Role.COUPLING, Role.MAINS):
        yield from _bulk(place, part)
        return
    ratio, allowed = part.capacitance_f / place.capacitance_f, _allowed(place)
    facts = {"percent": (ratio - 1) * 100}
    if abs(ratio - 1) > allowed + _SAME:
        moved_down = place.role is Role.COUPLING and 1 < ratio <= 10
        yield _mind("capacitance_larger", **facts) if moved_down else _against("capacitance_off", **facts)
    elif place.role is Role.TIMING and part.tolerance_percent is None:
        yield _unknown("tolerance_not_known")
    elif place.role is Role.TIMING and abs(ratio - 1) + ratio * (part.tolerance_percent or 0) / 100 > allowed + _SAME:
        yield _mind("tolerance_may_miss", percent=part.tolerance_percent)


def _bulk(place: Place, part: Candidate) -> Iterator[Finding]:
    """Give a supply what it had or up to twice as much; a regulator's output never more (common practice)."""
    ratio, allowed = part.capacitance_f / place.capacitance_f, _allowed(place)
    facts = {"percent": (ratio - 1) * 100}
    if ratio < 1 - allowed - _SAME:
        yield _against("capacitance_too_small", **facts)
    elif ratio < 1 - _SAME:
        yield _mind("capacitance_smaller", **facts)
    elif ratio > 2 + _SAME and place.role is Role.REGULATOR_OUTPUT:
        yield _against("capacitance_too_large", **facts)
    elif ratio > 1 + _SAME:
        yield _mind("capacitance_larger" if ratio <= 2 + _SAME else "capacitance_much_larger", **facts)


def _allowed(place: Place) -> float:
    return (20.0 if place.tolerance_percent is None else place.tolerance_percent) / 100


def voltage(place: Place, part: Candidate) -> Iterator[Finding]:
    """Rate no lower than the original; mind a rating above four times it (a larger can, more ESR; common practice).

    A rating below the original's but above the known working voltage by half is a matter to mind, not a fit.
    """
    if part.rated_v >= place.rated_v * (1 - _SAME):
        if part.rated_v > 4 * place.rated_v:
            yield _mind("rating_far_above", rated_v=part.rated_v, original_v=place.rated_v)
        return
    enough = place.working_v is not None and part.rated_v >= 1.5 * place.working_v
    facts = {"rated_v": part.rated_v, "original_v": place.rated_v}
    yield _mind("rating_below_original", **facts) if enough else _against("rating_too_low", **facts)


def temperature(place: Place, part: Candidate) -> Iterator[Finding]:
    """Keep the temperature class of the original (common practice)."""
    if place.temperature_c is None:
        return
    if part.temperature_c is None:
        yield _unknown("temperature_not_known")
    elif part.temperature_c < place.temperature_c:
        yield _against("temperature_class_lower", class_c=part.temperature_c, original_c=place.temperature_c)


def polarity(place: Place, part: Candidate) -> Iterator[Finding]:
    """Put nothing polarised where the voltage turns over; a bipolar part may stand where a polarised one did."""
    polarised = part.technology in _WET and not part.bipolar
    if polarised and not place.polarised:
        yield _against("polarised_in_bipolar_place")
    elif part.technology in _WET and part.bipolar and place.polarised:
        yield _mind("bipolar_in_polarised_place")


def size(place: Place, part: Candidate) -> Iterator[Finding]:
    """Let it fit between its neighbours and under the lid, with a tenth of a millimetre of play."""
    for limit_mm, has_mm, over, unknown in (
        (place.diameter_mm, part.diameter_mm, "too_wide", "diameter_not_known"),
        (place.clearance_mm, part.height_mm, "too_tall", "height_not_known"),
    ):
        if limit_mm is None:
            continue
        if has_mm is None:
            yield _unknown(unknown)
        elif has_mm > limit_mm + _PLAY_MM:
            yield _against(over, has_mm=has_mm, limit_mm=limit_mm)


def mounting(place: Place, part: Candidate) -> Iterator[Finding]:
    """Let an SMD part have its pads, and an axial one stand on end (common practice)."""
    if place.mounting is None:
        return
    if part.mounting is None:
        yield _unknown("mounting_not_known")
    elif (place.mounting is Mounting.SMD) != (part.mounting is Mounting.SMD):
        yield _mind("radial_on_pads") if part.mounting is Mounting.RADIAL else _against("other_mounting")
    elif place.mounting is not part.mounting:
        yield _mind("stand_it_on_end" if part.mounting is Mounting.AXIAL else "bend_it_flat")
    else:
        yield from _pitch(place, part)


def _pitch(place: Place, part: Candidate) -> Iterator[Finding]:
    """Bend the legs of a through-hole part by up to 2.6 mm; pads cannot be bent (common practice)."""
    if place.pitch_mm is None:
        return
    if part.pitch_mm is None:
        yield _unknown("pitch_not_known")
        return
    off = abs(place.pitch_mm - part.pitch_mm)
    facts = {"has_mm": part.pitch_mm, "wanted_mm": place.pitch_mm}
    if off > (_PLAY_MM if place.mounting is Mounting.SMD else _BENDABLE_MM):
        yield _against("other_pitch", **facts)
    elif off > _PLAY_MM:
        yield _mind("bend_the_legs", **facts)


def resistance(place: Place, part: Candidate) -> Iterator[Finding]:
    """Keep ESR inside the window that a regulator or a filter needs, and ripple within the rating."""
    if place.esr_low_ohm is not None or place.esr_high_ohm is not None:
        if part.esr_ohm is None:
            yield _unknown("esr_not_known")
        elif place.esr_high_ohm is not None and part.esr_ohm > place.esr_high_ohm:
            yield _against("esr_too_high", has_ohm=part.esr_ohm, limit_ohm=place.esr_high_ohm)
        elif place.esr_low_ohm is not None and part.esr_ohm < place.esr_low_ohm:
            yield _against("esr_too_low", has_ohm=part.esr_ohm, limit_ohm=place.esr_low_ohm)
    if place.ripple_a is not None:
        if part.ripple_a is None:
            yield _unknown("ripple_not_known")
        elif part.ripple_a < place.ripple_a:
            yield _against("ripple_rating_low", has_a=part.ripple_a, needs_a=place.ripple_a)


def technology(place: Place, part: Candidate) -> Iterator[Finding]:
    """Say what another technology changes, and when it must not be (common practice)."""
    if part.technology is place.technology:
        return
    if part.technology is Technology.TANTALUM:
        yield from _tantalum(place, part)
    elif part.technology is Technology.CERAMIC_2:
        yield from _ceramic_2(place)
    elif part.technology in _WET and place.technology in _PRECISE:
        yield _against("electrolytic_is_not_precise")
    elif part.technology is Technology.POLYMER:
        yield _mind("polymer_leaks_more")
    if place.role is Role.REGULATOR_OUTPUT and place.esr_low_ohm is None:
        yield _unknown("regulator_may_need_esr")


def _ceramic_2(place: Place) -> Iterator[Finding]:
    """Keep class 2 out of timing, and out of precise signal paths."""
    if place.role is Role.TIMING or (place.technology in _PRECISE and place.role is Role.COUPLING):
        yield _against("ceramic_is_not_steady")
        return
    yield _mind("ceramic_loses_with_voltage")
    if place.role is Role.COUPLING:
        yield _mind("ceramic_hears_knocks")


def _tantalum(place: Place, part: Candidate) -> Iterator[Finding]:
    """Derate a tantalum to half of its rating, and keep it from inrush (common practice)."""
    if place.working_v is None:
        yield _unknown("working_voltage_not_known")
    elif part.rated_v < 2 * place.working_v:
        yield _against("tantalum_needs_half", rated_v=part.rated_v, working_v=place.working_v)
    if place.role is Role.SUPPLY:
        yield _mind("tantalum_and_inrush")


def mains(place: Place, part: Candidate) -> Iterator[Finding]:
    """Put nothing across the mains or to ground but what is certified for it (X and Y classes, IEC 60384-14)."""
    if place.role is not Role.MAINS:
        return
    yield _mind("mains_side")
    if not part.mains_class:
        yield _against("not_certified_for_mains")


RULES: tuple[Callable[[Place, Candidate], Iterator[Finding]], ...] = (
    capacitance, voltage, temperature, polarity, size, mounting, resistance, technology, mains,
)  # fmt: skip
