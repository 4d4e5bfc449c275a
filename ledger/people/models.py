"""Members and the invitations by which they come in."""

import uuid

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.core.validators import RegexValidator
from django.db import models

from ledger.collecting_numbers import CODE
from ledger.words import later


class Role(models.TextChoices):
    MEMBER = "member", later("Member")
    LEADER = "leader", later("Foray leader")
    CURATOR = "curator", later("Curator")
    KEEPER = "keeper", later("Keeper")


# Within a sentence: "Ada Oak is leader now."
IN_A_SENTENCE = {
    Role.MEMBER: later("member"),
    Role.LEADER: later("leader"),
    Role.CURATOR: later("curator"),
    Role.KEEPER: later("keeper"),
}
RANK = {Role.MEMBER: 0, Role.LEADER: 1, Role.CURATOR: 2, Role.KEEPER: 3}


class MemberManager(BaseUserManager["Member"]):
    def get_by_natural_key(self, username: str) -> "Member":
        # Sign-in names are kept in small letters, so "Ada" and "ada" are one person.
        return self.get(sign_in_name=username.strip().lower())

    def create_member(
        self,
        sign_in_name: str,
        password: str,
        *,
        full_name: str,
        collector_code: str,
        role: str = Role.MEMBER,
    ) -> "Member":
        member = self.model(
            sign_in_name=sign_in_name.strip().lower(),
            full_name=full_name.strip(),
            collector_code=collector_code.strip().upper(),
            role=role,
        )
        member.set_password(password)
        member.save()
        return member


class Member(AbstractBaseUser):
    """A person of the club. `collector_code` stands before their collecting numbers, for life."""

    sign_in_name = models.CharField(
        max_length=40,
        unique=True,
        validators=[
            RegexValidator(
                r"^[a-z0-9._-]{2,40}$", later("Small letters, digits, dot, hyphen and underscore.")
            )
        ],
    )
    full_name = models.CharField(max_length=120)
    collector_code = models.CharField(
        max_length=6,
        unique=True,
        validators=[RegexValidator(f"^{CODE}$", later("Two to six capital letters, for example AT."))],
    )
    role = models.CharField(max_length=8, choices=Role.choices, default=Role.MEMBER)
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(auto_now_add=True)
    next_serial = models.PositiveIntegerField(default=1, help_text="The next collecting number to hand out.")

    # The address of a public identifier, such as https://orcid.org/…; each member's own to give.
    public_id = models.CharField(max_length=200, blank=True)
    # Whether their name goes out with the records; otherwise their collecting code alone does. Each member's own to say.
    named_outside = models.BooleanField(default=False)

    # Of the screens; empty: as the browser asks.
    language = models.CharField(max_length=10, blank=True)

    objects = MemberManager()
    USERNAME_FIELD = "sign_in_name"
    REQUIRED_FIELDS = ["full_name", "collector_code"]

    def __str__(self) -> str:
        return self.full_name

    def at_least(self, role: str) -> bool:
        return RANK[Role(self.role)] >= RANK[Role(role)]

    @property
    def is_leader(self) -> bool:
        return self.at_least(Role.LEADER)

    @property
    def is_curator(self) -> bool:
        return self.at_least(Role.CURATOR)


class Invitation(models.Model):
    """A way in for one person, once, until it expires. Only the digest of its token is kept."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    token_digest = models.CharField(max_length=64, unique=True)
    role = models.CharField(max_length=8, choices=Role.choices, default=Role.MEMBER)
    note = models.CharField(max_length=120, blank=True, help_text="For whom it is; shown to keepers only.")
    made_by = models.ForeignKey(Member, null=True, on_delete=models.PROTECT, related_name="invitations_made")
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    used_by = models.OneToOneField(
        Member, null=True, blank=True, on_delete=models.PROTECT, related_name="invitation_used"
    )
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]
