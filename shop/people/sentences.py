"""How this room's refusals read. Each says what to do next."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "email_malformed": _("{given} is not an e-mail address. Write it like name@example.org."),
    "phone_unreadable": _(
        "{given} is not a phone number. Write it with digits, from abroad with + and the country code."
    ),
    "phone_impossible": _(
        "No phone can have the number {given}. Compare it with what the customer says, digit by digit."
    ),
    "phone_extension": _("{given} has an extension, which cannot be kept here. Write the number without it."),
    "unreachable": _(
        "There is no way to reach this customer. Fill in an e-mail address, a phone number or a postal address."
    ),
    "place_name_taken": _("There is already a place called {name}. Choose another name."),
    "place_occupied": _("{count} units lie in {place}. Move them elsewhere, then take the place out of use."),
    "username_malformed": _(
        "{given} cannot be a user name. Use 2 to 40 letters, digits, full stops, hyphens or underscores."
    ),
    "username_taken": _("The user name {username} is given away already. Choose another one."),
    "password_weak": _("This password is too easy to guess. {why} Choose another one."),
    "last_owner": _("{name} is the last owner of this shop. Make somebody else an owner first."),
    "staff_left": _("{name} no longer works here. Choose somebody who does."),
    "sign_in_wrong": _("The user name or the password is not right. Check both and try again."),
    "code_wrong": _(
        "That code is not right, or it was used already. Wait for the next one, compare the clock of the telephone, or "
        "use a recovery code."
    ),
    "factor_missing": _("There is no second step to take away here."),
    "factor_there": _("Your second step is on already. Turn it off first to use another telephone."),
    "sign_in_wait": _("There were too many attempts to sign in. Wait {minutes} min and try again."),
}
