"""The library grows by these: device models and their board revisions."""

from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from shop.boards.models import BoardRevision, DeviceModel
from shop.core import trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock, unique
from shop.core.reasons import Reason
from shop.core.retiring import retire
from shop.core.text import line, whole, words

_MOST_FASTENERS = 500


def add_model(
    *,
    actor: Actor,
    maker: str,
    name: str,
    mains_inside: bool = False,
    tube_inside: bool = False,
    battery_inside: bool = False,
    fastener_count: int | None = None,
) -> DeviceModel:
    """Add a maker's model, as written on the case, and return it.

    The three flags decide which cautions its benches see; fastener_count is how many hold the case, when known.
    Raises Refused: `model_taken`, `out_of_range`, `blank`, `too_long`, `hidden_character`.
    """
    permit(actor, "boards.change")
    if fastener_count is not None:
        whole(fastener_count, low=0, high=_MOST_FASTENERS, label=_("Number of fasteners"), field="fastener_count")
    model = DeviceModel(
        maker=line(maker, label=_("Maker"), field="maker", limit=60),
        name=line(name, label=_("Name of the model"), field="name", limit=80),
        mains_inside=mains_inside,
        tube_inside=tube_inside,
        battery_inside=battery_inside,
        fastener_count=fastener_count,
    )
    with transaction.atomic():
        with unique(Reason("model_taken", {"maker": model.maker, "name": model.name}, "name")):
            model.save(force_insert=True)
        facts = {"mains_inside": mains_inside, "tube_inside": tube_inside, "battery_inside": battery_inside}
        trail.write(model, actor, "model_added", after=model.name, facts=facts)
    return model


def add_revision(*, actor: Actor, model_id: UUID | str, marking: str, how_to_tell: str = "") -> BoardRevision:
    """Add a version of a model's board, with what tells it from the others, and return it.

    Raises Missing, Refused: `revision_taken`, `blank`, `too_long`, `hidden_character`.
    """
    permit(actor, "boards.change")
    with transaction.atomic():
        model = lock(DeviceModel, pk=model_id)
        revision = BoardRevision(
            model=model,
            marking=line(marking, label=_("Marking of the board"), field="marking", limit=60),
            how_to_tell=words(how_to_tell, label=_("How to tell it"), field="how_to_tell", required=False),
        )
        with unique(Reason("revision_taken", {"model": str(model), "marking": revision.marking}, "marking")):
            revision.save(force_insert=True)
        trail.write(revision, actor, "revision_added", after=revision.marking, facts={"model": model.id})
    return revision


def retire_model(*, actor: Actor, model_id: UUID | str) -> DeviceModel:
    """Take a model off the list and return it; units of it keep it. Twice is once. Raises Missing."""
    permit(actor, "boards.change")
    with transaction.atomic():
        model = lock(DeviceModel, pk=model_id)
        retire(model, actor, "model_retired", before=model.name)
    return model
