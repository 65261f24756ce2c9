"""How well a reading is known, and what may be said of it."""

import math
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from shop.engineering import meters, shares
from shop.engineering.inputs import BadInput
from shop.engineering.limits import Verdict, acceptance_limits, conformity_probability, verdict
from shop.engineering.meters import Part, Shape
from shop.engineering.risk import global_risk
from shop.reckoner.forms import Answer, Asked, Chapter, Figure, Given, Kind, Reckoning
from shop.reckoner.reading_lists import numbers
from shop.reckoner.remarks import worded
from shop.reckoner.showing import number


def _meter(given: Given) -> Answer:
    error = _error(given)
    says = _("{reading} ± {half}: the true value lies between {low} and {high}.").format(
        reading=number(given["reading"], 6), half=number(error.half_width, 2), low=number(error.low, 6),
        high=number(error.high, 6),
    )  # fmt: skip
    figures = (
        Figure("half_width", later("May be off by ±"), error.half_width),
        Figure("standard", later("Standard uncertainty"), error.standard),
        Figure("expanded", later("Expanded, k = 2"), error.expanded),
    )
    working = "a = |x| × p + d × r;  u = a / √3"
    return Answer(says, figures, working, worded(error.remarks))


def _error(given: Given) -> meters.MeterError:
    return meters.meter_error(given["reading"], given["percent_of_reading"], given["digits"], given["resolution"])


def _verdict(given: Given) -> Answer:
    error = _error(given)
    low, high = (None if given[name] is None else Decimal(repr(given[name])) for name in ("low", "high"))
    if low is None and high is None:
        raise BadInput("limit_missing", "low")
    if low is not None and high is not None and low > high:
        raise BadInput("out_of_range", "low", value=float(low), low=None, high=float(high), unit="")
    value, expanded = Decimal(repr(given["reading"])), Decimal(repr(error.expanded))
    found = verdict(value, expanded, low, high)
    words = {
        Verdict.PASS: _("Pass: {p} % sure that the true value keeps the limits."),
        Verdict.FAIL: _("Fail: {p} % that the true value keeps the limits after all."),
        Verdict.UNDECIDED: _("Undecided: {p} % that it keeps the limits. A better meter or range is needed to tell."),
    }
    probability = conformity_probability(value, expanded, low, high)
    guarded = acceptance_limits(expanded, low, high)
    figures = [
        Figure("verdict", later("Verdict"), found.value),
        Figure("probability_percent", later("Keeps the limits with"), probability * 100, "%"),
        Figure("expanded", later("Expanded uncertainty, k = 2"), error.expanded),
    ]
    for name, label, limit in (
        ("accept_from", later("Passes from"), guarded[0]),
        ("accept_to", later("to"), guarded[1]),
    ):
        if limit is not None:
            figures.append(Figure(name, label, float(limit)))
    says = words[found].format(p=number(probability * 100, 4))
    return Answer(says, tuple(figures), "x ± U inside the limits, U = 2 u", worded(error.remarks))


def _repeated(given: Given) -> Answer:
    found = meters.repeated(numbers(given["readings"], "readings"))
    spread = meters.together([Part(found.standard, found.count - 1)])
    figures = (
        Figure("mean", later("Mean"), found.mean),
        Figure("deviation", later("Standard deviation"), found.deviation),
        Figure("standard", later("Standard uncertainty of the mean"), found.standard),
        Figure("expanded", later("Expanded, 95 %"), spread.expanded),
    )
    says = _("Mean {mean} ± {expanded} (95 %), of {count} readings.").format(
        mean=number(found.mean, 6), expanded=number(spread.expanded, 2), count=found.count
    )
    return Answer(says, figures, "s / √n × t(n − 1)")


def _together(given: Given) -> Answer:
    shape = Shape(given["shape"])
    halves = numbers(given["half_widths"], "half_widths")
    found = meters.together([Part(meters.standard_uncertainty(each, shape)) for each in halves])
    figures = (
        Figure("standard", later("Standard uncertainty"), found.standard),
        Figure("factor", later("Factor for 95 %"), found.factor),
        Figure("expanded", later("Expanded, 95 %"), found.expanded),
    )
    says = _("Together ± {expanded} (95 %).").format(expanded=number(found.expanded, 3))
    return Answer(says, figures, "u = √Σ uᵢ²")


def _share(given: Given) -> Answer:
    hits, cases = (_whole(given, name) for name in ("hits", "cases"))
    low, high = shares.wilson(hits, cases)
    exact = shares.clopper_pearson(hits, cases)
    says = _("{share} %, and with 95 % between {low} and {high} %.").format(
        share=number(hits / cases * 100, 3), low=number(low * 100, 3), high=number(high * 100, 3)
    )
    figures = (
        Figure("share_percent", later("Share"), hits / cases * 100, "%"),
        Figure("low_percent", later("At least (Wilson)"), low * 100, "%"),
        Figure("high_percent", later("At most (Wilson)"), high * 100, "%"),
        Figure("exact_percent", later("Exact interval"), f"{number(exact[0] * 100)} – {number(exact[1] * 100)} %"),
    )
    return Answer(says, figures)


def _whole(given: Given, name: str) -> int:
    if not (math.isfinite(given[name]) and given[name] == round(given[name])):
        raise BadInput("unreadable", name, given=number(given[name]), like=("3",))
    return int(given[name])


def _risk(given: Given) -> Answer:
    found = global_risk(given["in_tolerance"], given["uncertainty_ratio"])
    says = _("Of all that is tested, {bad} % are bad and pass, and {good} % are good and are turned away.").format(
        bad=number(found.false_accept * 100, 3), good=number(found.false_reject * 100, 3)
    )
    figures = (
        Figure("false_accept_percent", later("Bad and passed"), found.false_accept * 100, "%"),
        Figure("false_reject_percent", later("Good and turned away"), found.false_reject * 100, "%"),
    )
    return Answer(says, figures)


def _drift(given: Given) -> Answer:
    readings = numbers(given["readings"], "readings")
    chart = shares.smoothed_chart(readings, given["target"], given["deviation"], given["weight"])
    words = _("No drift: the smoothed readings stay between {low} and {high}.") if not chart.outside else _(
        "A drift: smoothed reading {place} leaves the limits, {low} to {high}. Check the meter before you go on."
    )  # fmt: skip
    place = chart.outside[0] + 1 if chart.outside else 0
    says = words.format(low=number(chart.low, 6), high=number(chart.high, 6), place=place)
    figures = (
        Figure("newest", later("Newest, smoothed"), chart.smoothed[-1]),
        Figure("low", later("Lower limit"), chart.low),
        Figure("high", later("Upper limit"), chart.high),
    )
    return Answer(says, figures, "zᵢ = λ xᵢ + (1 − λ) zᵢ₋₁;  target ± 3 s √(λ / (2 − λ))")


_METER = (
    Asked("reading", later("Reading"), default="5.03"),
    Asked("percent_of_reading", later("Accuracy, of the reading"), "%", default="0.5"),
    Asked("digits", later("plus digits"), default="3"),
    Asked("resolution", later("The last digit counts"), default="0.01"),
)
_READINGS = Asked("readings", later("Readings, with blanks between"), kind=Kind.TEXT, default="5.01 5.03 5.02 5.02")
CHAPTER = Chapter("measuring", later("Measuring"), (
    Reckoning("meter-accuracy", later("How well does the meter know?"), _METER, "JCGM 100 (GUM) 4.3.7", _meter),
    Reckoning("verdict", later("Pass, fail or undecided?"), (
        *_METER, Asked("low", later("Limit, low"), default="4.75", optional=True),
        Asked("high", later("Limit, high"), default="5.25", optional=True)),
        "ISO 14253-1, ILAC-G8:09/2019, JCGM 106:2012", _verdict),
    Reckoning("repeated-readings", later("Readings that were repeated"), (_READINGS,),
              "JCGM 100 (GUM) 4.2, G.3", _repeated),
    Reckoning("uncertainty-together", later("Several contributions together"), (
        Asked("half_widths", later("Half widths, with blanks between"), kind=Kind.TEXT, default="0.055 0.01"),
        Asked("shape", later("Each is"), kind=Kind.CHOICE, default="rectangular", choices=(
            ("rectangular", later("anywhere within (rectangular)")),
            ("triangular", later("rather in the middle (triangular)")),
            ("normal", later("stated with k = 2 (normal)"))))), "JCGM 100 (GUM) 5.1.2, G.4", _together),
    Reckoning("test-risk", later("What a test lets through"), (
        Asked("in_tolerance_percent", later("Items that are good"), "%", 0.01, "95", arg="in_tolerance"),
        Asked("uncertainty_ratio", later("Uncertainty of the test over the spread of the items"), default="0.25")),
        "draft NCSLI RP-19, by way of suncal", _risk),
    Reckoning("share", later("A share of few cases"), (
        Asked("hits", later("Cases that did, such as repairs that came back"), default="4"),
        Asked("cases", later("of so many"), default="20")), "Newcombe 1998; Clopper and Pearson", _share),
    Reckoning("meter-drift", later("Does the meter drift?"), (
        Asked("readings", later("Readings of the check standard, with blanks between"), kind=Kind.TEXT,
              default="10.001 10.002 9.999 10.001 10.003"),
        Asked("target", later("Its value"), default="10"),
        Asked("deviation", later("Usual standard deviation"), default="0.002"),
        Asked("weight", later("Weight of the newest"), default="0.3")), "NIST/SEMATECH e-Handbook 6.3.2.4", _drift),
))  # fmt: skip
