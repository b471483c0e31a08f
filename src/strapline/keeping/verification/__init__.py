"""Checks of a whole archive: raw files, tables, ledgers, figures and pages against one another."""
