"""What the shop is made of, over the API: library, suppliers, places, profile, passwords."""

from shop.boards.models import Service
from shop.core.profile import profile
from shop.parts.models import Part, Supplier
from shop.people.models import Place, User
from tests.api.conftest import Device


def version_of(device: Device, path: str) -> dict[str, str]:
    return {"If-Match": device.get(path).headers["ETag"]}


def test_a_library_is_entered_from_nothing(boss: Device) -> None:
    model = boss.post("models", {"maker": "Tessaro", "name": "Vesper 16", "mains_inside": True}).json()
    board = boss.post(f"models/{model['id']}/revisions", {"marking": "TV-041", "how_to_tell": "rear edge"})
    assert (board.status_code, board.json()["marking"]) == (201, "TV-041")
    assert any("mains" in caution.lower() for caution in boss.get(f"models/{model['id']}/cautions").json()["cautions"])
    supplier = boss.post("suppliers", {"name": "Coastal Parts", "lead_days": 4}).json()
    assert boss.get("suppliers").json()["items"] == [supplier]
    part = boss.post("parts", {"code": "REG-9V", "name": "9 V regulator", "supplier": supplier["id"]})
    assert (part.status_code, part.json()["supplier"]["name"]) == (201, "Coastal Parts")
    said = {
        "code": "regulator",
        "name": "Regulator",
        "minutes": 25,
        "parts": [{"part": part.json()["id"], "quantity": 2}],
    }
    service = boss.post("services", said).json()
    assert [(row["code"], row["quantity"]) for row in service["parts"]] == [("REG-9V", 2)]
    assert boss.post("services", said).status_code == 422
    assert boss.post(f"models/{model['id']}/retire").status_code == 200
    assert boss.get("models").json()["items"] == []


def test_a_part_is_changed_by_whoever_saw_its_present_state(boss: Device) -> None:
    part = Part.objects.create(code="REG-9V", name="9 V regulator")
    seen = version_of(boss, f"parts/{part.id}")
    assert boss.patch(f"parts/{part.id}", {"price_minor": 500}, **seen).json()["price_minor"] == 500
    assert boss.patch(f"parts/{part.id}", {"price_minor": 900}, **seen).status_code == 412
    assert boss.post(f"parts/{part.id}/retire", **version_of(boss, f"parts/{part.id}")).status_code == 200
    assert boss.get("parts").json()["items"] == []
    assert Supplier.objects.count() == 0


def test_a_service_is_changed_and_taken_off_the_list(tablet: Device, recap: Service) -> None:
    path = f"services/{recap.id}"
    changed = tablet.patch(path, {"minutes": 95, "steps": ["Out", "In"]}, **version_of(tablet, path)).json()
    assert (changed["minutes"], changed["steps"]) == (95, ["Out", "In"])
    assert tablet.patch(path, {"minutes": 0}, **version_of(tablet, path)).status_code == 422
    bare = tablet.post(f"{path}/parts", {"parts": []}, **version_of(tablet, path))
    assert (bare.status_code, bare.json()["parts"]) == (200, [])
    assert tablet.post(f"{path}/retire", **version_of(tablet, path)).status_code == 200
    assert recap.code not in {row["code"] for row in tablet.get("services").json()["items"]}


def test_a_place_is_added_changed_and_retired(boss: Device) -> None:
    made = boss.post("places", {"name": "Box 9", "kind": "box", "capacity": 2})
    path = f"places/{made.json()['id']}"
    assert made.headers["Location"].endswith(path)
    assert boss.post("places", {"name": "Hall", "kind": "shelf", "capacity": 501}).status_code == 422
    assert boss.patch(path, {"capacity": 3}, **version_of(boss, path)).json()["capacity"] == 3
    assert boss.post(f"{path}/retire", **version_of(boss, path)).json()["retired_at"]
    assert not Place.objects.filter(name="Box 9", retired_at=None).exists()


def test_the_profile_is_changed_by_its_version(boss: Device) -> None:
    seen = version_of(boss, "profile")
    assert boss.patch("profile", {"quote_days": 21, "town": "Port Ember"}, **seen).json()["quote_days"] == 21
    assert boss.patch("profile", {"quote_days": 7}, **seen).status_code == 412
    assert boss.patch("profile", {"time_zone": "Moon/Far"}, **version_of(boss, "profile")).status_code == 422
    assert (profile().quote_days, profile().town) == (21, "Port Ember")


def test_the_owner_sets_a_password_and_no_answer_repeats_it(boss: Device, jun: User) -> None:
    new = "seven moths by the lamp"
    answer = boss.post(f"staff/{jun.id}/password", {"password": new})
    assert answer.status_code == 200
    assert new not in answer.content.decode()
    jun.refresh_from_db()
    assert jun.check_password(new)
    assert boss.post(f"staff/{jun.id}/password", {"password": "password1"}).status_code == 422


def test_lots_are_listed(desk: Device, boss: Device) -> None:
    part = boss.post("parts", {"code": "REG-9V", "name": "9 V regulator"}).json()
    lot = desk.post("lots", {"part": part["id"], "quantity": 5, "marking": "week 41"}).json()
    assert desk.get("lots").json()["items"] == [lot]
