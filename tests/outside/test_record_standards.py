"""The record against the published examples of the standards that it rests on (values from memory of the documents,
and the libraries agree with them).
"""

from __future__ import annotations

import base64
import json

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from handsfree.journal.keys import SigningKey, is_signed
from handsfree.journal.lines import canonical, digest

RFC_8785_INPUT = r"""{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}"""
RFC_8785_OUTPUT = (
    r'{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
    r'"string":"€$\u000f\nA' + "'" + r'B\"\\\\\"/"}'
)


def test_canonical_json_is_that_of_rfc_8785_section_3_2_4() -> None:
    assert canonical(json.loads(RFC_8785_INPUT)).decode() == RFC_8785_OUTPUT


def test_keys_are_sorted_by_utf_16_units_as_in_rfc_8785_section_3_2_3() -> None:
    names = ["\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\u0080", "\u00f6"]
    in_order = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]
    assert list(json.loads(canonical(dict.fromkeys(names, 0)))) == in_order


def test_the_hash_is_that_of_fips_180_4() -> None:
    """The example "abc", and that of no message at all."""
    assert digest(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert digest(b"") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"


def test_signatures_are_those_of_rfc_8032_section_7_1() -> None:
    """Test 1 (no message) and test 2 (one byte)."""
    for secret, public, message, signature in (
        (
            "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
            "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
            "",
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46b"
            "d25bf5f0595bbe24655141438e7a100b",
        ),
        (
            "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
            "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
            "72",
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c"
            "387b2eaeb4302aeeb00d291612bb0c00",
        ),
    ):
        key = SigningKey(Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret)))
        assert base64.b64decode(key.public).hex() == public
        assert base64.b64decode(key.sign(bytes.fromhex(message))).hex() == signature
        assert is_signed(bytes.fromhex(message), key.public, key.sign(bytes.fromhex(message)))


def test_base_32_is_that_of_rfc_4648_section_10() -> None:
    """The anchor's characters: "foobar" in the document's own table of test vectors."""
    assert base64.b32encode(b"foobar") == b"MZXW6YTBOI======"
