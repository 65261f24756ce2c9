"""The steps, in order. Each does one thing and returns what was seen; anything else raises `Otherwise`."""

from collections.abc import Callable

from shop.floor.walkthrough import asking, benching, intake, leaving
from shop.floor.walkthrough.walk import Walk

Step = Callable[[Walk], str]
STEPS: tuple[Step, ...] = (
    intake.announce,
    intake.packing_message,
    intake.sign_in,
    intake.write_up,
    intake.parcel_arrives,
    intake.label_reads_back,
    intake.typed_code,
    intake.scan_and_take_in,
    intake.token,
    asking.diagnosis,
    asking.open_and_look,
    asking.quote,
    asking.quote_message,
    asking.link_from_staff,
    asking.customer_looks,
    asking.customer_approves,
    asking.promise,
    benching.work,
    benching.no_way_past_the_gate,
    benching.measure,
    benching.close,
    benching.fails,
    benching.mend,
    benching.safe_repeats,
    benching.passes,
    leaving.ready_message,
    leaving.pay,
    leaving.parcel_leaves,
    leaving.wrong_code,
    leaving.hand_over,
    leaving.shipped_message,
    leaving.every_turn_was_told,
    leaving.customer_sees_the_end,
    leaving.trail_holds,
    leaving.token_withdrawn,
    leaving.stored_adds_up,
)
# These open messages where they were delivered, which takes the folder.
_OPEN_MESSAGES = {intake.packing_message, asking.quote_message, leaving.ready_message, leaving.shipped_message}


def steps(walk: Walk) -> list[Step]:
    """Return the steps that can be taken in the walk's shop, in order.

    Without a folder of messages the link comes from the staff; stored data is looked at in a private copy only.
    """
    left_out = {asking.link_from_staff} if walk.shop.mail else set(_OPEN_MESSAGES)
    if not walk.shop.private:
        left_out.add(leaving.stored_adds_up)
    return [step for step in STEPS if step not in left_out]
