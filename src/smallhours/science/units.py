"""Units that people read and type, to and from those used inside.

Source: NIST Special Publication 811 (2008), Appendix B.8, and NIST Handbook 44, Appendix C: inch, pound and the US
liquid measures are exact by definition.
"""

from __future__ import annotations

from smallhours.science.ranges import checked

G_PER_LB = 453.59237
G_PER_OZ = G_PER_LB / 16
MM_PER_IN = 25.4
ML_PER_IN3 = 16.387064
ML_PER_US_GAL = 3785.411784
ML_PER_US_QT = ML_PER_US_GAL / 4
ML_PER_US_CUP = ML_PER_US_GAL / 16
ML_PER_US_FL_OZ = ML_PER_US_GAL / 128
ML_PER_US_TBSP = ML_PER_US_GAL / 256
ML_PER_US_TSP = ML_PER_US_GAL / 768
J_PER_BTU = 1055.05585262
"""International Table British thermal unit [J]; NIST SP 811."""
_BOUND = 1e12


def temp_c_from_fahrenheit(temp_f_number: float) -> float:
    """Degrees Celsius of a temperature in degrees Fahrenheit [°C].

    Raises OutOfRange for NaN or infinity.

    Source: NIST SP 811, Appendix B.8.

    >>> temp_c_from_fahrenheit(212.0)
    100.0
    """
    return (checked(temp_f_number, "a temperature", -_BOUND, _BOUND, "°F") - 32.0) / 1.8


def fahrenheit_number(temp_c: float) -> float:
    """Degrees Fahrenheit of a temperature in °C.

    Raises OutOfRange for NaN or infinity.

    Source: NIST SP 811, Appendix B.8.

    >>> fahrenheit_number(100.0)
    212.0
    """
    return checked(temp_c, "a temperature", -_BOUND, _BOUND, "°C") * 1.8 + 32.0


def difference_k_from_fahrenheit(difference_f_number: float) -> float:
    """Kelvins of a temperature difference, such as a friction figure, in degrees Fahrenheit [K]: no 32 to take off.

    Raises OutOfRange for NaN or infinity.

    Source: NIST SP 811, Appendix B.8.

    >>> difference_k_from_fahrenheit(18.0)
    10.0
    """
    return checked(difference_f_number, "a temperature difference", -_BOUND, _BOUND, "°F") / 1.8


def mass_g_from_lb_oz(lb_number: float, oz_number: float = 0.0) -> float:
    """Grams of avoirdupois pounds and ounces [g].

    Raises OutOfRange for a negative number, NaN or infinity.

    Source: NIST Handbook 44, Appendix C: 1 lb = 453.59237 g exactly.

    >>> round(mass_g_from_lb_oz(3, 6), 2)
    1530.87
    """
    pounds = checked(lb_number, "the number of pounds", 0.0, _BOUND, "lb")
    return pounds * G_PER_LB + checked(oz_number, "the number of ounces", 0.0, _BOUND, "oz") * G_PER_OZ
