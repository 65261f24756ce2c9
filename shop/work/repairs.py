"""What a finding at the bench asks for: how it is mended in words, and how many minutes that takes about.

The repairs are common practice; minutes are for a practised hand and can be changed where the finding is written down.
"""

from collections.abc import Iterable

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.units.models import Finding
from shop.work.order import REPAIR
from shop.work.outline import Task

_WORDS = {
    Finding.Kind.LIFTED_PAD: gettext_lazy("Lifted pad{at}: clean it, lay it flat, bridge it with fine wire"),
    Finding.Kind.BROKEN_TRACE: gettext_lazy("Broken trace{at}: lay it bare, tin it, bridge it with fine wire, measure"),
    Finding.Kind.CORROSION: gettext_lazy("Corrosion{at}: neutralise, wash, lay bare what is eaten, measure each trace"),
    Finding.Kind.LEAK: gettext_lazy("Leaked electrolyte{at}: neutralise, wash, measure each trace under the mask"),
    Finding.Kind.EARLIER_WORK: gettext_lazy(
        "Earlier repair{at}: undo what is not sound, back to what the picture shows"
    ),
}
_OTHER = gettext_lazy("Mend what was found{at}")
_MINUTES = {
    Finding.Kind.LIFTED_PAD: 15, Finding.Kind.BROKEN_TRACE: 15, Finding.Kind.CORROSION: 30, Finding.Kind.LEAK: 20,
    Finding.Kind.EARLIER_WORK: 20,
}  # fmt: skip
_LONGEST = 300


def usual_minutes(kind: str) -> int:
    """Return about how long mending such a finding takes, in minutes."""
    return _MINUTES.get(Finding.Kind(kind), 15)


def repair_words(finding: Finding) -> str:
    """Return how a finding is mended, with the place and the words it was written down with."""
    said = finding.words.split("\n")[0]
    at = f" ({said})" if said else ""
    return str(_WORDS.get(Finding.Kind(finding.kind), _OTHER)).format(at=at)[:_LONGEST]


def repair_tasks(findings: Iterable[Finding]) -> list[Task]:
    """Return one task for each finding that is to be mended."""
    return [
        Task(REPAIR, words=repair_words(finding), minutes=finding.repair_minutes or usual_minutes(finding.kind))
        for finding in findings
    ]


def offer_words(finding: Finding) -> str:
    """Return the words of the quote's line for mending a finding."""
    return _("Mend what was found inside: {what}").format(what=str(finding.get_kind_display()))[:160]
