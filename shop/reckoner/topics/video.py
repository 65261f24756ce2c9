"""Analogue video: levels and terminations, coupling and tilt."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from shop.engineering import video_coupling as coupling
from shop.engineering import video_levels as levels
from shop.engineering import video_termination as termination
from shop.engineering.limits import Verdict
from shop.engineering.video_levels import VideoSignal
from shop.engineering.video_timing import LineSystem, standard_timing
from shop.reckoner.forms import Answer, Asked, Chapter, Curve, Figure, Given, Kind, Reckoning
from shop.reckoner.remarks import CAUSES, worded
from shop.reckoner.showing import number, shown


def _ire(given: Given) -> Answer:
    system = LineSystem(given["system"])
    to_volts = given["from"] == "ire"
    found = (levels.volts_of_ire if to_volts else levels.ire_of_volts)(given["value"], system)
    figures = (
        Figure("level_v", later("Above blanking"), found.level_v, "V"),
        Figure("level_ire", later("In IRE"), found.level_ire, "IRE"),
    )
    says = f"{number(found.level_ire)} IRE = {shown(found.level_v, 'V')}"
    return Answer(says, figures, remarks=worded(found.remarks))


def _nominal(given: Given) -> Answer:
    found = levels.nominal_levels(LineSystem(given["system"]), setup=given["setup"] or None)
    names = (
        ("sync_v", later("Sync tip")), ("black_v", later("Black")), ("white_v", later("White")),
        ("peak_v", later("Peak with colour")), ("burst_v", later("Burst, half of its height")),
        ("total_vpp", later("Sync to white")),
    )  # fmt: skip
    figures = tuple(Figure(name, label, getattr(found, name), "V") for name, label in names)
    says = _("White lies {white} above blanking and the sync tip {sync} below, into 75 Ω.").format(
        white=shown(found.white_v, "V"), sync=shown(-found.sync_v, "V")
    )
    return Answer(says, figures, remarks=worded(found.remarks))


def _judged(given: Given) -> Answer:
    found = levels.judge_level(given["measured_vpp"], VideoSignal(given["signal"]), given["uncertainty_v"])
    words = {
        Verdict.PASS: _("The level is right: {db} dB from nominal."),
        Verdict.FAIL: _("The level is not right: {db} dB from nominal."),
        Verdict.UNDECIDED: _("Undecided: at {db} dB the measurement is not good enough to tell."),
    }
    figures = (
        Figure("deviation_db", later("From nominal"), found.deviation_db, "dB"),
        Figure("low_v", later("Least"), found.low_v, "V"),
        Figure("high_v", later("Most"), found.high_v, "V"),
    )
    says = words[found.verdict].format(db=number(found.deviation_db, 2))
    return Answer(says, figures, "20 × log₁₀(V / Vnominal), ± 2 dB", worded(found.remarks))


def _line(given: Given) -> Answer:
    found = termination.line_levels(**given)
    figures = (
        Figure("open_v", later("With no load"), found.open_v, "V"),
        Figure("terminated_v", later("Into 75 Ω"), found.terminated_v, "V"),
        Figure("double_terminated_v", later("Into two loads of 75 Ω"), found.double_terminated_v, "V"),
        Figure("current_a", later("Current into one load"), found.current_a, "A"),
        *([Figure("return_loss_db", later("Return loss"), found.return_loss_db, "dB")] if found.return_loss_db else []),
    )
    says = _("{level} arrive at a display of 75 Ω.").format(level=shown(found.terminated_v, "V"))
    working = f"V = {shown(given['source_v'], 'V')} × 75 / (75 + {number(given['series_ohm'] + given['output_ohm'])})"
    return Answer(says, figures, working, worded(found.remarks))


def _series(given: Given) -> Answer:
    found = termination.series_resistor_for(**given)
    figures = (
        Figure("series_ohm", later("Series resistor"), found.series_ohm, "Ω"),
        Figure("current_a", later("Current"), found.current_a, "A"),
        Figure("power_w", later("Heat in it"), found.power_w, "W"),
    )
    says = _("A resistor of {ohms} leaves {level}.").format(
        ohms=shown(found.series_ohm, "Ω"), level=shown(given["wanted_v"], "V")
    )
    working = "R = Rload × (Vsource / Vwanted − 1) − Rout"
    return Answer(says, figures, working, worded(found.remarks))


def _diagnosis(given: Given) -> Answer:
    found = termination.diagnose_level(**given)
    if found.suspects:
        causes = _(" or ").join(str(CAUSES[each.cause]) for each in found.suspects)
        says = _("That level looks like {causes}.").format(causes=causes)
    else:
        says = _("That level looks like none of the usual causes.")
    figures = [Figure("deviation_db", later("From nominal"), found.deviation_db, "dB")]
    figures += [Figure(each.cause.value, CAUSES[each.cause], each.expected_v, "V") for each in found.suspects]
    return Answer(says, tuple(figures), remarks=worded(found.remarks))


def _coupling(given: Given) -> Answer:
    system, farads = LineSystem(given["system"]), given["capacitance_f"]
    corner = coupling.corner_hz(farads, given["resistance_ohm"])
    found = coupling.field_tilt(farads, system, given["resistance_ohm"])
    points = coupling.tilt_curve(farads, found.field.time_s, given["resistance_ohm"])
    figures = (
        Figure("corner_hz", later("Corner"), corner, "Hz"),
        Figure("half_field_percent", later("Sags over half a field"), found.half_field.tilt * 100, "%"),
        Figure("field_percent", later("Sags over a field"), found.field.tilt * 100, "%"),
        Figure("straight_percent", later("Half a field, as a straight line"), found.half_field.linear_tilt * 100, "%"),
    )
    says = _("The corner is at {corner}; over half a field a level sags by {tilt} %.").format(
        corner=shown(corner, "Hz", 3), tilt=number(found.half_field.tilt * 100, 3)
    )
    working = "f = 1 / (2π × {r} × {c}) = {f};  1 − e^(−t / RC)".format(
        r=shown(given["resistance_ohm"], "Ω"), c=shown(farads, "F"), f=shown(corner, "Hz")
    )
    curve = Curve(later("ms of a field"), later("% of the level left"), tuple((s * 1e3, v * 100) for s, v in points))
    return Answer(says, figures, working, worded((*found.remarks, *found.half_field.remarks)), curve=curve)


def _for_tilt(given: Given) -> Answer:
    field_s = standard_timing(LineSystem(given["system"])).field_s
    farads = coupling.capacitance_for_tilt_f(given["tilt_limit"], field_s / 2, given["resistance_ohm"])
    says = _("{farads} or more keep the sag over half a field below {tilt} %.").format(
        farads=shown(farads, "F", 3), tilt=number(given["tilt_limit"] * 100)
    )
    remark = _("An electrolytic loses a fifth by the end of its life: choose a fifth more (common practice).")
    figures = (Figure("capacitance_f", later("Capacitance, at least"), farads, "F"),)
    return Answer(says, figures, "C = −t / (R × ln(1 − tilt))", (remark,))


def _sag(given: Given) -> Answer:
    found = coupling.sag_gains(**given)
    figures = (
        Figure("low_gain", later("Gain at low frequency"), found.low_gain),
        Figure("low_db", later("that is"), found.low_db, "dB"),
        Figure("high_gain", later("Gain at high frequency"), found.high_gain),
        Figure("high_db", later("that is"), found.high_db, "dB"),
        Figure("boost_db", later("Raised at the low end by"), found.boost_db, "dB"),
    )
    says = _("The low end is raised by {boost} dB against the sag of the capacitor.").format(
        boost=number(found.boost_db, 3)
    )
    return Answer(says, figures, "1 + (Rc + Ro) / Rg;  1 + (Rc + Ro ∥ Rs) / Rg", worded(found.remarks))


def _open(given: Given) -> Answer:
    volts = termination.open_level_v(**given)
    says = _("Without a load it shows {volts}.").format(volts=shown(volts, "V"))
    return Answer(says, (Figure("open_v", later("Without a load"), volts, "V"),), "V × (75 + Rsource) / 75")


SYSTEM = Asked("system", later("Lines"), kind=Kind.CHOICE, default="525",
                choices=(("525", later("525 lines, 60 Hz")), ("625", later("625 lines, 50 Hz"))))  # fmt: skip
_PATH = Asked("resistance_ohm", later("Source and load together"), "Ω", default="150")
_PAGES = "NI, video levels; epanorama.net, video signal levels"
_SIGNALS = (("composite", later("composite with sync, 1 V")), ("rgb", later("a colour of RGB, 0.7 V")))
CHAPTER = Chapter("video", later("Video levels and coupling"), (
    Reckoning("ire", later("IRE and volts"), (
        Asked("value", later("Level"), default="100"),
        Asked("from", later("The level is in"), kind=Kind.CHOICE, default="ire", choices=(
            ("ire", later("IRE")), ("volts", later("volts above blanking")))), SYSTEM), _PAGES, _ire),
    Reckoning("video-levels", later("What the levels should be"), (
        SYSTEM, Asked("setup", later("With a setup of 7.5 IRE"), kind=Kind.YES, default="no")), _PAGES, _nominal),
    Reckoning("level-check", later("Is the level right?"), (
        Asked("measured_vpp", later("Measured across 75 Ω, peak to peak"), "V", default="0.7"),
        Asked("signal", later("Signal"), kind=Kind.CHOICE, default="rgb", choices=_SIGNALS),
        Asked("uncertainty_mv", later("Measured to within ±"), "mV", 1e-3, "20", arg="uncertainty_v"),
    ), "silicon-heaven.org, SCART signals: ± 2 dB", _judged),
    Reckoning("level-diagnosis", later("Why is the level wrong?"), (
        Asked("measured_v", later("Measured"), "V", default="1.4"),
        Asked("nominal_v", later("Should be"), "V", default="0.7"),
        Asked("source_ohm", later("Source"), "Ω", default="75")),
        "voltage divider; NI, video levels (1 V at the load is 2 V open)", _diagnosis),
    Reckoning("line-levels", later("What arrives at the display"), (
        Asked("source_v", later("Source without load"), "V", default="1.4"),
        Asked("series_ohm", later("Series resistor"), "Ω", default="75"),
        Asked("output_ohm", later("Inside the source"), "Ω", default="0")), "voltage divider; NI, video levels", _line),
    Reckoning("sync-attenuation", later("Series resistor for a level"), (
        Asked("source_v", later("Source, such as a logic sync"), "V", default="5"),
        Asked("wanted_v", later("Wanted"), "V", default="0.3"),
        Asked("output_ohm", later("Inside the source"), "Ω", default="0"),
        Asked("load_ohm", later("Load"), "Ω", default="75")), "voltage divider", _series),
    Reckoning("coupling", later("Coupling capacitor: corner and tilt"), (
        Asked("capacitance_uf", later("Capacitance"), "µF", 1e-6, "220", arg="capacitance_f"), _PATH, SYSTEM),
        "1 / (2π R C); TI OPA4830 (SBOS350)", _coupling),
    Reckoning("coupling-for-tilt", later("Capacitor for a tilt"), (
        Asked("tilt_percent", later("Sag over half a field, at most"), "%", 0.01, "5", arg="tilt_limit"),
        _PATH, SYSTEM), "1 − e^(−t / RC)", _for_tilt),
    Reckoning("sag-network", later("Sag correction network"), (
        Asked("output_ohm", later("From the output"), "Ω", default="675"),
        Asked("sag_ohm", later("From behind the capacitor"), "Ω", default="150"),
        Asked("common_ohm", later("From both to the inverting input"), "Ω", default="878"),
        Asked("ground_ohm", later("To ground"), "Ω", default="1000")), "TI THS7303 (SLOS479B), page 25", _sag),
    Reckoning("open-level", later("Level without the load"), (
        Asked("terminated_v", later("Into 75 Ω"), "V", default="0.7"),
        Asked("source_ohm", later("Source"), "Ω", default="75")), "NI, video levels", _open),
))  # fmt: skip
