"""Where mail comes from: an IMAP account, a folder of .eml files, a Maildir; and raw bytes to a Message."""
