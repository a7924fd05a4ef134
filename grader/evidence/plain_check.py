"""How to check a bundle without this program: a text that lies in it, and the list that sha256sum reads."""

import hashlib
from collections.abc import Mapping

from grader.evidence.keys import PublicKey

HOW_TO, SUMS, MANIFEST, SIGNATURE, KEY = (
    "HOW-TO-CHECK.txt",
    "SHA256SUMS",
    "manifest.json",
    "manifest.sig",
    "signing-key.pem",
)
CHECK_SIGNATURE = f"openssl pkeyutl -verify -pubin -inkey {KEY} -rawin -in {MANIFEST} -sigfile {SIGNATURE}"
CHECK_FILES = f"sha256sum --check --strict {SUMS}"
CHECK_SUMS = f"sha256sum {SUMS}"
CHECK_CHAIN = """sed 's/.*,"link"://; s/}$//' chain.jsonl | while read -r l; do printf %s "$l" | sha256sum; done"""
CHECK_KEY = f"openssl pkey -pubin -in {KEY} -outform DER -out key.der && sha256sum key.der"

NOT_PROVEN = (
    "that the fries on the plates are of this lot, or that nobody chose the plates: only who was present can say that;",
    "that the photos are unedited: they haven't changed since they arrived, nothing is known of before;",
    "that the moments are right: they are this house's clocks, but for what a time stamp or a paper covers;",
    "that there is no other chain of records: who owns one can build another, but none that fits a hash you hold;",
    "that the key is this house's: compare its fingerprint with the one that you were given another way;",
    "that the dossier and custody.json are right: only readings and decisions can be found again;",
    "that fries are cooked through, safe, or of any composition: colour and size say nothing of that.",
)


def how_to_check(key: PublicKey) -> bytes:
    """The description, for openssl and sha256sum alone."""
    missing = "\n".join(f"   - {words}" for words in NOT_PROVEN)
    return f"""HOW TO CHECK THIS FILE WITHOUT OUR PROGRAM

You need sha256sum and openssl (version 3), which most Linux systems have. Open the zip into an empty folder, go there,
and type the five lines that begin with a dollar sign, without it.

1. Is the manifest signed?
   $ {CHECK_SIGNATURE}
   It must say "Signature Verified Successfully".

2. Whose key is it?
   $ {CHECK_KEY}
   It must begin with the fingerprint below. Compare that with the one that you were given another way: on paper, by
   telephone, in the contract. A fingerprint that came with this file proves nothing.
   {key.fingerprint}

3. Is every file the one that was signed?
   $ {CHECK_FILES}
   Every line must end with "OK".
   $ {CHECK_SUMS}
   The long number must stand in manifest.json behind "{SUMS}". In the folder there may be no other files than those
   in {SUMS}, and {MANIFEST}, {SIGNATURE}, {SUMS} itself, key.der that you just made, and manifest.tsr
   and manifest-tsa.pem where there is a time stamp.

4. Is there a time stamp? Where there is a file manifest.tsr:
   openssl ts -verify -in manifest.tsr -data {SIGNATURE} -CAfile manifest-tsa.pem
   Trust it as far as you trust the holder of that certificate; better name their own, from elsewhere, in its place.

5. The chain of records, chain.jsonl, has a record a line. This makes the SHA-256 of each:
   $ {CHECK_CHAIN}
   Each must stand behind "before" in the next line of chain.jsonl, and the last one in manifest.json behind "head".

6. The numbers: whoever has the program grades the photos again, with: python -m grader evidence verify FILE

What a signature and these checks do NOT prove:
{missing}
""".encode()


def sums(contents: Mapping[str, bytes]) -> bytes:
    """The list that sha256sum reads."""
    return "".join(f"{hashlib.sha256(data).hexdigest()}  {name}\n" for name, data in sorted(contents.items())).encode()
