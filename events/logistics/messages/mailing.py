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
        mail["Bcc"] = ", ".join(hidden)
    mail.set_content(text.replace("\r\n", "\n"))
    return mail.as_bytes()
