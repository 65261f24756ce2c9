"""What to say where work can hurt. These sentences do not replace training and do not overrule local rules.

Their substance: mains primaries and the limits of an isolating transformer, charge that a picture tube or a capacitor
holds and builds up again, lithium cells that are soldered to or posted swollen, iron tips near 350 °C, flux fume,
lead, static. Whoever may lawfully test a mains unit before it goes back is for local rules to say.
"""

from django.utils.translation import gettext as _

from shop.boards.models import DeviceModel


def cautions_for(model: DeviceModel) -> list[str]:
    """Return the cautions for a bench with this model on it, the deadliest first, in the reader's language."""
    inside: list[str] = []
    if model.tube_inside:
        inside += _tube()
    if model.mains_inside:
        inside += _mains()
    if model.battery_inside:
        inside += _battery()
    return [*inside, *_always()]


def _tube() -> list[str]:
    return [
        _(
            "A picture tube holds a deadly charge for days after it was switched off, and charges itself up again. "
            "Discharge it, wait, and discharge it again before you reach in."
        ),
        _("A picture tube can burst inwards. Wear eye protection and never lift it by its neck."),
    ]


def _mains() -> list[str]:
    return [
        _("There is mains voltage inside. Pull the plug before you open it, and never work on it live when alone."),
        _(
            "Take the wrist strap off for live work. An isolating transformer is no full protection, and the earth "
            "clip of an oscilloscope must not touch the primary side."
        ),
        _(
            "Before it goes back, a unit with mains inside gets an electrical safety test by somebody whom the local "
            "rules allow to do it."
        ),
    ]


def _battery() -> list[str]:
    return [
        _(
            "There may be a lithium cell inside. Never solder to a cell itself, never short or pierce it, and never "
            "post a swollen one: set it apart from whatever burns and ask how it is disposed of where you are."
        )
    ]


def _always() -> list[str]:
    return [
        _("Capacitors stay charged after the power is off. Measure across the large ones and discharge them first."),
        _("Iron tips and hot air are at 350 °C or more. Use the stand, and know what lies behind the nozzle."),
        _("Flux fume harms the lungs. Switch the extraction on and keep your head out of the fume."),
        _("Old solder contains lead. Do not eat or drink at the bench, and wash your hands when you leave it."),
        _("Static destroys chips unnoticed. On a board without power, wear the wrist strap."),
        _("Cut shields and torn metal are sharp. Look before you reach."),
        _("These cautions do not replace training. Local electrical codes and licensed practice come first."),
    ]
