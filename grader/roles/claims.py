"""From what a login says of a person (OpenID Connect Core 1.0, 5.1) to who acts."""

from collections.abc import Mapping

from grader.roles.house_file import USUAL_CLAIM, HouseRoles, told_as
from grader.roles.model import Actor


def actor_of(claims: Mapping[str, object], roles: HouseRoles) -> Actor:
    """Who acts; without any role where the house's file doesn't name them, or their mail address isn't theirs for sure.

    A provider that says that an address was not verified lets anybody write another's; one that says nothing is taken
    at its word, because the house chose it.
    """
    told = claims.get(roles.claim)
    name = told.strip() if isinstance(told, str) else ""
    verified = claims.get("email_verified", True)
    doubtful = verified is not True and verified != "true"
    if not name or (roles.claim == USUAL_CLAIM and doubtful):
        return Actor(name=name, roles=frozenset())
    return Actor(name=name, roles=roles.people.get(told_as(roles.claim, name), frozenset()))
