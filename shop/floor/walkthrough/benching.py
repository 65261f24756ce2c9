"""Work and tests, with a failed one on the way."""

import uuid
from typing import Any

from shop.floor.walkthrough.walk import Walk, expect


def work(walk: Walk) -> str:
    """Go to the bench for work and do the sheet up to closing."""
    page = walk.do("start_work")
    expect("for work" in page.text, "the unit on a bench for work", page)
    return f"on a bench for work; {walk.tick_all(but=('close', 'count'))} steps ticked"


def no_way_past_the_gate(walk: Walk) -> str:
    """Ask for testing too early; the refusal must say what is missing."""
    unit = walk.unit()
    offered: dict[str, Any] = next((offer for offer in unit["offers"] if offer["move"] == "finish_bench"), {})
    expect(offered.get("open") is False and offered["reasons"], "the move to testing closed, with reasons", unit)
    answer = walk.post(f"units/{walk.unit_id}/moves", {"move": "finish_bench"}, version=unit["version"])
    codes = {reason["code"] for reason in answer.json.get("reasons", [])}
    expect(answer.status == 409 and "fasteners_missing" in codes, "a refusal that names the fasteners", answer)
    expect(walk.unit()["version"] == unit["version"], "a unit that the refusal left as it was", walk.unit())
    return f"too early for testing, which is refused with {len(codes)} reasons: {', '.join(sorted(codes))}"


def measure(walk: Walk) -> str:
    """Take the open readings."""
    return f"{walk.read_points('5.02')} readings taken while it is open"


def close(walk: Walk) -> str:
    """Put the fasteners back, count, and go on to testing."""
    walk.all_back()
    walk.tick_all()
    page = walk.do("finish_bench")
    expect("Being tested" in page.text, "the unit in testing", page)
    return "fasteners back and counted; closed; in testing"


def fails(walk: Walk) -> str:
    """Let a test fail."""
    page = walk.do("fail_test", words="The left sound channel cuts out when it is warm.")
    expect("a test failed" in page.text, "the failed test on the trace", page)
    expect(walk.unit()["stage"] == "bench", "the unit on the bench", walk.unit())
    return "a failed test sends it back to the bench with the reason"


def mend(walk: Walk) -> str:
    """Mend, measure again, close again."""
    walk.do("fasteners-out", where="front edge", kind="cross, 3 x 8 mm", count="2")
    walk.tick_all(but=("close", "count"))
    walk.read_points("5.01")
    walk.all_back()
    walk.tick_all()
    return "mended, measured and closed once more"


def safe_repeats(walk: Walk) -> str:
    """Go to testing by the API: from a stale view, then well, then once more as if the answer had been lost."""
    version, path, move = walk.unit()["version"], f"units/{walk.unit_id}/moves", {"move": "finish_bench"}
    stale = walk.post(path, move, version=version - 1)
    expect(stale.status == 412, "a stale view to be refused", stale)
    key = uuid.uuid4().hex
    first, again = (walk.post(path, move, key=key, version=version) for _ in range(2))
    expect(first.status == 200 and first.json["stage"] == "testing", "the unit in testing", first)
    expect((again.status, again.body) == (200, first.body), "the same answer to the same request", again)
    expect(walk.unit()["version"] == first.json["version"], "one effect of two requests", walk.unit())
    return "in testing again, by the API: a stale view is refused, and a repeated request has the effect of one"


def passes(walk: Walk) -> str:
    """Take the closed readings and pass."""
    taken = walk.read_points("5.01")
    page = walk.do("pass_test")
    expect("Ready" in page.text, "the unit ready", page)
    return f"{taken} readings taken closed; passed; ready"
