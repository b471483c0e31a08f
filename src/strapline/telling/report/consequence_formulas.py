"""How the quantities of CONSEQUENCES are computed, and who says so: for the Method page."""

from strapline.telling.report.method import Method

_BOOTSTRAP = "circular block bootstrap over the session’s seconds, 95 %"
_NONE = "none"
_PEAKS = "Student’s, over three peaks or more, 95 %"

# x is the share of the heart-rate reserve.
CONSEQUENCES = (
    Method(
        "bands",
        "Minutes in each band of effort",
        "bands begin at 57, 64, 77 and 96 % of the maximum; and minutes in which strap and device "
        "are in different bands",
        "bands of the American College of Sports Medicine, from memory",
        _NONE,
    ),
    Method(
        "alarm",
        "Minutes above the alarm",
        "seconds above alarm.percent of the maximum; seconds in which the strap alone, or the "
        "device alone, is above it",
        "common practice, no source",
        _NONE,
    ),
    Method(
        "banister",
        "Training impulse",
        "minutes × x × a·exp(b·x), x being the share of the heart-rate reserve; a and b are 0.64 "
        "and 1.92 for men, 0.86 and 1.67 for women",
        "Banister 1991; Morton et al. 1990; from memory",
        _BOOTSTRAP,
    ),
    Method(
        "edwards",
        "Zone load",
        "minutes in zones from 50, 60, 70, 80 and 90 % of the maximum, weighed 1 to 5",
        "Edwards 1993, from memory",
        _BOOTSTRAP,
    ),
    Method(
        "energy",
        "Energy, kJ",
        "regression on heart rate, weight and age, by sex",
        "Keytel et al. 2005, J Sports Sci 23; coefficients from memory",
        _BOOTSTRAP,
    ),
    Method(
        "peak",
        "Height of peaks, bpm",
        "the device’s highest value within 20 s of each of the strap’s peaks (prominent by 15 bpm, "
        "in means of 5 s)",
        "our own",
        _PEAKS,
    ),
    Method("peak_delay", "Delay of peaks, s", "how much later that value came", "our own", _PEAKS),
    Method(
        "recovery",
        "Fall within a minute, bpm",
        "peak minus the value 60 s after the hardest effort",
        "Cole et al. 1999, N Engl J Med 341:1351–1357, from memory; when an effort ends is our own",
        _NONE,
    ),
)
