"""Who comes in, who does what, who has left. Each action is one transaction."""

from datetime import datetime

from django.db import IntegrityError, transaction

from ledger.moments import day_of
from ledger.people.invitations import GOOD_FOR, digest_of, new_token
from ledger.people.models import Invitation, Member, Role
from ledger.words import say


class InvitationRefused(ValueError):
    """The invitation cannot be used; the text says why and what to do."""


class NameTaken(ValueError):
    """Somebody else took the sign-in name or the collector's code a moment ago."""


class RoleRefused(ValueError):
    """The change of role or the ending of a membership cannot be made; the text says why."""


def invite(
    *, role: str, now: datetime, made_by: Member | None = None, note: str = ""
) -> tuple[Invitation, str]:
    """Make an invitation and return it with its token, which is not kept and cannot be shown again."""
    token = new_token()
    invitation = Invitation.objects.create(
        token_digest=digest_of(token), role=role, made_by=made_by, note=note, expires_at=now + GOOD_FOR
    )
    return invitation, token


def open_invitation(token: str, now: datetime) -> Invitation:
    """Return the invitation *token* opens, or raise InvitationRefused."""
    again = say("Ask the keeper of your club for a new one.")
    invitation = Invitation.objects.filter(token_digest=digest_of(token)).first()
    if invitation is None:
        raise InvitationRefused(
            say("This invitation is not known here; the address may be cut off. {again}", again=again)
        )
    if invitation.used_at:
        raise InvitationRefused(
            say(
                "This invitation has been used already; it is good for one person, once. If that was you, "
                "sign in. Otherwise ask the keeper of your club for a new one."
            )
        )
    if invitation.ended_at:
        raise InvitationRefused(
            say(
                "This invitation was taken back on {ended_at}. {again}",
                ended_at=day_of(invitation.ended_at),
                again=again,
            )
        )
    if invitation.expires_at <= now:
        raise InvitationRefused(
            say(
                "This invitation ran out on {expires_at}. {again}",
                expires_at=day_of(invitation.expires_at),
                again=again,
            )
        )
    return invitation


@transaction.atomic
def join(
    token: str, *, now: datetime, sign_in_name: str, password: str, full_name: str, collector_code: str
) -> Member:
    """Turn an open invitation into a member. Two people with one link: the second is refused."""
    invitation = open_invitation(token, now)
    # The row is taken by its state, so that of two requests at one moment only one goes on.
    taken = Invitation.objects.filter(pk=invitation.pk, used_at__isnull=True).update(used_at=now)
    if not taken:
        raise InvitationRefused(
            say("This invitation was used a moment ago. Ask the keeper of your club for a new one.")
        )
    try:
        with transaction.atomic():
            member = Member.objects.create_member(
                sign_in_name,
                password,
                full_name=full_name,
                collector_code=collector_code,
                role=invitation.role,
            )
    except IntegrityError as problem:
        raise NameTaken(
            say(
                "Somebody took this code or sign-in name a moment ago. What you typed is kept, and the "
                "invitation is still good; choose another code or name."
            )
        ) from problem
    Invitation.objects.filter(pk=invitation.pk).update(used_by=member)
    return member


def end_invitation(invitation: Invitation, *, now: datetime) -> None:
    """Take back an invitation that has not been used."""
    Invitation.objects.filter(pk=invitation.pk, used_at__isnull=True, ended_at__isnull=True).update(
        ended_at=now
    )


@transaction.atomic
def change_role(member: Member, role: str) -> None:
    """Give *member* another role. The last keeper stays keeper, or nobody could invite any more."""
    if member.role == Role.KEEPER and role != Role.KEEPER:
        _refuse_if_last_keeper(
            member,
            say(
                "{member} is the only keeper and cannot be given another role: nobody could invite members any more. "
                "Nothing was changed. Make somebody else keeper first.",
                member=member.full_name,
            ),
        )
    member.role = role
    member.save(update_fields=["role"])


@transaction.atomic
def end_membership(member: Member) -> None:
    """Let *member* sign in no more. Their finds and names stay on record."""
    if member.role == Role.KEEPER:
        _refuse_if_last_keeper(
            member,
            say(
                "{member} is the only keeper and cannot be ended: nobody could invite members any more. "
                "Nothing was changed. Make somebody else keeper first.",
                member=member.full_name,
            ),
        )
    member.is_active = False
    member.save(update_fields=["is_active"])


def renew_membership(member: Member) -> None:
    """Let a member whose membership was ended sign in again."""
    member.is_active = True
    member.save(update_fields=["is_active"])


def _refuse_if_last_keeper(member: Member, refusal: str) -> None:
    others = (
        Member.objects.select_for_update()
        .filter(role=Role.KEEPER, is_active=True)
        .exclude(pk=member.pk)
        .count()
    )
    if not others:
        raise RoleRefused(refusal)


def keep_own_page(member: Member) -> None:
    """Keep a member's changed name, public identifier and word whether their name may go out. Labels keep the old name."""
    member.save(update_fields=["full_name", "public_id", "named_outside"])


def keep_language(member: Member, language: str) -> None:
    """Keep the language of a member's screens; empty: as their browser asks."""
    member.language = language
    member.save(update_fields=["language"])


def keep_password(member: Member) -> None:
    """Keep a password that was set on *member*; every other session of theirs ends."""
    member.save(update_fields=["password"])
