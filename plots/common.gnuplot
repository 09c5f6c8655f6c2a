# common.gnuplot - what all plots share: the file's kind by its name, the colours of the report, commas between columns, words.
# Each plot wants:  gnuplot -e "csv='FILE.csv'; out='FILE.pdf'" plots/NAME.gnuplot     (or .png). Sizes may be given too: wide=18; high=6 (cm).
# SPDX-License-Identifier: GPL-3.0-or-later
if (!exists("wide")) wide = 18
if (!exists("high")) high = 8
if (out[strlen(out)-3:] eq ".png") {
    set terminal pngcairo enhanced font "Liberation Sans,11" size wide*60,high*60 fontscale 1.1 linewidth 1.3
} else {
    set terminal pdfcairo enhanced font "Liberation Sans,10" size wide cm,high cm linewidth 1
}
set output out
set datafile separator comma
set encoding utf8
INK = "#16242e"; MUTE = "#5b6b76"; HAIR = "#c9d2d8"; SOFT = "#dfe7ec"; ROOM = "#8fb3cc"; DEEP = "#2f6690"; CROSS = "#b6431a"
set border 1 linecolor rgb INK
set tics nomirror out textcolor rgb MUTE
set key noenhanced textcolor rgb INK
BOLD = "Liberation Sans:Bold"
set style textbox opaque noborder margins 0.3,0.3 fillcolor rgb "white"
# The i-th text in quotes of the first row: a text may hold commas.
quoted(i) = system(sprintf("sed -n 2p '%s' | cut -d '\"' -f %d", csv, 2*i))
OF_100 = "of 100 roots cross a limit"
# As the program rounds: what must be read upward to a tenth; a value by its Monte Carlo error.
at_least(x) = sprintf("%.1f", ceil(10*x - 1e-6)/10.0)
digits(se) = (se > 0 ? floor(-log10(2*se)) : 4)
by_error(x, se) = (se > 0 ? gprintf(sprintf("%%.%df", digits(se) < 0 ? 0 : digits(se) > 4 ? 4 : digits(se)), x) : gprintf("%g", x))
# A probability as a number of 100 by its interval; never a bare 0 (the rule of three).
places(low, high) = (high > low ? ceil(-log10(100*(high - low))) : 1)
of_100(p, low, high) = (p > 0 ? gprintf(sprintf("%%.%df", places(low, high) < 0 ? 0 : places(low, high) > 7 ? 7 : places(low, high)), 100*p) : sprintf("<%.1g", 300/(3.8415/high - 3.8415)))
# The largest of 1, 2, 5, 10 ... (and 0.5, 0.2 ...) that is not above x.
power(x) = 10**floor(log10(x) + 1e-9)
part(x) = x/power(x)*(1 + 1e-9)
round_down(x) = power(x)*(part(x) >= 5 ? 5 : part(x) >= 2 ? 2 : 1)
