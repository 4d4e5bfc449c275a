"""Numbers and days as the house writes them in every language: a decimal point, and forms read as they are in English.

A decimal comma would reach what scripts read out of a page, and what is typed back from it.
"""

from django.conf.locale.en_GB.formats import *  # noqa: F403
