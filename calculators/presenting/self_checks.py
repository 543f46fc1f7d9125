"""A self-check as a page shows it: question, hint and answer; what is said to what was answered."""

from calculators.presenting.drawings import drawing
from calculators.presenting.escaping import text
from calculators.self_checks.asking import Choice, Figure, Option, Question, Verdict


def question_html(question: Question, prefix: str) -> str:
    """The question with its fields; ``prefix`` makes their ids this check's own."""
    fields = _figure(question, prefix) if isinstance(question, Figure) else _choice(question, prefix)
    hint = f"<details><summary>Hint</summary><p>{text(question.hint)}</p></details>"
    return f'<p class="dc-asked">{text(question.asked)}</p>{fields}{hint}'


def answer_html(question: Question) -> str:
    """The answer in full, for who has no script."""
    if isinstance(question, Figure):
        return f"<p>{text(question.working)}</p>"
    lines = [question.options[0].words, *(entry.words for entry in question.reasons[:1]), question.working]
    return "".join(f"<p>{text(line)}</p>" for line in lines)


def verdict_html(verdict: Verdict) -> str:
    """Right or not yet, and why."""
    word = "Right." if verdict.right else "Not yet."
    mark = "right" if verdict.right else "wrong"
    return f'<p class="dc-verdict" data-verdict="{mark}"><strong>{word}</strong> {text(verdict.words)}</p>'


def _figure(question: Figure, prefix: str) -> str:
    unit = f" <span>{text(question.unit)}</span>" if question.unit else ""
    return (
        f'<p class="dc-check-field"><label for="{prefix}-answer">Your answer</label> '
        f'<input id="{prefix}-answer" name="answer" type="text" autocomplete="off">{unit}</p>'
        f"{_error('answer')}"
    )


def _choice(question: Choice, prefix: str) -> str:
    record = "".join(f"<li>{text(line)}</li>" for line in question.record)
    return (
        (f"<ul>{record}</ul>" if record else "")
        + (drawing(question.picture) if question.picture else "")
        + _group("answer", "Your answer", question.shown(question.options), prefix)
        + _group("reason", "Because", question.shown(question.reasons), prefix)
    )


def _group(name: str, legend: str, shown: list[tuple[int, Option]], prefix: str) -> str:
    options = "".join(
        f'<label><input type="radio" name="{prefix}-{name}" data-name="{name}" value="{place}"> '
        f"{text(option.words)}</label>"
        for place, option in shown
    )
    return f'<fieldset class="dc-check-group"><legend>{legend}</legend>{options}</fieldset>{_error(name)}'


def _error(name: str) -> str:
    return f'<p class="dc-error" data-error="{name}" role="alert" hidden></p>'
