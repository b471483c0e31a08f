"""Columns that several tables have, each with one meaning."""

from strapline.ground.tables.table import COUNT, REAL, WORD, Column

SESSION = Column("session", WORD, "Session", nullable=False)
WEARER = Column("wearer", WORD, "Who wore the devices", nullable=False, personal=True)
ACTIVITY = Column("activity", WORD, "What was done", nullable=False)
ACTIVITY_OR_ALL = Column("activity", WORD, "Activity, or 'all activities'", nullable=False)
DEVICE = Column("device", WORD, "Device", nullable=False)
RECORDING = Column("recording", WORD, "Recording", nullable=False)
ALIGNMENT = Column("alignment", WORD, "'settled' or 'delay_out'", nullable=False)
METRIC = Column("metric", WORD, "Name of the figure", nullable=False)
STATED_FIGURE = Column("figure", WORD, "'stated_average', 'stated_maximum', …", nullable=False)
AGAINST = Column("against", WORD, "'own_export' or 'the_strap'", nullable=False)
UNIT = Column("unit", WORD, "Unit of the figure", nullable=False)
WEARERS = Column("wearers", COUNT, "Different stated wearers in them", nullable=False)
MINUTES = Column("minutes", REAL, "Time compared in them", "min", nullable=False)
HIGH = Column("high", REAL, "Upper end of its 95 % interval")
# Of which recording of which session a row is; `SessionIntake.names` has the words.
WHOSE = (SESSION, WEARER, ACTIVITY, DEVICE, RECORDING)
