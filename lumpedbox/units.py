"""Units as plain numbers to multiply by: `38 * litre`, `12 * inch`, `0.5 * mH`.

Everything inside the library is in SI units (metre, kilogram, second, ampere, kelvin, pascal, hertz). Give every part
a number multiplied by its unit; a result divided by a unit is in that unit. A temperature of 20 degrees Celsius is
`20 + zero_celsius`.

The inch is exactly 25.4 mm and the foot twelve of them (international yard and pound agreement, 1959).
"""

metre = 1.0
cm = 1e-2
mm = 1e-3
inch = 25.4e-3
foot = 12 * inch

m2 = 1.0
cm2 = 1e-4
mm2 = 1e-6
square_inch = inch**2

m3 = 1.0
litre = 1e-3
cm3 = 1e-6
cubic_inch = inch**3
cubic_foot = foot**3

kilogram = 1.0
gram = 1e-3

second = 1.0
ms = 1e-3

hertz = 1.0
kHz = 1e3

ohm = 1.0
henry = 1.0
mH = 1e-3
uH = 1e-6
farad = 1.0
uF = 1e-6
volt = 1.0
mV = 1e-3
watt = 1.0
ampere = 1.0
ampere_hour = 3600.0
tesla_metre = 1.0

mm_per_newton = 1e-3
um_per_newton = 1e-6

pascal = 1.0
hPa = 1e2
kPa = 1e3
zero_celsius = 273.15
percent = 1e-2
