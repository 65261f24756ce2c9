"""How moves read on buttons."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from shop.floor.stages import MOVES, Move, Offer

# The words on the button, and what the page says of it.
MOVE_WORDS: dict[Move, tuple[Promise, Promise]] = {
    Move.TAKE_IN: (_("Take it in"), _("It gets a place and joins the queue.")),
    Move.REFUSE: (_("Refuse it"), _("It is given back without work.")),
    Move.START_DIAGNOSIS: (_("Look at it"), _("To a bench, to be opened, identified and measured.")),
    Move.START_WORK: (_("Work on it"), _("To a bench, for what was agreed.")),
    Move.START_CLOSING: (_("Close it up"), _("To a bench, to be closed and counted.")),
    Move.FINISH_DIAGNOSIS: (_("Diagnosis is done"), _("Off the bench as it is; the quote comes next.")),
    Move.PARK: (_("Park it"), _("Off the bench for now, with the reason.")),
    Move.FINISH_BENCH: (_("On to testing"), _("Closed, counted, ready for the last tests.")),
    Move.PASS_TEST: (_("It passed"), _("On to pickup; the customer hears of it.")),
    Move.FAIL_TEST: (_("Back to the bench"), _("A test failed; say which and how.")),
    Move.RECALL: (_("Test it again"), _("Back from pickup, with the reason.")),
    Move.RETURN_UNOPENED: (_("Give it back"), _("It was never opened: straight to pickup.")),
    Move.HAND_OVER: (_("Hand it over"), _("To whoever shows the code or is known.")),
}


@dataclass(frozen=True, slots=True)
class OfferShown:
    """An offer with its words."""

    offer: Offer
    button: Promise
    says: Promise
    primary: bool = False

    @property
    def needs_bench(self) -> bool:
        """Tell whether a bench is to be chosen."""
        return MOVES[self.offer.move].needs_bench

    @property
    def needs_words(self) -> bool:
        """Tell whether a reason is to be written."""
        return MOVES[self.offer.move].needs_words

    @property
    def may_place(self) -> bool:
        """Tell whether a shelf may be named."""
        return self.offer.move in (Move.TAKE_IN, Move.FINISH_DIAGNOSIS, Move.PARK, Move.PASS_TEST)


def shown_offers(offers: Iterable[Offer]) -> list[OfferShown]:
    """Return offers with their words, the primary act first: the open one that leads furthest on, not back.

    A unit that may be looked at once more but also be worked on is to be worked on.
    """
    listed = list(offers)
    onward = [offer for offer in listed if offer.open and not MOVES[offer.move].needs_words]
    furthest = onward[-1] if onward else None
    shown = [OfferShown(offer, *MOVE_WORDS[offer.move], primary=offer is furthest) for offer in listed]
    return sorted(shown, key=lambda one: not one.primary)
