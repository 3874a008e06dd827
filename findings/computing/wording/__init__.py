"""Results in the words people use, with rounding that claims no more than the method can give.

Works on stored plain values, so that a kept result is read the same way years later.
"""

from findings.computing.wording.inputs import Given, given_of
from findings.computing.wording.report import report_text, sources_text
from findings.computing.wording.speaking import Spoken, spoken

__all__ = ["Given", "Spoken", "given_of", "report_text", "sources_text", "spoken"]
