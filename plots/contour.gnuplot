# contour.gnuplot - the probability over the grid of two knobs, and where it meets the action line. Data: contour.csv.
# SPDX-License-Identifier: GPL-3.0-or-later
if (!exists("high")) high = 10.5
load "plots/common.gnuplot"
set datafile columnheaders
what = quoted(1); other = quoted(2)
stats csv using (lined = strcol("action_line"), x_own = strcol("knob_as_it_is"), y_own = strcol("second_as_it_is"), 100*column("event")) nooutput
low = STATS_min; most = STATS_max; points = STATS_records
stats csv using 1 nooutput; left = STATS_min; right = STATS_max
stats csv using 2 nooutput; bottom = STATS_min; top = STATS_max
stats csv using ($2 == bottom ? 1 : NaN) nooutput; across = STATS_records
crowded = (across > 24 || points/across > 18)
line = (strlen(lined) > 0 ? 100*real(lined) : 0)
unset datafile columnheaders
# Straight between neighbours in the normal score, as the program draws it.
score(p) = invnorm(p < 1e-6 ? 1e-6 : p > 1-1e-6 ? 1-1e-6 : p)
shade(what, of_100) = sprintf("< awk -v what=%s -v level=%.12g -f plots/contour.awk '%s'", what, score(of_100/100.0), csv)
# The bands: pale below the line, dark at or above it; without a line evenly.
array FROM[6]; array TONE[6]
n = 0
if (line > 0) {
    if (low < line) {
        upper = (most < line ? most : line); step = (upper > low ? round_down((upper - low)/2) : 0)
        if (step > 0) { n = n + 1; FROM[n] = -1; TONE[n] = "#eff3f6" }
        n = n + 1; FROM[n] = (step > 0 ? line - step*(floor((line - upper)/step) + 1) : -1); TONE[n] = "#d4e1ea"
    }
    if (most >= line) {
        least = (low > line ? low : line); step = (most > least ? round_down((most - least)/3) : 0)
        n = n + 1; FROM[n] = line; TONE[n] = "#7ba3bf"
        if (step > 0) {
            first = line + step*floor((least - line)/step)
            n = n + 2; FROM[n-1] = first + step; FROM[n] = first + 2*step; TONE[n-1] = "#47799c"; TONE[n] = "#24506f"
        }
    }
} else {
    step = (most > low ? 2*round_down((most - low)/5) : 1); begin = step*floor(low/step)
    n = floor((most - begin)/step) + 1; n = (n > 6 ? 6 : n)
    do for [k=1:n] { FROM[k] = (k > 1 ? begin + (k - 1)*step : -1); TONE[k] = word("#eff3f6 #d4e1ea #abc6d7 #7ba3bf #47799c #24506f", k) }
}
tone_of(p) = (n > 5 && 100*p >= FROM[6] ? 6 : n > 4 && 100*p >= FROM[5] ? 5 : n > 3 && 100*p >= FROM[4] ? 4 : n > 2 && 100*p >= FROM[3] ? 3 : n > 1 && 100*p >= FROM[2] ? 2 : 1)
dark(k) = (TONE[k] eq "#47799c" || TONE[k] eq "#24506f")
upper(k) = (k < n ? FROM[k+1] : line > 0 && most < line ? line : -1)
named(k) = (FROM[k] < 0 ? (upper(k) < 0 ? "everywhere the same" : sprintf("under %g", upper(k))) : upper(k) < 0 ? sprintf("%g and more", FROM[k]) : sprintf("%g to %g", FROM[k], upper(k)))
set border 0
set xrange [left-0.03*(right-left):right+0.03*(right-left)]; set yrange [bottom-0.04*(top-bottom):top+0.04*(top-bottom)]
set xlabel what noenhanced textcolor rgb INK
set ylabel other noenhanced textcolor rgb INK
set key outside top left horizontal samplen 1.4 Left reverse noenhanced title "So many ".OF_100.":" left
set bmargin 3.5
lines = (line > 0 && low < line && most >= line ? 2 : 0)
# Under each number a spot of its own tone: the line makes way.
# As it is: a ring, if both knobs have one number.
ringed = (strlen(x_own) > 0 && strlen(y_own) > 0 ? (x_own >= left && x_own <= right && y_own >= bottom && y_own <= top) : 0)
if (ringed) { set label 1 "" at real(x_own),real(y_own) point pointtype 6 pointsize 2.6 linewidth 2 linecolor rgb INK front }
plot for [k=1:n] shade("area", k == 1 ? 0 : FROM[k]) using 1:2 with filledcurves closed fillcolor rgb TONE[k] fillstyle solid 1 border linecolor rgb TONE[k] title named(k), \
     for [i=1:lines] shade(lines ? "line" : "area", lines ? line : 0) using 1:2 with lines linewidth (i == 1 ? 5 : 2.5) linecolor rgb (i == 1 ? "white" : CROSS) title (i == 2 ? sprintf("your line, %g of 100", line) : ""), \
     for [i=1:ringed] keyentry with points pointtype 6 pointsize 1.6 linewidth 2 linecolor rgb INK title "the case as it is", \
     for [i=1:!crowded] csv every ::1 using 1:2:(real("0x".TONE[tone_of($3)][2:])) with points pointtype 7 pointsize 2 linecolor rgb variable notitle, \
     for [i=1:!crowded] csv every ::1 using 1:2:(sprintf("%.0f", 100*$3)):(dark(tone_of($3)) ? 0xffffff : 0x16242e) with labels textcolor rgb variable notitle
