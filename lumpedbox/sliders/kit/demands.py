"""What a page can demand of a driver: each says why it does not serve, or nothing."""

from ...parts.stand_in import stands_in

# Hz; a driver that resonates higher is offered as a tweeter, one between as a woofer, one lower as neither: ours
WOOFER_FROM, TWEETER_FROM = 40.0, 400.0


def below(highest):
    """Demand of a driver that it resonates below a frequency, as it is told: in whole Hz. [Hz]"""
    return lambda driver: (
        "" if round(driver.fs) < highest else f"it resonates at {driver.fs:.0f} Hz, not below {highest:.0f}"
    )


def of_a_sheet(driver):
    """Demand of a driver that more is known of it than its size and kind."""
    return "only its size and kind are known" if stands_in(driver) else ""


def of_printed_sensitivity(driver):
    """Demand of a driver that its sheet prints how loud it is."""
    return "" if driver.sensitivity is not None else "its printed sensitivity is missing"


def at_least_a_woofer(driver):
    """Demand of a driver that it plays what a woofer or a tweeter plays."""
    low = f"it resonates at {driver.fs:.0f} Hz; a woofer here does so from {WOOFER_FROM:.0f} Hz up"
    return "" if round(driver.fs) >= WOOFER_FROM else low


def a_tweeter(driver):
    """Demand of a driver that it is a tweeter."""
    low = f"it resonates at {driver.fs:.0f} Hz; a tweeter here does so from {TWEETER_FROM:.0f} Hz up"
    return "" if driver.fs >= TWEETER_FROM else low


def no_tweeter(driver):
    """Demand of a driver that it is no tweeter."""
    return "it is a tweeter" if driver.fs >= TWEETER_FROM else ""


WOOFER = (of_printed_sensitivity, at_least_a_woofer, no_tweeter)
TWEETER = (of_printed_sensitivity, a_tweeter)
