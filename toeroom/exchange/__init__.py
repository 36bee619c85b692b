"""Exchange with other programs by open standards: a plan as CDS Hooks cards, a case as a FHIR bundle.

`cards` needs nothing more. `fhir_export` and `fhir_import` check every bundle with the models of the extra
`exchange`: call `need_extra` first. Which standard code stands for what is book data, `kb/codes.yaml`.
"""

from __future__ import annotations

from importlib.util import find_spec

from toeroom.errors import BadInput

RELEASES = ("R4", "R5")
"""Of FHIR."""


def need_extra() -> None:
    """Raises `BadInput`, which says what to install, where the library of FHIR models is missing."""
    if find_spec("fhir") is None:
        raise BadInput(
            "FHIR bundles need a library that is not installed", mend="pip install 'toeroom[exchange]'"
        )
