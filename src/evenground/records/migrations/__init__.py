"""Migrations of the records: one set for SQLite and PostgreSQL."""
