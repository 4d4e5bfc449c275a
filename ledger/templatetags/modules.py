"""Scripts and stylesheets of a page: one pack each where the static files are collected, else the sources as they are.

    {% load modules %}
    {% block css %}{% sheets "css/strip.css" "css/log.css" %}{% endblock %}
    {% block preload %}{% module_tree "js/log/log.js" %}{% endblock %}
    {% block scripts %}{% module_script "js/log/log.js" %}{% endblock %}

What is to be packed is read from the templates themselves, so the names stand there in full.
"""

from django import template
from django.templatetags.static import static
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from ledger.static_files import is_collected
from ledger.static_packs import pack_name, sheets_name
from ledger.static_tree import modules_of

register = template.Library()


@register.simple_tag
def sheets(*names: str) -> SafeString:
    """Links to these stylesheets, in their order."""
    wanted = (sheets_name(names),) if is_collected() else names
    return format_html_join("\n  ", '<link rel="stylesheet" href="{}">', ((static(name),) for name in wanted))


@register.simple_tag
def module_script(name: str) -> SafeString:
    """The script itself."""
    return format_html(
        '<script type="module" src="{}"></script>', static(pack_name(name) if is_collected() else name)
    )


@register.simple_tag
def module_tree(name: str) -> SafeString:
    """Links that have a browser fetch a script and all it imports at once, not level by level."""
    wanted = (pack_name(name),) if is_collected() else modules_of(name)
    return format_html_join(
        "\n  ", '<link rel="modulepreload" href="{}">', ((static(one),) for one in wanted)
    )
