"""How a calculator says what it takes and gives, and how what was typed is read."""

from calculators.declaring.answers import Answer, answer_of
from calculators.declaring.calculator import Calculator
from calculators.declaring.catalogue import calculator, registered
from calculators.declaring.charts import Axis, Band, Chart, Line, Series
from calculators.declaring.curves import Curve
from calculators.declaring.drawings import Drawing
from calculators.declaring.errors import InputError
from calculators.declaring.inputs import (
    Bands,
    Choice,
    CurveText,
    Day,
    Exact,
    File,
    Flag,
    InputField,
    Number,
    Rows,
    Text,
)
from calculators.declaring.kept import Kept, Made
from calculators.declaring.listening import Listening, Take
from calculators.declaring.money import Money
from calculators.declaring.outputs import (
    Advice,
    Output,
    OutputBrief,
    OutputChart,
    OutputCurve,
    OutputDrawing,
    OutputField,
    OutputFile,
    OutputFlag,
    OutputList,
    OutputMoney,
    OutputPaper,
    OutputRows,
    OutputSound,
    OutputText,
)
from calculators.declaring.publications import Caution, Source
from calculators.declaring.running import Outcome, example_fields, run_typed, run_values, steps_typed
from calculators.declaring.working import Steps, Working, anew, drain, lived, told

__all__ = [
    "Advice",
    "Answer",
    "Axis",
    "Band",
    "Bands",
    "Calculator",
    "Caution",
    "Chart",
    "Choice",
    "Curve",
    "CurveText",
    "Day",
    "Drawing",
    "Exact",
    "File",
    "Flag",
    "InputError",
    "InputField",
    "Kept",
    "Line",
    "Listening",
    "Made",
    "Money",
    "Number",
    "Outcome",
    "Output",
    "OutputBrief",
    "OutputChart",
    "OutputCurve",
    "OutputDrawing",
    "OutputField",
    "OutputFile",
    "OutputFlag",
    "OutputList",
    "OutputMoney",
    "OutputPaper",
    "OutputRows",
    "OutputSound",
    "OutputText",
    "Rows",
    "Series",
    "Source",
    "Steps",
    "Take",
    "Text",
    "Working",
    "anew",
    "answer_of",
    "calculator",
    "drain",
    "example_fields",
    "lived",
    "registered",
    "run_typed",
    "run_values",
    "steps_typed",
    "told",
]
