"""Results in the words people use, with rounding that claims no more than the method can give.

Works on stored plain values, so that a kept result is read the same way years later.
"""

from findings.computing.wording.inputs import Given, given_of
from findings.computing.wording.phrasing import Phrased, phrase
from findings.computing.wording.report import report_text, sources_text

__all__ = ["Given", "Phrased", "given_of", "phrase", "report_text", "sources_text"]
