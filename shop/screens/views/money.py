"""What the shop's prices are made of: tax, labour, mark-ups, deposit, and when its messages go out."""

from datetime import time
from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.core.actor import Actor
from shop.core.models import TaxBasis, TaxRounding
from shop.core.profile import change_profile
from shop.core.reasons import Reason, Refused
from shop.core.text import whole
from shop.quotes.drafting import markup_bands
from shop.quotes.markup import Band
from shop.quotes.template_actions import retire_template, set_markup, templates
from shop.screens.http import act, given_version, no_such_act, page, staff_page
from shop.screens.verbs.common import given_money, given_number, needed_uuid
from shop.screens.verbs.quotes import percent

# So many bands can be typed at once: more than any shop has.
_BANDS = 6
_LARGEST_MARKUP = 10_000_000  # millipercent
_RATES = ("tax_rate", "tax_reduced", "urgency", "insurance")
_NUMBERS = {
    "labour_step_minutes": "Billing step", "deposit_percent": "Deposit, %", "digest_minutes": "Minutes of a digest",
    "promise_percent": "How sure a promise is, %", "reminder_days": "Days until a reminder",
}  # fmt: skip
_AMOUNTS = {
    "labour_rate": "An hour of labour", "insurance_least": "Least insurance", "deposit_from": "Deposit from a total of",
}  # fmt: skip
_TEXTS = ("tax_name", "payment_link", "holidays_of", "terms_work", "terms_save_data")


@require_safe
@staff_page("core.change_profile")
def money(request: HttpRequest, _actor: Actor) -> HttpResponse:
    """Show the figures."""
    return _money(request)


def _money(request: HttpRequest, reasons: Any = ()) -> HttpResponse:
    bands = [*markup_bands()]
    context = {
        "bands": [*bands, *[None] * (_BANDS - len(bands))],
        "bases": TaxBasis.choices,
        "roundings": TaxRounding.choices,
        "templates": templates(),
        "typed": request.POST,
    }
    return page(request, "screens/money.html", context, reasons=reasons)


@require_POST
@staff_page("core.change_profile")
def money_do(request: HttpRequest, actor: Actor, verb: str) -> HttpResponse:
    """Keep the figures, the mark-ups, or retire a template."""

    def perform(post: QueryDict) -> str:
        if verb == "figures":
            change_profile(actor=actor, version=given_version(post), **_figures(post))
        elif verb == "markup":
            set_markup(actor=actor, bands=_bands(post))
        elif verb == "retire-template":
            retire_template(actor=actor, template_id=needed_uuid(post, "template", "Template"))
        else:
            raise no_such_act(verb)
        return reverse("screens:money")

    return act(request, actor, perform, _money)


def _figures(post: QueryDict) -> dict[str, Any]:
    changes: dict[str, Any] = {name: post.get(name, "").strip() for name in _TEXTS if name in post}
    changes |= {f"{name}_millipercent": percent(post, name) for name in _RATES}
    changes |= {name: given_number(post, name, label) for name, label in _NUMBERS.items()}
    changes |= {f"{name}_minor": given_money(post, name, label) for name, label in _AMOUNTS.items()}
    changes |= {name: post.get(name, "") for name in ("tax_basis", "tax_rounding")}
    changes |= {name: name in post for name in ("prices_include_tax", "fee_credited")}
    return changes | {name: _time(post, name) for name in ("quiet_from", "quiet_until")}


def _time(post: QueryDict, name: str) -> time | None:
    typed = post.get(name, "").strip()
    try:
        return time.fromisoformat(typed) if typed else None
    except ValueError:
        raise Refused(Reason("not_a_number", {"label": "Time", "given": typed[:40]}, name)) from None


def _bands(post: QueryDict) -> list[Band]:
    """Read the bands whose cost was typed; a row left empty is none."""
    rows = [str(row) for row in range(_BANDS) if post.get(f"from{row}", "").strip()]
    return [
        Band(
            given_money(post, f"from{row}", "Cost from"),
            whole(percent(post, f"markup{row}"), low=0, high=_LARGEST_MARKUP, label="Add, %", field=f"markup{row}"),
            given_money(post, f"least{row}", "At least"),
        )
        for row in rows
    ]
