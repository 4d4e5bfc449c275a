"""Every text box of every form leaves out what no eye can see."""

import importlib
from collections.abc import Iterator
from pathlib import Path

import pytest
from django import forms

from ledger.text_fields import PlainText

ROOT = Path(__file__).resolve().parents[2]
# Checked by Django letter for letter: a password is taken as it is, and who signs in is looked up.
NO_PLAIN_TEXT = {("JoinForm", "password"), ("SignInForm", "username"), ("SignInForm", "password")}


def _forms() -> Iterator[type[forms.BaseForm]]:
    for path in sorted((*ROOT.glob("ledger/*/forms.py"), *ROOT.glob("vouchers/*/forms.py"))):
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        for made in vars(importlib.import_module(name)).values():
            if isinstance(made, type) and issubclass(made, forms.BaseForm) and made.__module__ == name:
                yield made


FIELDS = [
    (form.__name__, name, field)
    for form in _forms()
    for name, field in form.base_fields.items()
    if isinstance(field, forms.CharField) and not isinstance(field, forms.UUIDField)
]


def test_there_are_forms_to_look_at() -> None:
    assert len(FIELDS) > 30


@pytest.mark.parametrize(("form", "name", "field"), FIELDS)
def test_a_text_box_is_plain_text(form: str, name: str, field: forms.CharField) -> None:
    assert isinstance(field, PlainText) or (form, name) in NO_PLAIN_TEXT
