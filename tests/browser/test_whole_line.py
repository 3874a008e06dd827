"""One death from the first call to the released packet, by four people in a real browser."""

from __future__ import annotations

import html
import io
import subprocess
import sys
import zipfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from django.conf import settings
from django.contrib.auth.models import Group
from django.test import Client
from django.utils import timezone
from django.utils.html import strip_tags
from playwright.sync_api import Page, expect

from cases.models import Case
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.models import AuditEvent
from me_office.demo.pictures import render
from tests.browser.visitor import seen
from tests.builders import PASSWORD, make_staff, with_password

PATIENCE_MS = 60_000


def person(role: Role, username: str, name: str) -> Staff:
    return with_password(make_staff(role, name=name, username=username, credentials=""))


def moment(hours_ago: float) -> str:
    then = timezone.now() - timezone.timedelta(hours=hours_ago)
    return then.astimezone(settings.OFFICE_ZONE).strftime("%Y-%m-%dT%H:%M")


def sign_in(page: Page, username: str) -> Page:
    page.goto("/")
    page.get_by_label("User name").fill(username)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("search")).to_be_visible()
    return page


def fill(page: Page, entries: dict[str, str]) -> None:
    for label, value in entries.items():
        page.get_by_label(label, exact=True).fill(value)


def choose(page: Page, label: str, *, of: str = "") -> None:
    where = page.get_by_role("group", name=of) if of else page
    where.get_by_role("radio", name=label, exact=True).check(force=True)


def step(page: Page, title: str) -> None:
    course = page.get_by_role("navigation", name="Course of the case")
    course.get_by_role("link", name=title).click()


def investigate(page: Page) -> str:
    """First call, jurisdiction, scene, body, identity. Returns the case's address."""
    page.get_by_role("link", name="Log a report of death").click()
    fill(
        page,
        {
            "Time of the call": moment(30),
            "Who called": "Deputy J. Orrin",
            "Where the body is": "Grain store, Mill Road 3, Tarnford",
            "What the caller said": "Found at the foot of a ladder by a co-worker.",
            "Heading of the case": "Fall at a grain store",
            "Given names": "Oren",
            "Family name": "Hallstead",
        },
    )
    choose(page, "unknown", of="Last known alive")
    choose(page, "exact", of="Found")
    page.get_by_label("at", exact=True).last.fill(moment(31))
    page.get_by_role("button", name="Log the report").click()
    choose(page, "accepted")
    fill(page, {"Why": "Unexpected death at work"})
    page.get_by_role("button", name="Record the decision").click()
    expect(seen(page, "Jurisdiction accepted")).to_be_visible()
    address = page.url.split("/cases/")[1].split("/")[0]
    step(page, "Scene")
    page.get_by_role("link", name="Record the scene").first.click()
    fill(page, {"Arrived": moment(29), "Address or place": "Mill Road 3, Tarnford"})
    page.get_by_label("Position as found").select_option("supine")
    page.get_by_role("button", name="Save the scene").click()
    step(page, "Body")
    page.get_by_role("link", name="Record receipt of the body").first.click()
    fill(
        page,
        {
            "Received at": moment(26),
            "Delivered by": "Tarn Transport, R. Pell",
            "Received from": "Mill Road 3, Tarnford",
            "Number on the body tag": "T-4471",
            "Kept at": "Cooler 2, place 7",
        },
    )
    page.get_by_label("Seal number").fill("B-100")
    choose(page, "intact")
    page.get_by_role("button", name="Save the receipt").click()
    return f"/cases/{address}"


def assign(page: Page, address: str) -> None:
    """The supervisor assigns the pathologist."""
    page.goto(f"{address}/")
    page.get_by_role("link", name="Assign or restrict").click()
    page.get_by_label("Pathologist").select_option(label="Dr. I. Vasko")
    page.get_by_role("button", name="Assign").click()


def point_on_chart(page: Page, u: float, v: float) -> None:
    """Click a place of the drawing, given in the view's own coordinates."""
    page.get_by_role("button", name="Point").click()
    x, y = page.evaluate(
        """([u, v]) => {
            const svg = document.querySelector("[role=application] svg");
            const at = new DOMPoint(u, v).matrixTransform(svg.getScreenCTM());
            return [at.x, at.y];
        }""",
        [u, v],
    )
    page.mouse.click(x, y)


@cache
def picture(kind: str, number: int) -> dict[str, Any]:
    made = render(kind, seed=number, width=480, height=320, label=f"photograph {number}")
    return {"name": f"IMG_{number:04d}.JPG", "mimeType": "image/jpeg", "buffer": made.jpeg()}


def examine(page: Page, address: str) -> None:
    """The examination with a finding on the chart and a layer, and the organs."""
    page.goto(f"{address}/examination/")
    choose(page, "full autopsy")
    fill(page, {"Began": moment(20), "Crown-heel length": "171.0", "Body weight": "78.4"})
    page.get_by_label("I have read the report of death and the scene").check()
    page.get_by_role("button", name="Open the examination").click()
    page.wait_for_url(f"**{address}/chart/")
    expect(page.locator("[data-widget=body-chart][data-ready]")).to_be_attached()
    point_on_chart(page, -55.0, 300.0)
    fill(page, {"Term": "Contusion", "Length": "11.0", "Width": "6.5"})
    page.get_by_label("Measured by").select_option("ruler")
    page.get_by_label("Seen as").fill("purple-red, four darker bands across it")
    page.get_by_role("button", name="Record the finding").click()
    expect(page.get_by_role("heading", name="1 · Contusion")).to_be_visible()
    page.goto(f"{address}/organs/")
    page.get_by_label("Organ").select_option("heart")
    fill(page, {"Weight": "410"})
    page.get_by_role("button", name="Save the weight").click()
    expect(page.get_by_role("cell", name="410 g")).to_be_visible()


def photograph(page: Page, address: str) -> None:
    """Two photographs of the finding, taken in under their digests."""
    page.goto(f"{address}/photographs/add/")
    page.get_by_label("Files", exact=True).set_input_files(
        [picture("contusion", 1), picture("contusion", 2)]
    )
    choose(page, "examination", of="Place")
    choose(page, "close-up", of="View")
    page.get_by_label("A scale is in the picture").check()
    page.get_by_label("What it shows").fill("Right chest with a contusion")
    page.get_by_label("1 Contusion").check()
    page.get_by_role("button", name="Add 2 photographs").click()
    expect(seen(page, "2 added").first).to_be_visible(timeout=PATIENCE_MS)
    step(page, "Photographs")
    expect(page.get_by_role("link", name="Photograph 2")).to_be_visible(timeout=PATIENCE_MS)


def take_specimen(page: Page, address: str) -> None:
    """Blood under a numbered seal, handed on with both parties, place, time and purpose."""
    seal = f"S-{address[-6:]}"
    page.goto(f"{address}/specimens/take/")
    fill(
        page,
        {
            "Material": "Blood",
            "Site": "Femoral vein, right",
            "Amount": "10",
            "Container": "Gray-top tube",
            "Collected at": moment(19),
            "Seal number": seal,
            "Handed to another party or place of storage": "Specimen refrigerator 1",
            "Handed over at": moment(18.5),
            "Purpose of the transfer": "storage until toxicology",
        },
    )
    page.get_by_label("Unit").select_option("mL")
    page.get_by_label("Place", exact=True).fill("Examination room 1")
    page.get_by_role("button", name="Take and seal").click()
    expect(seen(page, seal).first).to_be_visible()


def conclude(page: Page, address: str) -> None:
    """End of the examination, cause and manner, the report's words, to review."""
    page.goto(f"{address}/examination/")
    fill(page, {"Ended": moment(17)})
    page.get_by_role("button", name="Save the examination").click()
    page.goto(f"{address}/cause-and-manner/")
    fill(page, {"Immediate cause": "Blunt force injuries of the chest"})
    choose(page, "accident")
    fill(page, {"How the injury occurred": "Fell from a ladder"})
    page.get_by_role("button", name="State cause and manner").click()
    page.goto(f"{address}/report/")
    fill(page, {"Opinion": "He died of injuries of the chest, consistent with the fall."})
    page.get_by_role("button", name="Save the text").click()
    send_to_review(page)


def send_to_review(page: Page) -> None:
    # Blood that never left the office is acknowledged before the report is signed.
    for box in (
        page.get_by_role("group", name="Not available at signing").get_by_role("checkbox").all()
    ):
        box.check()
    fill(page, {"Your password": PASSWORD})
    page.get_by_role("button", name="Sign and send to review").click()
    expect(page.get_by_role("heading", name="Review of draft")).to_be_visible()


def send_back(page: Page, address: str) -> None:
    """The supervisor comments on a passage and sends the draft back."""
    page.goto("/")
    expect(page.get_by_role("link", name="Draft 1, Oren Hallstead").first).to_be_visible()
    page.goto(f"{address}/review/")
    passage = page.locator("#passage-finding-1")
    passage.locator("summary", has_text="Comment").click()
    passage.get_by_label("Comment on this passage").fill("Which ribs lie below?")
    passage.get_by_role("button", name="Add comment").click()
    expect(passage.get_by_text("Which ribs lie below?", exact=True)).to_be_visible()
    fill(page, {"What needs to change": "See the comment."})
    page.get_by_role("button", name="Send back").click()
    expect(seen(page, "The draft went back to its author.")).to_be_visible()


def answer_and_send_again(page: Page, address: str) -> None:
    page.goto("/")
    expect(page.get_by_role("link", name="Sent back: draft 1").first).to_be_visible()
    page.goto(f"{address}/review/")
    page.get_by_label("Answer to").fill("The fifth to the eighth.")
    page.get_by_role("button", name="Answer").click()
    expect(seen(page, "The fifth to the eighth.")).to_be_visible()
    page.goto(f"{address}/report/")
    send_to_review(page)


def sign_off(page: Page, address: str) -> None:
    page.goto(f"{address}/review/")
    page.locator("#sign").get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Sign the review and lock").click()
    expect(seen(page, "Reviewed and signed by")).to_be_visible()


def release(page: Page, address: str) -> bytes:
    """The clerk logs a subpoena, builds the packet, releases it. Returns the packet's bytes."""
    page.goto(f"{address}/court/new/")
    choose(page, "subpoena")
    today = timezone.now().astimezone(settings.OFFICE_ZONE).date()
    fill(
        page,
        {
            "Court": "Circuit Court of Tarn County",
            "Cause number": "26-CF-0117",
            "Requesting party": "County attorney",
            "Served or received on": today.isoformat(),
            "Due on": (today + timezone.timedelta(days=5)).isoformat(),
            "What is requested": "The report and all photographs",
        },
    )
    page.get_by_role("button", name="Log the request").click()
    page.goto(f"{address}/packets/")
    page.get_by_role("button", name="Build the packet").click()
    download = page.get_by_role("link", name="Download")
    expect(download).to_be_visible(timeout=PATIENCE_MS)
    with page.expect_download() as arriving:
        download.click()
    packet = Path(arriving.value.path()).read_bytes()
    page.get_by_role("link", name="Record the release").click()
    fill(page, {"Released to": "County attorney, by A. Moss"})
    choose(page, "courier")
    choose(page, "everything that was asked for")
    page.get_by_role("button", name="Record the release").click()
    expect(seen(page, "Released").first).to_be_visible()
    return packet


def whole_line(new_page: Callable[..., Page], *, prefix: str = "") -> tuple[str, bytes]:
    """The four people's work. Returns the case's address and the packet."""
    quill = sign_in(new_page(), f"{prefix}quill")
    address = investigate(quill)
    thorne = sign_in(new_page(), f"{prefix}thorne")
    assign(thorne, address)
    vasko = sign_in(new_page(), f"{prefix}vasko")
    examine(vasko, address)
    photograph(vasko, address)
    take_specimen(vasko, address)
    conclude(vasko, address)
    send_back(thorne, address)
    answer_and_send_again(vasko, address)
    sign_off(thorne, address)
    ostrander = sign_in(new_page(), f"{prefix}ostrander")
    return address, release(ostrander, address)


def check_bag(packet: bytes, folder: Path) -> Path:
    """Check the manifest with the bagit library (RFC 8493) in a process of its own."""
    zipfile.ZipFile(io.BytesIO(packet)).extractall(folder)
    (bag,) = [path for path in folder.iterdir() if (path / "bagit.txt").exists()]
    command = "import bagit, sys; bagit.Bag(sys.argv[1]).validate(processes=1); print('valid')"
    done = subprocess.run(
        [sys.executable, "-c", command, str(bag)], capture_output=True, text=True, check=False
    )
    assert done.stdout.strip() == "valid", done.stderr
    return bag


def check_report(bag: Path) -> None:
    """Open the PDF as somebody outside the office would."""
    with pikepdf.open(bag / "data" / "report.pdf") as pdf:
        with pdf.open_metadata() as metadata:
            assert metadata.pdfa_status == "3B"
            assert str(metadata["pdfuaid:part"]) == "1"
        assert len(pdf.pages) >= 4
        assert pdf.Root.MarkInfo.Marked
        assert pdf.Root.Lang is not None
        pictures = {
            str(image.objgen)
            for page in pdf.pages
            for image in page.get("/Resources", {}).get("/XObject", {}).values()
            if image.get("/Subtype") == "/Image"
        }
        assert len(pictures) >= 2
        text = "".join(
            font for page in pdf.pages for font in map(str, page.Resources.get("/Font", {}))
        )
        assert text, "no fonts, so no text"


@pytest.mark.django_db(transaction=True)
def test_one_case_from_first_call_to_released_packet(
    new_page: Callable[..., Page], worker: Any, client: Client, tmp_path: Path
) -> None:
    for role, username, name in (
        (Role.INVESTIGATOR, "quill", "L. Quill"),
        (Role.PATHOLOGIST, "vasko", "Dr. I. Vasko"),
        (Role.SUPERVISOR, "thorne", "M. Thorne"),
        (Role.RECORDS_CLERK, "ostrander", "R. Ostrander"),
    ):
        person(role, username, name)
    # The chief is a pathologist too: only a physician signs the review.
    chief = Staff.objects.get(username="thorne")
    chief.groups.add(Group.objects.get(name=Role.PATHOLOGIST.value))
    worker.start()

    address, packet = whole_line(new_page)

    bag = check_bag(packet, tmp_path)
    check_report(bag)
    originals = sorted((bag / "data" / "photographs").glob("P-*"))
    assert [file.read_bytes() for file in originals] == [
        picture("contusion", 1)["buffer"],
        picture("contusion", 2)["buffer"],
    ]
    case = Case.objects.get()
    assert (case.state, case.number_running) == ("signed", 1)
    acts = set(AuditEvent.objects.filter(case_id=case.pk).values_list("act", "actor_name"))
    assert {
        ("log_report_of_death", "L. Quill"),
        ("accept_jurisdiction", "L. Quill"),
        ("record_finding", "Dr. I. Vasko"),
        ("add_photograph", "Dr. I. Vasko"),
        ("take_specimen", "Dr. I. Vasko"),
        ("return_report", "M. Thorne"),
        ("sign_off", "M. Thorne"),
        ("finish_packet", "R. Ostrander"),
        ("hand_over_packet", "R. Ostrander"),
    } <= acts
    assert not AuditEvent.objects.filter(case_id=case.pk, source="database").exists()
    client.force_login(chief)
    page = client.get(f"{address}/history/").content.decode()
    history = " ".join(html.unescape(strip_tags(page)).split())
    assert "L. Quill logged the report of death." in history
    assert "M. Thorne signed the review of the report and locked the case file." in history
