"""How this room's refusals read. Each says what to do next."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "supplier_name_taken": _("There is already a supplier called {name}. Choose it, or write another name."),
    "part_code_taken": _("There is already a part with the code {code}. Change that one, or write another code."),
}
