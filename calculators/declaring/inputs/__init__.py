"""What a calculator takes: one declaration per input, put in the annotation of a parameter.

Each kind of input is one class in a file of its own; how it is shown is one row of the table in
``presenting/inputs.py``.
"""

from calculators.declaring.inputs.bands import BAND_COUNT, Bands
from calculators.declaring.inputs.choice import Choice
from calculators.declaring.inputs.curve_text import CurveText
from calculators.declaring.inputs.day import Day
from calculators.declaring.inputs.exact import Exact
from calculators.declaring.inputs.file import File
from calculators.declaring.inputs.flag import Flag
from calculators.declaring.inputs.kind import NO_DEFAULT, Form, Found, InputField, Kind
from calculators.declaring.inputs.number import Number
from calculators.declaring.inputs.rows import Rows
from calculators.declaring.inputs.text import Text

__all__ = [
    "BAND_COUNT",
    "NO_DEFAULT",
    "Bands",
    "Choice",
    "CurveText",
    "Day",
    "Exact",
    "File",
    "Flag",
    "Form",
    "Found",
    "InputField",
    "Kind",
    "Number",
    "Rows",
    "Text",
]
