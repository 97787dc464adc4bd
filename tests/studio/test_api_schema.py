"""Requests made up from the interface's own schema, right and wrong ones: an answer each, never a failure.

The requests come from schemathesis, which knows nothing of this program but its OpenAPI page.
"""

from typing import Any

import pytest
import schemathesis
from django.core.wsgi import get_wsgi_application
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from schemathesis.core.result import Ok
from schemathesis.generation import GenerationMode

from evenground.records.reading_kinds import KINDS
from evenground.studio.api import api
from evenground.studio.tokens import WRONG_TOKENS
from tests.studio.test_api import Script, script

__all__ = ["script"]

EXAMPLES = 8
SCHEMA = schemathesis.openapi.from_dict(api.get_openapi_schema())
OPERATIONS = {
    op.label: op for op in (found.ok() for found in SCHEMA.get_all_operations() if isinstance(found, Ok))
}
QUIET = settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize=True,
    database=None,
    phases=(Phase.generate,),
    suppress_health_check=list(HealthCheck),
)


def test_the_schema_holds_every_address_of_the_interface() -> None:
    assert len(OPERATIONS) == 7


@pytest.mark.parametrize("mode", list(GenerationMode), ids=lambda mode: mode.value)
@pytest.mark.parametrize("label", sorted(OPERATIONS))
def test_whatever_is_sent_is_answered(script: Script, label: str, mode: GenerationMode) -> None:
    application = get_wsgi_application()
    begun = script.begin(rows=1, columns=1)
    answers: list[int] = []

    @QUIET
    @given(
        case=OPERATIONS[label].as_strategy(generation_mode=mode),
        known=st.sampled_from((True, True, False)),
        kind=st.sampled_from((*KINDS, "")),
    )
    def send(case: Any, known: bool, kind: str) -> None:
        WRONG_TOKENS.forget()
        if known:  # otherwise every request would end at an unknown visit, recording or kind
            case.path_parameters |= {"visit_id": str(script.visit.pk), "recording_id": begun}
        if kind and isinstance(case.body, dict) and "kind" in case.body:
            case.body["kind"] = kind
        answer = case.call(base_url="http://localhost", app=application, headers=script.headers)
        answers.append(answer.status_code)
        assert answer.status_code < 500, (case.as_curl_command(), answer.text[:500])

    send()
    assert len(answers) >= 1
