"""The one door a page uses: text in, text out."""

import json
from dataclasses import asdict
from typing import Any

from calculators.declaring import answer_of, run_typed
from calculators.presenting.results import result, spoken
from calculators.stages import find


def answer(question: str) -> str:
    """Answer one question of the page, as JSON text.

    The question is ``{"calculator": slug, "inputs": {field name: typed text}}``; the reply
    ``{"html", "advice", "errors", "said"}``. Where ``want`` holds ``answer``, the reply has the whole
    answer as data as well (see ``Answer``), null if there are errors; it names ``release``.
    """
    asked = json.loads(question)
    outcome = run_typed(find(asked["calculator"]), asked["inputs"])
    reply: dict[str, Any] = {
        "html": result(outcome),
        "advice": [asdict(entry) for entry in outcome.advice],
        "errors": [{"field": error.field, "message": error.message} for error in outcome.errors],
        "said": spoken(outcome),
    }
    if "answer" in asked.get("want", ()):
        reply["answer"] = None if outcome.errors else answer_of(outcome, asked["release"]).data()
    return json.dumps(reply, ensure_ascii=False, allow_nan=False)
