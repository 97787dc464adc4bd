"""Triggers by which the database itself refuses to rewrite readings, the audit and signed cards."""

from dataclasses import dataclass

from django.db import connections

__all__ = ["GUARDS", "Guard", "set_guards"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Guard:
    """A table whose rows may not be updated, always or once a condition on the old row holds."""

    name: str
    table: str
    says: str
    when: str = ""


GUARDS = (
    Guard(
        name="reading_is_fixed",
        table="records_reading",
        says="a reading is never changed: append a correction",
    ),
    Guard(
        name="order_is_fixed",
        table="records_order",
        says="an order is never changed: add a step, or order anew",
    ),
    Guard(
        name="order_step_is_fixed",
        table="records_orderevent",
        says="a step of an order is never changed: add one",
    ),
    Guard(name="audit_is_fixed", table="records_auditentry", says="the audit is never changed"),
    Guard(
        name="signed_card_is_fixed",
        table="records_cardversion",
        says="a signed card is never changed",
        when="OLD.signed_at IS NOT NULL",
    ),
)


def set_guards(using: str = "default") -> None:
    """Set every guard anew; called after each migration, since rebuilding a table drops its triggers."""
    connection = connections[using]
    tables = set(connection.introspection.table_names())
    make = _sqlite if connection.vendor == "sqlite" else _postgresql
    with connection.cursor() as cursor:
        for guard in GUARDS:
            if guard.table in tables:
                for statement in make(guard):
                    cursor.execute(statement)


def _sqlite(guard: Guard) -> list[str]:
    when = f"WHEN {guard.when} " if guard.when else ""
    make = f"CREATE TRIGGER {guard.name} BEFORE UPDATE ON {guard.table} FOR EACH ROW {when}"
    return [
        f"DROP TRIGGER IF EXISTS {guard.name}",
        f"{make} BEGIN SELECT RAISE(ABORT, '{guard.says}'); END",
    ]


def _postgresql(guard: Guard) -> list[str]:
    when = f"WHEN ({guard.when}) " if guard.when else ""
    refuse = f"RAISE EXCEPTION '{guard.says}' USING ERRCODE = 'integrity_constraint_violation'"
    function = f"CREATE OR REPLACE FUNCTION {guard.name}() RETURNS trigger LANGUAGE plpgsql"
    make = f"CREATE TRIGGER {guard.name} BEFORE UPDATE ON {guard.table} FOR EACH ROW {when}"
    return [
        f"{function} AS $$ BEGIN {refuse}; END $$",
        f"DROP TRIGGER IF EXISTS {guard.name} ON {guard.table}",
        f"{make} EXECUTE FUNCTION {guard.name}()",
    ]
