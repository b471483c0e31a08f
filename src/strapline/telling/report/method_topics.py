"""How figures come about, in prose for the Method page: with the settings in force."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from strapline.method.agreement.possible import WIDEST_BPM
from strapline.method.agreement.votes import FEWEST_STRETCHES, FEWEST_VOTING_S
from strapline.method.signal.late_sensors import OFF_BPM
from strapline.method.signal.reference_alone import AGREE_BPM, APART_BPM, JUMP_BPM, SHORTEST_S
from strapline.method.signal.reference_trial import SMALLEST_SHARE_IN_DOUBT

SIGNS = (
    "r is the strap’s and d the device’s heart rate in the same second. A difference is d − r. "
    "Percent is of the strap’s. Clocks are taken as evidence has them, else as recorded; every "
    "claim rests on that. Where a device’s constant delay can be told, a second view takes it out, "
    "to show how much of the error is lateness."
)


@dataclass(frozen=True)
class Topic:
    title: str
    text: str


# A space before the sign, which Python's own form of a percentage leaves out.
_PERCENT = re.compile(r"(?<=\d)%")

# Settings stand in braces, by section and name.
_TOPICS = (
    Topic(
        "The strap’s heart rate",
        "Where a file holds RR intervals, the strap’s rate is 60 000 divided by the mean RR "
        "interval in ms, over a centred window of {rr_intervals[window_s]:g} s. It is the "
        "reciprocal of the mean, not the mean of the reciprocals. An interval is left out if its "
        "rate is below {plausibility[lowest_bpm]:g} or above {plausibility[highest_bpm]:g} bpm, if "
        "it differs from the median of the 11 around it by more than "
        "{rr_intervals[largest_change]:.0%} (common practice, no source), or if it is ectopic, "
        "missed, extra, long or short after Lipponen & Tarvainen 2019, J Med Eng Technol "
        "43:173–181. That formula is from memory; tests/unit/signal/test_rr_artefacts.py compares "
        "it with another implementation on simulated and on real beats.",
    ),
    Topic(
        "When the strap is doubted",
        "No device alone speaks against the strap. A second is doubted if "
        "the rate is flat for longer than {reference[longest_flat_s]:g} s "
        "({reference[longest_flat_fine_s]:g} s where it has decimals), if it steps by more than "
        "{reference[largest_step_bpm]:g} bpm, if within 4 s it rises to more than "
        "{reference[largest_rise]:g} times its own rate or falls to less than its own rate divided "
        "by {reference[largest_fall]:g}, if more than "
        "{reference[largest_artefact_share]:.0%} of the beats around are artefacts, or if it comes "
        "within {reference[settle_s]:g} s of a dropout. Where two devices or more agree to within "
        f"{AGREE_BPM:g} bpm and the strap, for {SHORTEST_S} s or longer, is {APART_BPM:g} bpm or "
        f"more away, having jumped by {JUMP_BPM:g} bpm or more at both ends while they did not (or "
        "at one, where the other is that of the session), "
        "the tester is asked about the stretch; it is doubted as a whole if the strap’s own signal "
        f"is in doubt in {SMALLEST_SHARE_IN_DOUBT:.0%} of it. Doubted seconds are not compared. "
        "They are hatched in the picture and counted in the ledger. If more than "
        "{reference[largest_doubtful_share]:.0%} of a session is doubted, the session does not "
        "count. Each session’s page also shows its figures with nothing left out. python -m "
        "benchmarks.reference_check, run in tests/, prints what these rules find and miss on "
        "simulated straps. The rules are our own.",
    ),
    Topic(
        "What apps state",
        "A card may give the average, the highest and the lowest rate and the duration that an app "
        "shows. Beside the device’s export they are held against that: over the stated time from "
        "its beginning, or over all of it where its time without gaps is the stated time. Each "
        "value counts for the time that it stands for. A difference of one unit of the last "
        "digit or more is beyond rounding, and is told with what in the export would give the "
        "app’s figure. Without an export, average and highest are held against the strap’s, where "
        "it is believed, over the stated time from its first second or from clock.starts_at; if "
        "it has less than three quarters of that time, they are not. Over sessions such a session "
        "counts in average and highest alone, and in no claim. The rules are our own.",
    ),
    Topic(
        "The grid",
        "Strap and device are brought to one value a second on the strap’s clock. Between samples "
        "at most {grid[longest_gap_s]:g} s apart the value is interpolated linearly; across a "
        "longer gap there is none. A recording’s own spacing is no gap: its usual spacing is the "
        "median time between values, its largest usual one that of 95 in 100, at most three times "
        "the usual or 20 s, and a gap is longer than one and a half times that. Where a device "
        "usually reports less often than every 20 s, each report stands for the time since the one "
        "before, and is compared with the strap’s mean over that time, or with its value at that "
        "moment where this leaves less than 0.8 of the spread. Where the time that reports stand "
        "for lies instead, around or after their own, is what the card or the file states; else, "
        "for reports at even steps of 5 s or more, the first place at which the device is not "
        "ahead of the strap, by 1.5 s where its clock is settled and by 3 s where it is not, if "
        "the usual place leaves a spread more than 1.25 times that of the best, and that less than "
        "half of the device’s own. A report counts in "
        "the segment in which its time lies. Time compared is counted in seconds; intervals take "
        "no more independent values than there are reports. The rules are our own.",
    ),
    Topic(
        "Copies of the strap",
        "A watch that was paired with the strap records the strap. A recording that reads the same "
        "as the strap in nearly every second, by its clock as recorded, as settled or as the heart "
        "rates agree best, and where one of the two averages over up to 15 s, is set aside. "
        "A curve read from a picture is not tested so, for it is too coarse.",
    ),
    Topic(
        "Clocks",
        "From heart rate alone a wrong clock and a late sensor look alike. So a clock is moved on "
        "evidence only; the first of these that decides is used. What the card states. Speed, "
        "cadence or power in both files: their 3-s mean less their 120-s mean, at every lag, "
        "accepted from ten minutes in common with a correlation of at least 0.6, 0.2 above the "
        "best more than 10 s away, and a standard error of at most 1 s (bootstrap over blocks of "
        "a minute); two channels more than 4 s apart decide nothing, and up to 3 s is left, for "
        "filters of sensors differ by that. A mean over the last seconds in one of the files "
        "makes it later by half of that; where the autocovariances of the two show one, or one "
        "records too seldom to show it, an offset that it may explain is left too. Satellite "
        "positions in both files, which put the clocks within 5 s. Heart rate, only where no "
        "sensor can explain the shift: the device is more than 3 s ahead, more than "
        "{alignment[largest_lag_s]:g} s behind, wrong by quarters of an hour, or drifting by more "
        "than 3 s; half of the time between two reports is no error, and nothing over sessions "
        "rests on a clock that heart rate set to the second. Where only one of two files states "
        "UTC, the time zone of the other is asked for, not the clock. A jump by tens of seconds "
        "in where the heart rates fit, by as much as one file is shorter than the other, is a "
        "pause left out, unless a sensor that is late or shows a share of changes explains it as "
        "well: both sides of it are set right, and the card may state it. Else the clock is left "
        "as recorded. A clock that gains or loses more than 5 s over the session by the rate at "
        "which the two files’ speed, cadence or power agree best drifts, and is set right by that "
        "line if ten minutes at a time lie on it and no jump fits better. Where these tell "
        "offsets more than 5 s apart otherwise, the clock jumps, as where a file leaves pauses "
        "out: each part of the session that tells its own offset is set right by it, and the rest "
        "is left out. Where a pause that heart rate tells makes them agree better, its parts are "
        "set right too. python -m benchmarks.clocks, run in tests/, prints how often these rules "
        "err on simulated sessions.",
    ),
    Topic(
        "The delay",
        "What is left between strap and device once the clocks are decided is the device’s delay. "
        "A sensor is late by a shift, by smoothing, or by both. The delay is the shift plus the "
        "mean delay of the smoothing, first-order or a mean over the last seconds, that bring the "
        "strap’s changes over 30 s, or a share of them, closest to the device’s; a second that is "
        "further off than 8 bpm counts as that. So that a sensor that fails for part of a session "
        f"does not pass for a late one, stretches are left out that are {OFF_BPM:g} bpm and more "
        "off the delay and smoothing whose level, not only whose changes, the device has most "
        "often (of those that are as good to within 5 %, the least), with 25 s around them. It is "
        "told throughout, at rises and at falls, if what is left is less than three quarters of "
        "the device’s own changes, if taking out more than 5 s leaves at most 0.9 of the error "
        "there, and if its 95 % interval, from a bootstrap over minutes, is at most 10 s wide. "
        "Rises and falls have a time constant each where that fits better and chance does not "
        "turn the sign of their difference; where both ways fit, the interval holds what either "
        "tells. It is wider by half of a report to each side, the strap’s and the device’s, for a "
        "report may stand for the time before or after its own. A sentence on the delay widens it "
        "by how far the clock may be off, as of two errors that do not depend on each other; the "
        "figures of rises and falls are by the clock as it was set.",
    ),
    Topic(
        "Faults",
        "A fault begins and ends where the error passes {episodes[leave_bpm]:g} bpm, and must "
        "reach {episodes[enter_bpm]:g} bpm in between. Each second goes to the first kind that "
        "claims it: no value, stuck, late, follows the cadence, spike, reads low, reads "
        "high. Faults, time on track and time not compared add up to the session. Being late is "
        "told apart and counts as no fault, for any device: where nothing tells its clock, it may "
        "be the clock’s, and who writes what tells it must not be the worse for that. Over "
        "sessions, the rate is minutes in faults per hour judged: the ratio of the sums at an "
        "activity, with a 95 % interval on its logarithm and sessions as units (Cochran 1977). "
        "Conditions that the cards state are compared within activities by permutations, adjusted "
        "for all comparisons (Fisher 1935, Holm 1979). The kinds are our own; python -m "
        "benchmarks.episodes, run in tests/, prints how many known faults are found, and python "
        "tests/benchmarks/fault_rates.py how often the intervals hold.",
    ),
    Topic(
        "Intervals within a session",
        "Seconds that follow one another are not independent. So 95 % intervals come from "
        "{intervals[replicates]:g} resamples of blocks of seconds (circular block bootstrap). They "
        "describe that session and no other, and take the device to err throughout as it did in "
        "these seconds. With less than {intervals[shortest_s]:g} s compared, with fewer than "
        "{intervals[fewest_independent]:g} independent stretches, for maxima, and where an end "
        "would be wider than {possible[widest_bpm]:g} bpm, or beyond what heart rates can differ "
        "by, or that of an error beyond the largest seen, there is none. A shorter session often "
        "ends before a device that fails every ten minutes has failed once, and then nothing in it "
        "says so. "
        "python tests/benchmarks/coverage.py 300 prints how often they hold the truth in simulated "
        "sessions. The interval of a share close to 100 % is rather too wide.",
    ),
    Topic(
        "Over sessions",
        "The session is the unit. It counts if {vote[minutes]:g} minutes or more were compared, in "
        "at least {vote[stretches]:g} stretches that do not repeat each other; a shorter one is "
        "listed and not counted. "
        "Each counts alike: a bias is the mean of sessions’ biases, "
        "and limits are those of a further second of a further session like these. They hold 95 % "
        "of single errors only where errors are normal; so beside them stands between what 95 % "
        "of the seconds themselves lay, each session with the same weight. Where that differs "
        "from the limits by more than a tenth of their width, errors are called not normal. "
        "Limits that change with heart rate are lines by regression in each session (Bland & "
        "Altman 1999). Over several activities "
        "each activity counts alike, or those in "
        "which a device has it easy would outweigh the others. Those count at which every device "
        "was compared in two sessions or more, or of all that devices share the ones named under "
        "over_all in the settings; the others stand apart. Where fewer than two were repeated, all "
        "that are shared count, and their mean has no interval. "
        "On these wearers the spread is that of sessions within a wearer, or of all sessions where "
        "that leaves fewer than three degrees of freedom. Of people the "
        "wearer is the unit, from three on; wearers are not drawn by lot, so that it holds for "
        "people like them. A session fails if less than "
        "{criteria[time_within]:g} % of its time is within the wider tolerance. No interval holds "
        "what its sessions did not show, so how many sessions may fail is told beside it, with an "
        "upper bound of 95 % (Clopper & Pearson 1934); it takes sessions to fail independently. "
        "Signs of bias on these wearers, of all devices and activities, are one family, those of "
        "people another, slopes a third: in each, p is adjusted so that even one false sign comes "
        "up in at most 5 of 100 archives (Holm 1979, which holds however they depend on each "
        "other). Intervals of biases are not adjusted, and may leave out 0 where the adjusted p "
        "shows nothing; the sentence then says so. Criteria and margins are judged each for "
        "itself, at 5 %. Limits, and what to expect of a "
        "further session, are told by activity only. Devices worn in the same sessions "
        "are compared over the seconds in which both could be compared, by the sign test: "
        "which is closer in the typical session. Intervals of the median difference and p are "
        "adjusted for all pairs (Bonferroni), so that they agree. Of people, from six wearers on, "
        "signs of wearers’ shares are flipped in every way (Fisher 1935). Where both changed "
        "wrists, the difference is also given as if each had been on either wrist equally often. "
        "Where not, device and wrist cannot be told apart. Firmware versions are compared over "
        "what one wearer did with both at one activity, and of that the mean is taken (Cochran "
        "1954, from memory); by Welch’s interval where it is one wearer at one activity.",
    ),
    Topic(
        "What the report may claim",
        "With fewer than {claims[tends][fewest_sessions]} sessions the report says what a device "
        "did. From there on it says what a device tends to do. From "
        "{claims[does][fewest_sessions]} sessions and {claims[does][fewest_wearers]} wearers on "
        "it says what a device does. The settings also ask for minutes. A bias counts only if its"
        " interval, as printed, leaves out 0 and its adjusted p is below 0.05. What holds on the "
        "wearers there were is told of these wearers; of people only what the wearers show as a "
        "sample of them. A difference between two devices counts only if its"
        " adjusted p is below 0.05 and it remains with the wrists balanced. No claim rests on a "
        "clock that heart rate set, or on a view with the delay taken out. These thresholds are "
        "our choice.",
    ),
    Topic(
        "Limits",
        "A strap is no electrocardiogram: its own errors remain where it does not give itself "
        "away. One wearer’s results hold for that wearer. Heart rate alone cannot tell a wrong "
        "clock from a slow sensor. None of the figures is a measurement of a body, or advice on "
        "health or training.",
    ),
    Topic(
        "How it is tested",
        "tests/published sends published tables through the whole workflow and must find the "
        "published figures. tests/real runs it over real paired recordings. The last column of "
        "each table of formulas says what a formula was checked against, and where. From memory "
        "means that it was not compared with the paper.",
    ),
)


def topics(settings: Mapping[str, Any]) -> list[Topic]:
    """Every topic, with the numbers of all `settings` by section."""
    vote = {"minutes": FEWEST_VOTING_S / 60, "stretches": FEWEST_STRETCHES}
    known = {**settings, "vote": vote, "possible": {"widest_bpm": WIDEST_BPM}}
    return [Topic(one.title, _filled(one.text, known)) for one in _TOPICS]


def _filled(text: str, settings: Mapping[str, Any]) -> str:
    return _PERCENT.sub(" %", text.format(**settings))
