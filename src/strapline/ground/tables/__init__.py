"""The contract of every table, and the only way to read or write one."""
