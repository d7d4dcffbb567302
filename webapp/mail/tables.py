"""The outbox: mails waiting, sent, and given up."""

from __future__ import annotations

from datetime import datetime
from typing import Any, ClassVar

from sqlalchemy import CheckConstraint, Column, DateTime, Index, Text, text
from sqlmodel import Field, SQLModel

WAITING, SENT, FAILED = "waiting", "sent", "failed"


class Mail(SQLModel, table=True):
    """One mail.

    ``key`` names the occasion, so that a form sent twice writes one mail;
    ``about`` is what it belongs to, such as a quote's number. ``due_at`` is when
    it is to be tried next: moved on before each try, so that of several postmen one
    takes it, and a try that dies is made again. ``handed_at`` is set just before a
    server is given the mail, by whoever still holds its newest try: from then on it
    is never given to a server again until that server has refused it. ``attached`` names a
    document that goes with it, and is made when the mail is sent (see `webapp.mail.attaching`).
    """

    __tablename__: ClassVar[Any] = "mail"
    __table_args__ = (
        CheckConstraint(f"state IN ('{WAITING}', '{SENT}', '{FAILED}')", name="state"),
        Index("ix_mail_state_due_at", "state", "due_at"),
    )

    id: int | None = Field(default=None, primary_key=True)
    key: str = Field(unique=True, max_length=120)
    about: str = Field(index=True, max_length=60)
    to_name: str = Field(max_length=120)
    to_mail: str = Field(max_length=254)
    subject: str = Field(max_length=200)
    body: str = Field(sa_type=Text)
    created_at: datetime = Field(sa_column=Column(DateTime(timezone=True), nullable=False))
    due_at: datetime = Field(sa_column=Column(DateTime(timezone=True), nullable=False))
    handed_at: datetime | None = Field(
        default=None, sa_column=Column(DateTime(timezone=True), nullable=True)
    )
    sent_at: datetime | None = Field(
        default=None, sa_column=Column(DateTime(timezone=True), nullable=True)
    )
    state: str = Field(default=WAITING, max_length=20)
    attempts: int = 0
    error: str = Field(default="", max_length=300)
    attached: str = Field(
        default="", max_length=120, sa_column_kwargs={"server_default": text("''")}
    )
