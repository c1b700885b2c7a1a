"""A certificate on paper: what its square codes hold, read back by a library that did not write them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pypdfium2
import pytest
import zxingcpp
from click.testing import CliRunner
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from kit import criteria
from kit.cli import smokehouse
from kit.files.certificate import CertificateFacts, read_certificate, write_certificate
from kit.files.signed_token import MAX_CERTIFICATE_BYTES
from kit.files.signing import Signer
from kit.records.competence.certifying import title_of

SIGNER = Signer(Ed25519PrivateKey.from_private_bytes(bytes([7] * 32)))


def _token(step: str, name: str = "Łucja van der Ærø-Ferris") -> str:
    now = datetime.now(UTC).replace(microsecond=0)
    facts = CertificateFacts(
        id="urn:uuid:5f0c2f8e-7c43-4a51-9d4a-0d2f3f0f4b11",
        person_name=name,
        kitchen_name="Skerry Smokehouse",
        step=step,
        step_title=title_of(step.split("+")),
        criteria={each.id: each.text for part in step.split("+") for each in criteria.at(part)},
        given=now - timedelta(days=1),
        until=now + timedelta(days=200),
    )
    return write_certificate(facts, SIGNER)


def _printed(token: str, folder):
    file, out = folder / "certificate.jwt", folder / "certificate.pdf"
    file.write_text(token + "\n")
    done = CliRunner().invoke(smokehouse, ["certificate", "print", str(file), "--out", str(out)])
    return done, out


def _place(code) -> tuple[int, int]:
    corner = code.position.top_left
    return corner.y // 300, corner.x


@pytest.mark.slow
def test_a_unit_of_all_steps_is_whole_on_its_pages(tmp_path):
    """The largest unit there is: its words and its codes go on over several pages, and nothing is cut."""
    token = _token("+".join(criteria.steps()))
    assert len(token) < MAX_CERTIFICATE_BYTES
    done, out = _printed(token, tmp_path)
    assert done.exit_code == 0
    scanned = []
    for page in pypdfium2.PdfDocument(out):
        picture = page.render(scale=200 / 72).to_pil().convert("L")
        scanned += sorted(zxingcpp.read_barcodes(picture), key=_place)
    assert "".join(one.text for one in scanned) == token


@pytest.mark.slow
@pytest.mark.parametrize("step", sorted(criteria.steps()))
def test_the_codes_on_the_page_are_the_signed_file(step, tmp_path):
    token = _token(step)
    done, out = _printed(token, tmp_path)
    assert done.exit_code == 0 and "holds the person's name" in done.output
    pages = pypdfium2.PdfDocument(out)
    assert len(pages) == 1
    # 200 dots an inch: what a plain office printer and a scanner give
    picture = pages[0].render(scale=200 / 72).to_pil().convert("L")
    codes = sorted(zxingcpp.read_barcodes(picture), key=_place)
    scanned = "".join(one.text for one in codes)
    assert scanned == token
    assert read_certificate(scanned.encode(), (), datetime.now(UTC)).person_name.startswith("Łucja")
    words = pages[0].get_textpage().get_text_range()
    assert "Łucja van der Ærø-Ferris" in words and "Skerry Smokehouse" in words and SIGNER.key_id in words
    assert all(each.id in words for each in criteria.at(step))


def test_a_changed_file_is_not_printed(tmp_path):
    head, said, mark = _token("cook").split(".")
    done, out = _printed(f"{head}.{said[:-9]}AAAAAAAAA.{mark}", tmp_path)
    assert done.exit_code == 1 and not out.exists()
