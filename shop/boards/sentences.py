"""How this room's refusals read. Each says what to do next."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "model_taken": _("{maker} {name} is in the library already. Choose it there."),
    "revision_taken": _("{model} has a board marked {marking} already. Choose it there."),
    "service_code_malformed": _(
        "{given} cannot be the code of a service. Use small letters and digits, joined by hyphens."
    ),
    "service_code_taken": _("There is already a service with the code {code}. Write another code."),
}
