"""The writers of this room that faces may call, gathered from the modules that hold them."""

from shop.people.customer_actions import add_customer, change_customer, choose_language
from shop.people.place_actions import add_place, change_place, retire_place
from shop.people.signin import sign_in
from shop.people.staff_actions import add_staff, change_staff_role, retire_staff, set_password
from shop.people.token_actions import actor_from_token, actor_of, issue_token, revoke_token

__all__ = [
    "actor_from_token",
    "actor_of",
    "add_customer",
    "add_place",
    "add_staff",
    "change_customer",
    "change_place",
    "change_staff_role",
    "choose_language",
    "issue_token",
    "retire_place",
    "retire_staff",
    "revoke_token",
    "set_password",
    "sign_in",
]
