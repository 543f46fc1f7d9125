"""A calculator's form as HTML: labels, fields, units, and a place for each error.

It is a set of fields, not a ``form`` element: without the page's script nothing may be submitted. It
is locked until that script has come, so that no number can stand over an answer that is not its own.
"""

from collections.abc import Mapping

from calculators.declaring import Calculator, InputField, example_fields
from calculators.declaring.kept_values import opens
from calculators.presenting.escaping import text
from calculators.presenting.inputs import entry_html


def form(calculator: Calculator, prefix: str, values: Mapping[str, object] | None = None) -> str:
    """The form filled with the values given, or with the calculator's example.

    ``prefix`` keeps the ids of two forms on a page apart.
    """
    if not calculator.inputs:
        return ""
    typed = example_fields(calculator, values)
    first = [entry for entry in calculator.inputs if not seldom(entry)]
    rest = [entry for entry in calculator.inputs if seldom(entry)]
    fields = "".join(entry_html(entry, prefix, typed) for entry in first)
    if what := opens(calculator):
        fields += (
            f'<doorcard-open-values class="dc-open-values" data-what="{text(what)}"></doorcard-open-values>'
        )
    if rest:
        more = "".join(entry_html(entry, prefix, typed) for entry in rest)
        fields += (
            '<details class="dc-more"><summary>More settings</summary>'
            f'<div class="dc-more-fields">{more}</div></details>'
        )
    return (
        f'<fieldset class="dc-form" disabled aria-label="{text(calculator.title)}: your values">'
        f"{fields}</fieldset>"
        '<p class="dc-locked">The fields are locked until this page’s script has come; if it does not, load '
        "the page anew. The answer below is worked out for the values shown.</p>"
    )


def seldom(entry: InputField) -> bool:
    """Whether an input is seldom changed, and folded away."""
    return entry.kind.seldom
