"""Commands about who may use the store: ``person`` and ``tablet``. Secrets are never part of a command line."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated

import typer
from rich.text import Text

from smallhours.cli import people_replies as r
from smallhours.cli.options import HomeOption, JsonOption, open_home
from smallhours.cli.say import console, give_json, table
from smallhours.errors import BadInput

if TYPE_CHECKING:
    from smallhours.actions.permissions import Role

NameArgument = Annotated[str, typer.Argument(help="The person's name, in quotes if it has spaces.")]
RoleOption = Annotated[str, typer.Option("--role", help="head-baker, baker, office or reader.")]
ReasonOption = Annotated[str, typer.Option("--reason", help="Why, for the log.")]
StdinOption = Annotated[
    bool, typer.Option("--from-stdin", help="Read it from the first line of standard input instead of asking.")
]


def add_to(app: typer.Typer) -> None:
    """Add both groups."""
    person = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Who has an account, as what.")
    person.command("add")(add)
    person.command("list")(list_)
    person.command("password")(password)
    person.command("pin")(pin)
    person.command("role")(role_)
    person.command("remove")(remove)
    app.add_typer(person, name="person")
    tablet = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Shared tablets.")
    tablet.command("add")(add_tablet)
    tablet.command("list")(list_tablets)
    tablet.command("remove")(remove_tablet)
    app.add_typer(tablet, name="tablet")


def add(
    name: NameArgument,
    role: RoleOption,
    home: HomeOption = None,
    as_json: JsonOption = False,
    from_stdin: StdinOption = False,
    reason: ReasonOption = "",
) -> None:
    """Give somebody an account. From the first one on, everybody signs in; it has to be a head baker's."""
    open_home(home)
    from smallhours.actions.people.add_person import AddPerson, add_person
    from smallhours.actions.people.names import persons_name

    name = persons_name(name)
    add_person(AddPerson(name, _role(role), _secret(f"Password of {name}", from_stdin), reason))
    _say_people(as_json)


def list_(home: HomeOption = None, as_json: JsonOption = False) -> None:
    """Everybody who has an account."""
    open_home(home)
    _say_people(as_json)


def password(
    name: NameArgument,
    home: HomeOption = None,
    as_json: JsonOption = False,
    from_stdin: StdinOption = False,
    reason: ReasonOption = "",
) -> None:
    """Set somebody's password, for instance because it is forgotten. They have to sign in anew everywhere."""
    open_home(home)
    from smallhours.actions.people.find_person import find_person
    from smallhours.actions.people.set_secret import SetPassword, set_password

    person = find_person(name)
    set_password(SetPassword(person.name, _secret(f"New password of {person.name}", from_stdin), reason=reason))
    _say_people(as_json)


def pin(
    name: NameArgument,
    home: HomeOption = None,
    as_json: JsonOption = False,
    from_stdin: StdinOption = False,
    none: Annotated[bool, typer.Option("--none", help="Take it away.")] = False,
    reason: ReasonOption = "",
) -> None:
    """Set somebody's PIN for shared tablets, or take it away."""
    open_home(home)
    from smallhours.actions.people.find_person import find_person
    from smallhours.actions.people.set_secret import SetPin, set_pin

    person = find_person(name)
    digits = "" if none else _secret(f"PIN of {person.name}", from_stdin)
    if not none and not digits:
        raise BadInput("the PIN must not be empty; --none takes it away")
    set_pin(SetPin(person.name, digits, reason=reason))
    _say_people(as_json)


def role_(
    name: NameArgument,
    role: RoleOption,
    home: HomeOption = None,
    as_json: JsonOption = False,
    reason: ReasonOption = "",
) -> None:
    """Change what somebody may do."""
    open_home(home)
    from smallhours.actions.people.change_person import ChangeRole, change_role

    change_role(ChangeRole(name, _role(role), reason))
    _say_people(as_json)


def remove(name: NameArgument, home: HomeOption = None, as_json: JsonOption = False, reason: ReasonOption = "") -> None:
    """Take somebody's account away, at once; the log keeps the name."""
    open_home(home)
    from smallhours.actions.people.change_person import RemovePerson, remove_person

    remove_person(RemovePerson(name, reason))
    _say_people(as_json)


def add_tablet(
    name: Annotated[str, typer.Argument(help="What the tablet is called.")],
    home: HomeOption = None,
    as_json: JsonOption = False,
    reason: ReasonOption = "",
) -> None:
    """Get a code that pairs one tablet, once, within a quarter of an hour."""
    open_home(home)
    from smallhours.actions.people.tablets import CODE_COUNTS, AddTablet
    from smallhours.actions.people.tablets import add_tablet as act

    made = act(AddTablet(name, reason))
    if as_json:
        _say_tablets(as_json, made.readable)
        return
    out = console()
    out.print(Text(f"Code for {made.tablet.name}: {made.readable}"))
    out.print(f"Type it on the tablet under /pair/ within {CODE_COUNTS.total_seconds() / 60:.0f} minutes.")


def list_tablets(home: HomeOption = None, as_json: JsonOption = False) -> None:
    """The tablets that are paired or wait for their code."""
    open_home(home)
    _say_tablets(as_json)


def remove_tablet(
    number: Annotated[int, typer.Argument(help="The tablet's number in the list.")],
    home: HomeOption = None,
    as_json: JsonOption = False,
    reason: ReasonOption = "",
) -> None:
    """End a tablet, at once, also for who is signed in on it."""
    open_home(home)
    from smallhours.actions.people.tablets import RevokeTablet, revoke_tablet

    revoke_tablet(RevokeTablet(number, reason))
    _say_tablets(as_json)


def _role(text: str) -> Role:
    """The role of that name. Raises BadInput."""
    from smallhours.actions.permissions import ROLES

    for role in ROLES:
        if text == role:
            return role
    raise BadInput(f"--role {text!r}: there are: {', '.join(ROLES)}")


def _secret(what: str, from_stdin: bool) -> str:
    """A secret, typed unseen and twice, or the first line of standard input."""
    if from_stdin:
        return sys.stdin.readline().rstrip("\r\n")
    if not sys.stdin.isatty():
        raise BadInput("a password or PIN is typed at a terminal; to pass it on from a program, say --from-stdin")
    return str(typer.prompt(what, hide_input=True, confirmation_prompt=True, err=True))


def _say_people(as_json: bool) -> None:
    from smallhours.actions.people.find_person import list_people

    people = list_people()
    if as_json:
        fields = r.PersonReply.model_fields
        give_json(r.PeopleReply(people=tuple(r.PersonReply(**{f: getattr(p, f) for f in fields}) for p in people)))
        return
    if not people:
        console().print("Nobody has an account: everybody at this machine may do everything.")
        return
    rows = [(p.name, p.role, "yes" if p.has_pin else "no", _when(p.last_in)) for p in people]
    console().print(table("People", ("Name", "Role", "PIN", "Last signed in (UTC)"), rows))


def _say_tablets(as_json: bool, code: str | None = None) -> None:
    from smallhours.actions.people.tablets import list_tablets as act

    tablets = act()
    if as_json:
        found = tuple(
            r.TabletReply(number=t.id, name=t.name, added_by=t.added_by, paired_at=t.paired_at, seen_at=t.seen_at)
            for t in tablets
        )
        give_json(r.TabletsReply(tablets=found, code=code))
        return
    if not tablets:
        console().print("No tablet is paired.")
        return
    rows = [(str(t.id), t.name, t.added_by, _when(t.paired_at), _when(t.seen_at)) for t in tablets]
    headings = ("Number", "Name", "Added by", "Paired (UTC)", "Last seen (UTC)")
    console().print(table("Tablets", headings, rows, numbers=(0,)))


def _when(at: object) -> str:
    return f"{at:%Y-%m-%d %H:%M}" if at else "-"
