"""The published schema is OpenAPI 3.1 and has no warning."""

import json

from django.core.management import call_command
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.validation import validate_schema

from api.urls import urlpatterns


def test_it_is_valid_and_complete() -> None:
    call_command("spectacular", "--validate", "--fail-on-warn", "--file", "/dev/null")
    schema = SchemaGenerator().get_schema(request=None, public=True)
    validate_schema(schema)
    assert schema["openapi"].startswith("3.1")
    described = {path for path in schema["paths"]}
    assert len(described) == len(urlpatterns) - 2  # all but the schema itself and what is no address


def test_every_operation_says_what_can_go_wrong() -> None:
    schema = json.loads(json.dumps(SchemaGenerator().get_schema(request=None, public=True), default=str))
    for path, methods in schema["paths"].items():
        for method, described in methods.items():
            problems = [status for status in described["responses"] if status.startswith("4")]
            assert problems, (path, method)
            for status in problems:
                assert "application/problem+json" in described["responses"][status]["content"], (path, method, status)
