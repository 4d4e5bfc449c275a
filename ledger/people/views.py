"""Sign in and out, join by invitation, one's own page, and the keeper's page of people."""

from typing import Any

from django.contrib import messages
from django.contrib.auth import login, update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import PasswordChangeForm, SetPasswordForm
from django.contrib.auth.tokens import default_token_generator
from django.contrib.auth.views import LoginView, LogoutView
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ledger.languages import forget, remember
from ledger.people import actions
from ledger.people.forms import InviteForm, JoinForm, LanguageForm, OwnPageForm, RoleForm, SignInForm
from ledger.people.models import IN_A_SENTENCE, Invitation, Member, Role
from ledger.phone.numbers import next_number
from ledger.roles import at_least
from ledger.words import say


@method_decorator(login_not_required, name="dispatch")
class SignIn(LoginView):
    template_name = "people/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True


class SignOut(LogoutView):
    """The browser is told to let go of pages and photos it may have kept. Never of its storage: the outbox lies there."""

    http_method_names = ["post", "options"]

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        answer = super().dispatch(request, *args, **kwargs)
        answer["Clear-Site-Data"] = '"cache"'
        return answer


@login_not_required
@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def join(request: HttpRequest, token: str) -> HttpResponse:
    """The page an invitation opens: who are you, and a password."""
    try:
        invitation = actions.open_invitation(token, timezone.now())
        form = JoinForm(request.POST if request.method == "POST" else None)
        if request.method == "POST" and form.is_valid():
            member = actions.join(token, now=timezone.now(), **form.cleaned_data)
            login(request, member, backend="django.contrib.auth.backends.ModelBackend")
            messages.success(
                request,
                say(
                    "Welcome, {member}. Your first collecting number is {number}.",
                    member=member.full_name,
                    number=next_number(member),
                ),
            )
            return redirect("front")
    except actions.NameTaken as taken:
        form.add_error(None, str(taken))
    except actions.InvitationRefused as refusal:
        return render(request, "people/no_way_in.html", {"refusal": refusal}, status=410)
    return render(
        request, "people/join.html", {"form": form, "invitation": invitation, "role": Role(invitation.role)}
    )


@require_http_methods(["GET", "HEAD", "POST"])
def me(request: HttpRequest) -> HttpResponse:
    """One's own page: name on labels, code, role."""
    form = OwnPageForm(request.POST if request.method == "POST" else None, instance=request.user)
    if request.method == "POST" and form.is_valid():
        renamed = "full_name" in form.changed_data
        actions.keep_own_page(form.save(commit=False))
        messages.success(
            request,
            say("Your name is changed. Labels printed before keep the old one.")
            if renamed
            else say("Your page is kept."),
        )
        return redirect("me")
    return render(request, "people/me.html", {"form": form})


@login_not_required
@require_POST
def choose_language(request: HttpRequest) -> HttpResponse:
    """The language of this browser, and of the member's screens wherever they sign in. Goes back to where it was asked."""
    form = LanguageForm(request.POST)
    back = request.POST.get("next", "")
    if not url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        back = reverse("front")
    # As it stands: `redirect` would take a word without a slash for the name of a page.
    answer = HttpResponseRedirect(back)
    if "language" not in request.POST or not form.is_valid():
        messages.error(request, say("That is no language of this ledger. Nothing was changed."))
        return answer
    language = form.cleaned_data["language"]
    if request.user.is_authenticated:
        actions.keep_language(request.user, language)
    remember(answer, language) if language else forget(answer)
    return answer


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def change_password(request: HttpRequest) -> HttpResponse:
    form = PasswordChangeForm(request.user, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        actions.keep_password(form.save(commit=False))
        update_session_auth_hash(request, form.user)
        messages.success(
            request, say("Your password is changed. Other phones and computers must sign in again.")
        )
        return redirect("me")
    return render(request, "people/change_password.html", {"form": form})


@at_least(Role.KEEPER)
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def people(request: HttpRequest) -> HttpResponse:
    """Everybody of the club, open invitations, and a form for a new one, whose link is shown once."""
    form = InviteForm(request.POST if request.method == "POST" else None)
    link = None
    if request.method == "POST" and form.is_valid():
        _, token = actions.invite(now=timezone.now(), made_by=request.user, **form.cleaned_data)
        link = request.build_absolute_uri(reverse("join", args=[token]))
        form = InviteForm()
    now = timezone.now()
    return render(
        request,
        "people/people.html",
        {
            "members": Member.objects.order_by("-is_active", "full_name"),
            "invitations": Invitation.objects.filter(
                used_at__isnull=True, ended_at__isnull=True, expires_at__gt=now
            ),
            "form": form,
            "link": link,
            "roles": Role.choices,
        },
    )


@at_least(Role.KEEPER)
@require_POST
def end_invitation(request: HttpRequest, invitation_id: str) -> HttpResponse:
    actions.end_invitation(get_object_or_404(Invitation, pk=invitation_id), now=timezone.now())
    messages.success(request, say("The invitation is taken back; its link opens nothing any more."))
    return redirect("people")


@at_least(Role.KEEPER)
@require_POST
def change_role(request: HttpRequest, member_id: int) -> HttpResponse:
    member = get_object_or_404(Member, pk=member_id)
    form = RoleForm(request.POST)
    if not form.is_valid():
        messages.error(
            request,
            say(
                "That is no role of this ledger. {member} keeps the role {role}.",
                member=member,
                role=member.get_role_display(),
            ),
        )
        return redirect("people")
    return _told(
        request,
        lambda: actions.change_role(member, form.cleaned_data["role"]),
        say("{member} is {role} now.", member=member, role=IN_A_SENTENCE[Role(form.cleaned_data["role"])]),
    )


@at_least(Role.KEEPER)
@require_http_methods(["GET", "HEAD", "POST"])
def end_membership(request: HttpRequest, member_id: int) -> HttpResponse:
    """Asks first; then ends it."""
    member = get_object_or_404(Member, pk=member_id)
    if member == request.user:
        raise PermissionDenied
    if request.method != "POST":
        return render(request, "people/end_membership.html", {"member": member})
    return _told(
        request,
        lambda: actions.end_membership(member),
        say("{member} cannot sign in any more. Their finds and names stay on record.", member=member),
    )


@at_least(Role.KEEPER)
@require_POST
def renew_membership(request: HttpRequest, member_id: int) -> HttpResponse:
    member = get_object_or_404(Member, pk=member_id)
    return _told(
        request, lambda: actions.renew_membership(member), say("{member} can sign in again.", member=member)
    )


@at_least(Role.KEEPER)
@never_cache
@require_POST
def new_password_link(request: HttpRequest, member_id: int) -> HttpResponse:
    """For a member who forgot the password: a link, shown once to the keeper, that lets them choose a new one."""
    member = get_object_or_404(Member, pk=member_id, is_active=True)
    link = request.build_absolute_uri(
        reverse("new-password", args=[member.pk, default_token_generator.make_token(member)])
    )
    return render(request, "people/new_password_link.html", {"member": member, "link": link})


@login_not_required
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def new_password(request: HttpRequest, member_id: int, token: str) -> HttpResponse:
    """Where that link leads. It opens for a day, and no more once a password was chosen or somebody signed in."""
    member = Member.objects.filter(pk=member_id, is_active=True).first()
    if member is None or not default_token_generator.check_token(member, token):
        return render(request, "people/no_new_password.html", status=410)
    form = SetPasswordForm(member, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        actions.keep_password(form.save(commit=False))
        messages.success(request, say("Your new password is kept. Sign in with it."))
        return redirect("sign-in")
    return render(request, "people/new_password.html", {"form": form, "member": member})


def _told(request: HttpRequest, act, success: str) -> HttpResponse:  # type: ignore[no-untyped-def]
    try:
        act()
    except actions.RoleRefused as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, success)
    return redirect("people")


@require_GET
@login_not_required
def invitation_needed(request: HttpRequest) -> HttpResponse:
    """For those who look for a sign-up: there is none without an invitation."""
    return render(request, "people/no_way_in.html", {"refusal": None})
