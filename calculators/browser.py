"""The one door a page uses: text in, text out."""

import json

from calculators.declaring import run_typed
from calculators.presenting.results import result, spoken
from calculators.presenting.values import advice, values
from calculators.stages import find


def answer(question: str) -> str:
    """Answer one question of the page, as JSON text.

    The question is ``{"calculator": slug, "inputs": {field name: typed text}}``; the answer
    ``{"html", "values", "advice", "errors", "said"}``, where ``values`` is null if there are errors.
    """
    asked = json.loads(question)
    outcome = run_typed(find(asked["calculator"]), asked["inputs"])
    return json.dumps(
        {
            "html": result(outcome),
            "values": None if outcome.errors else values(outcome),
            "advice": advice(outcome),
            "errors": [{"field": error.field, "message": error.message} for error in outcome.errors],
            "said": spoken(outcome),
        },
        ensure_ascii=False,
        allow_nan=False,
    )
