"""A message as a mail file (RFC 5322) that a mail program opens as a draft. Nothing is ever sent from here. Pure."""

from collections.abc import Sequence
from email.message import EmailMessage
from email.policy import SMTP


def mail_file(subject: str, text: str, hidden: Sequence[str] = ()) -> bytes:
    """The draft. `hidden`: addresses that nobody who gets the mail can see (Bcc)."""
    mail = EmailMessage(policy=SMTP)
    mail["Subject"] = " ".join(subject.split())  # a header is one line
    mail["X-Unsent"] = "1"
    if hidden:
        mail["Bcc"] = ", ".join(map(_in_ascii, hidden))
    mail.set_content(text.replace("\r\n", "\n"))
    return mail.as_bytes()


def _in_ascii(address: str) -> str:
    """A domain of other letters as mail carries it (IDNA, RFC 5891); what cannot be carried stays as it was typed, on
    one line, for the mail program to point at."""
    name, _, domain = " ".join(address.split()).rpartition("@")
    try:
        return f"{name}@{domain.encode('idna').decode('ascii')}"
    except UnicodeError:
        return f"{name}@{domain}"
