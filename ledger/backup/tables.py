"""Which tables are backed up, in which order, and what stays out.

Models are those of the migrations that have been applied, not those of the program: so a ledger is backed up before it is
migrated, and an old backup is restored into its own tables and migrated afterwards.
"""

from collections.abc import Iterable
from typing import Any

from django.apps.registry import Apps
from django.core.exceptions import ImproperlyConfigured
from django.db import connections, models
from django.db.migrations.loader import MigrationLoader

from ledger.backup import providers

# What is not the club's record, each with the reason. A table that is in none of these is backed up.
LEFT_OUT = {
    "sessions.session": "everybody signs in again",
    "axes.accessattempt": "wrong passwords of the last quarter of an hour",
    "axes.accesslog": "addresses of those who signed in",
    "axes.accessfailurelog": "addresses of those who did not",
    "axes.accessattemptexpiration": "wrong passwords of the last quarter of an hour",
    "contenttypes.contenttype": "Django makes them with the tables",
    "auth.permission": "Django makes them with the tables; roles stand in the member's row",
    "auth.group": "roles stand in the member's row",
    "auth.group_permissions": "roles stand in the member's row",
}

Applied = list[tuple[str, str]]


def applied(using: str) -> Applied:
    """The migrations that were applied there and that this program has, in the order of their names."""
    loader = MigrationLoader(connections[using])
    return sorted(key for key in loader.applied_migrations if key in loader.graph.nodes)


def unknown(migrations: Iterable[tuple[str, str]], using: str) -> list[tuple[str, str]]:
    """Those of the given migrations that this program does not have."""
    loader = MigrationLoader(connections[using])
    return sorted(set(migrations) - set(loader.graph.nodes) - set(loader.disk_migrations))


def models_at(migrations: Applied, using: str) -> Apps:
    """The models as they were when exactly these had been applied."""
    state = MigrationLoader(connections[using]).project_state(migrations)
    return state.apps


def in_order(apps: Apps) -> list[type[models.Model]]:
    """The tables that are backed up, each after those it points to; of a circle (a find and its current determination)
    in the order of their names."""
    out = set(LEFT_OUT) | providers.derived()
    waiting = {
        model._meta.label_lower: model
        for model in apps.get_models(include_auto_created=True)
        if not model._meta.proxy and model._meta.managed and model._meta.label_lower not in out
    }
    ordered: list[type[models.Model]] = []
    while waiting:
        targets = {label: _points_to(model) & set(waiting) - {label} for label, model in waiting.items()}
        free = sorted(label for label, of in targets.items() if not of)
        chosen = free or [min(label for label in waiting if _in_circle(label, targets))]
        ordered += [waiting.pop(label) for label in chosen]
    return ordered


def _in_circle(label: str, targets: dict[str, set[str]]) -> bool:
    """Whether a table points to itself by way of others."""
    seen: set[str] = set()
    ahead = set(targets[label])
    while ahead:
        seen |= ahead
        ahead = set().union(*(targets[one] for one in ahead)) - seen
    return label in seen


def _points_to(model: type[models.Model]) -> set[str]:
    return {
        field.related_model._meta.label_lower
        for field in model._meta.concrete_fields
        if field.is_relation and not isinstance(field.related_model, str) and field.related_model is not None
    }


def fields_of(model: type[models.Model]) -> list[Any]:
    """The columns that are written, in the order of the table."""
    return [field for field in model._meta.concrete_fields if not field.generated]


def points_out(apps: Apps) -> list[str]:
    """Columns of a backed-up table that point into one that stays out: none may."""
    out = set(LEFT_OUT) | providers.derived()
    return [
        f"{model._meta.label_lower}: {target}"
        for model in in_order(apps)
        for target in sorted(_points_to(model) & out)
    ]


def must_be_whole(apps: Apps) -> None:
    if lost := points_out(apps):
        raise ImproperlyConfigured(f"A backup would not hold together: {', '.join(lost)}.")
