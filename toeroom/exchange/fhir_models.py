"""Checking a bundle with the models of fhir.resources.

Release R5 is 5.0.0. For R4 the library holds R4B (4.3.0) and no 4.0.1; what is written and read here (Bundle,
Patient, Observation) did not change between the two.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

from pydantic import ValidationError

from toeroom.errors import BadInput

_MODELS = {"R4": "fhir.resources.R4B.bundle", "R5": "fhir.resources.bundle"}


def check_bundle(bundle: dict[str, Any], release: str, file: str) -> None:
    """Raises `BadInput`, naming the first element at fault, where `bundle` is no bundle of the release."""
    try:
        import_module(_MODELS[release]).Bundle.model_validate(bundle)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        place = ".".join(str(part) for part in first["loc"])
        raise _fault(f"{place}: {first['msg']}" if place else first["msg"], release, file) from None
    except (AttributeError, KeyError, LookupError, RecursionError, TypeError, ValueError):
        # The library looks a resource's kind up by its name, and fails in its own ways where that is none.
        raise _fault("a resource or an extension is of no known kind", release, file) from None


def _fault(what: str, release: str, file: str) -> BadInput:
    return BadInput(f"is no FHIR {release} bundle: {what}", file=file, mend="export it again")
