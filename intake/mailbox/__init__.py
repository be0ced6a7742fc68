"""Bytes to messages: IMAP, folders of .eml, Maildir."""
