"""Messy files to records, nothing lost: ``intake.reader.read_file`` is the way in."""
