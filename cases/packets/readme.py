"""What a person who receives a packet reads first."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from django.conf import settings

from cases.court.marking import orders_of, readme_words
from cases.packets.curricula import of_packets, words_of
from cases.packets.material import Material
from cases.packets.models import Packet
from cases.packets.outgoing import OutgoingPhotograph
from cases.packets.rules import ReleasedAs
from cases.signatures.authority import facts_of
from cases.signatures.keeping import roots_by_name, verify_address
from me_office.shell.templatetags.office import moment

SIGNED_PDF = "signed-report.pdf"
# What is asked of a bag by whoever receives it, be it a packet or an answer.
HOW_TO_CHECK = """\
The folder is a bag as described in RFC 8493 (BagIt 1.0). Its manifests hold the SHA-256 digest
of every file.

How to check it
---------------
1. The ZIP itself: its SHA-256 digest is on the office's record of the {recorded}. Compute it with
       sha256sum {name}.zip
   or, on Windows, with
       certutil -hashfile {name}.zip SHA256
   and compare it with the digest that the office names to you.

2. Every file: unpack the ZIP, go into the folder {name}, and run
       sha256sum -c manifest-sha256.txt tagmanifest-sha256.txt
   Each line must end with OK.

3. The same, and that no file was added or left out, with any BagIt tool, for example
       pip install bagit
       bagit.py --validate {name}"""
TEXT = """\
{office}
Release packet {number} of case {case}
Made {made} for: {request}

{orders}What is here
------------
{signed}data/report.json           the same text as it was signed
{chart}data/photograph-log.csv    every photograph, what it shows, its digest (also .json)
data/custody.csv           every item, its seals and transfers (also .json)
{parts}
{how_to_check}

4. The signed text: the digest printed in the report's sign-off is that of data/report.json:
       sha256sum data/report.json
   must give
       {digest}
{same}{signatures}
A digest shows that a file is what was released. It does not show that what the file says is
right. Cause and manner of death are decided by a licensed pathologist or the official whom the
law names. What may be passed on is governed by local law: this packet may hold pictures of a dead
person and facts about living ones.
"""
SIGNED = f"""\
data/{SIGNED_PDF}     the report as it was signed, its lines numbered: to cite page and line
                           (PDF/A-3b, PDF/UA-1)
data/report.pdf            the same pages, line by line, then addenda, photograph log and more
"""
SIGNATURES = """\

5. The digital signatures: open data/{name} in a program that checks signatures in PDF
   (PAdES, ETSI EN 319 142-1), and let it trust data/signatures/{roots}.
   Before you trust a root certificate, compare its SHA-256 with what the office names to you:
{fingerprints}
   data/signatures/revoked.crl lists the certificates that the office had revoked when this packet
   was built. Whether something was added to the report later, the office tells by the
   code {code}{address}.
"""
ROOTS = """\
data/signatures/           root certificates, and the list of revoked ones (PEM, DER)
"""
REPORT = """\
data/report.pdf            the report, its addenda, photograph log and more (PDF/A-3b, PDF/UA-1)
"""
SAME = """\
   The same text is attached to both PDFs as signed-text.json. data/{name} was made once
   and every packet holds that same file; its digest is
       {digest}
"""
SAME_IN_REPORT = """\
   The same text is attached to data/report.pdf as signed-text.json.
"""
CHART = """\
data/body-chart/           the body chart, one drawing a view (SVG)
"""
PHOTOGRAPHS = """\
data/photographs/          the photographs as the camera made them, unchanged{but}
"""
BUT = "; what is redacted\n                           is named so"
COPIES = """\
data/photographs/          copies of the photographs without what the camera wrote into them (place,
                           serial number); the log names each original's digest and how each copy
                           was made: of most, the picture data stay byte for byte
"""
REDACTED = """\
data/redactions.csv        which photographs go out as redacted copies, and why (also .json)
"""
OUTLINES = """\
data/outlines/             what is drawn over photographs: outlines of findings with their numbers,
                           measured lines; each drawing has its picture's size (SVG)
"""
MEASUREMENTS = """\
data/measurements.csv      every measurement on a photograph: method, scale, interval or limits,
                           what they cover and what they leave out; each size holds in the
                           plane of the scale only (also .json)
"""
NO_PHOTOGRAPHS = """\
The photographs themselves are not in this packet; the log names every one with its digest.
"""
HOLDS_NONE = """\
The case file holds no photograph: the log is empty.
"""
HISTORY = """\
data/history.json          every change of the case file: who, when, what, why; what the office
                           keeps to prepare for court is no part of it
"""
CURRICULA = """\
data/curriculum-vitae/     as issued, with their content as its digest was computed (.json):
                           {who}
"""
ADDENDA = """\
data/addenda/              what was added to, or changed in, the signed report: as text and,
                           where it is signed, as PDF
"""


def bag_name(material: Material, packet: Packet) -> str:
    """Return the name of the packet's folder and ZIP."""
    return f"case-{material.case.label}-packet-{packet.number}".replace(" ", "-").replace("/", "-")


def readme_text(material: Material, packet: Packet, sent: Sequence[OutgoingPhotograph]) -> str:
    """Return the packet's README.txt."""
    asked = packet.request
    cause = f", cause {asked.cause_number}" if asked.cause_number else ""
    kept = material.signed_pdf
    same = SAME.format(name=SIGNED_PDF, digest=kept.file.sha256) if kept else SAME_IN_REPORT
    return TEXT.format(
        office=f"{settings.OFFICE_NAME}, {settings.OFFICE_ADDRESS}",
        number=packet.number,
        case=material.case.label,
        made=moment(material.read_at),
        request=f"{asked.get_kind_display()}{cause}, {asked.party}",
        how_to_check=HOW_TO_CHECK.format(recorded="release", name=bag_name(material, packet)),
        orders=readme_words(orders_of(asked)),
        digest=material.draft.sha256 if material.draft else "",
        signed=SIGNED if kept else REPORT,
        same=same,
        signatures=_signatures(material),
        chart=CHART if material.charts else "",
        parts=_parts(material, packet, sent),
    )


def _signatures(material: Material) -> str:
    plan = material.plan
    if plan is None:
        return ""
    if not plan.is_digital:
        return "   The report is not digitally signed.\n"
    address = f", at {verify_address()}" if verify_address() else ""
    roots = roots_by_name(plan)
    return SIGNATURES.format(
        name=SIGNED_PDF,
        roots=" and data/signatures/".join(name for name, _ in roots),
        fingerprints="\n".join(
            f"       {facts_of(pem).fingerprint}" for _, pem in roots_by_name(plan)
        ),
        code=plan.code,
        address=address,
    )


def _parts(material: Material, packet: Packet, sent: Sequence[OutgoingPhotograph]) -> str:
    drawn = any(material.overlay_words_of(one) for one in material.photographs)
    parts = ""
    redacted = any(each.is_redacted for each in sent)
    if packet.with_photographs and material.photographs:
        parts += PHOTOGRAPHS.format(but=BUT if redacted else "") if packet.camera_notes else COPIES
    parts += REDACTED if redacted else ""
    parts += OUTLINES if drawn else ""
    parts += MEASUREMENTS if material.measurements else ""
    parts += ROOTS if material.plan and material.plan.is_digital else ""
    parts += ADDENDA if material.addenda else ""
    who = words_of(of_packets([packet])[packet.pk])
    parts += CURRICULA.format(who=who) if who else ""
    parts += HISTORY if packet.with_history else ""
    if not material.photographs:
        parts += f"\n{HOLDS_NONE}"
    elif not packet.with_photographs:
        parts += f"\n{NO_PHOTOGRAPHS}"
    told = [_told(each) for each in sent if each.why and each.form is not ReleasedAs.NOT_SENT]
    return parts + ("\n" + "".join(told) if told else "")


def _told(sent: OutgoingPhotograph) -> str:
    number, why = sent.one.photograph.number, sent.why.rstrip(".")
    words = f"Photograph {number} is the {sent.form}. {why}."
    if sent.is_redacted:
        words = (
            f"Photograph {number} is a redacted copy; its original is not in this packet. "
            f"Reason: {why}."
        )
    return textwrap.fill(words, 96, subsequent_indent="    ") + "\n"
