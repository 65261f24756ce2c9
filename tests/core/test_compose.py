"""The production form, read where no container engine is: its schema, its commands, its promises."""

import json
from typing import Any

import jsonschema
import pytest
import yaml
from check_jsonschema.builtin_schemas import get_builtin_schema

from shop.core.supervisor import commands
from tests.core.running import BASE, OwnShop

COMPOSE: dict[str, Any] = yaml.safe_load((BASE / "docker-compose.yml").read_text())
SERVICES: dict[str, dict[str, Any]] = COMPOSE["services"]


def test_it_follows_the_compose_schema() -> None:
    # The schema of the Compose Specification (compose-spec), as check-jsonschema carries it.
    schema = get_builtin_schema("vendor.compose-spec")
    jsonschema.validators.validator_for(schema)(schema).validate(COMPOSE)


def test_the_schema_would_find_a_mistake() -> None:
    schema = get_builtin_schema("vendor.compose-spec")
    broken = json.loads(json.dumps(COMPOSE))
    broken["services"]["web"]["comand"] = []
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validators.validator_for(schema)(schema).validate(broken)


@pytest.mark.parametrize("name", ["web", "worker", "beat"])
def test_each_command_is_the_one_that_the_supervisor_starts(name: str) -> None:
    _python, *rest = commands(host="0.0.0.0", port=8000)[name]
    assert SERVICES[name]["command"] == ["python", *rest]


def test_the_tables_are_prepared_before_anything_starts(own_shop: OwnShop) -> None:
    python, script, *words = SERVICES["prepare"]["command"]
    assert (python, script) == ("python", "manage.py")
    assert "No migrations to apply" in own_shop.manage(*words).stdout
    for name in ("web", "worker", "beat"):
        assert SERVICES[name]["depends_on"]["prepare"] == {"condition": "service_completed_successfully"}


def test_every_service_that_stays_has_a_health_check() -> None:
    assert {name for name, service in SERVICES.items() if "healthcheck" not in service} == {"prepare"}


def test_the_worker_is_held_healthy_by_a_command_that_works(own_shop: OwnShop) -> None:
    _cmd, python, script, *words = SERVICES["worker"]["healthcheck"]["test"]
    assert (python, script, SERVICES["beat"]["healthcheck"]) == (
        "python",
        "manage.py",
        SERVICES["worker"]["healthcheck"],
    )
    assert own_shop.manage(*words).stdout.startswith("advice    worker")


def test_no_service_of_ours_runs_as_root_or_may_write_outside_its_volume() -> None:
    dockerfile = (BASE / "Dockerfile").read_text().splitlines()
    assert dockerfile.index("USER wickline") > max(
        number for number, line in enumerate(dockerfile) if line.startswith(("RUN", "COPY"))
    )
    for name in ("prepare", "web", "worker", "beat"):
        assert SERVICES[name]["read_only"] is True
        assert SERVICES[name]["cap_drop"] == ["ALL"]
        assert SERVICES[name]["volumes"] == ["data:/data"]


def test_nothing_but_the_pages_and_the_front_is_published_and_the_pages_only_here() -> None:
    published = {name: service["ports"] for name, service in SERVICES.items() if "ports" in service}
    assert published == {"web": ["${WICKLINE_PUBLISH:-127.0.0.1:8000}:8000"], "front": ["80:80", "443:443"]}
    assert SERVICES["front"]["profiles"] == ["https"]


def test_a_missing_password_stops_compose_with_a_sentence() -> None:
    url = SERVICES["web"]["environment"]["WICKLINE_DATABASE_URL"]
    assert "${POSTGRES_PASSWORD:?set POSTGRES_PASSWORD in .env}" in url
    assert SERVICES["postgres"]["environment"]["POSTGRES_PASSWORD"] in url
