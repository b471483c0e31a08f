"""Columns that several tables have, each with one meaning."""

from strapline.ground.tables.table import COUNT, REAL, WORD, Column, required

SESSION = required("session", WORD, "Session")
WEARER = required("wearer", WORD, "Who wore the devices", personal=True)
ACTIVITY = required("activity", WORD, "What was done")
ACTIVITY_OR_ALL = required("activity", WORD, "Activity, or 'all activities'")
DEVICE = required("device", WORD, "Device")
RECORDING = required("recording", WORD, "Recording")
ALIGNMENT = required("alignment", WORD, "'settled' or 'delay_out'")
METRIC = required("metric", WORD, "Name of the figure")
STATED_FIGURE = required("figure", WORD, "'stated_average', 'stated_maximum', …")
AGAINST = required("against", WORD, "'own_export' or 'the_strap'")
UNIT = required("unit", WORD, "Unit of the figure")
WEARERS = required("wearers", COUNT, "Different stated wearers in them")
MINUTES = required("minutes", REAL, "Time compared in them", "min")
HIGH = Column("high", REAL, "Upper end of its 95 % interval")
# Of which recording of which session a row is; `SessionIntake.names` has the words.
WHOSE = (SESSION, WEARER, ACTIVITY, DEVICE, RECORDING)
