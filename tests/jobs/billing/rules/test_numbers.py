"""Numbers that cannot be VAT numbers or taxpayer references, whatever their check digits."""

from __future__ import annotations

import pytest

from jobs.billing.rules import is_utr, is_vat_number


@pytest.mark.parametrize("text", ["", "GB", "12345678", "GB12345678X", "٣" * 9, "1" * 13])
def test_what_is_no_number_at_all(text: str) -> None:
    assert not is_vat_number(text)
    assert not is_utr(text)
