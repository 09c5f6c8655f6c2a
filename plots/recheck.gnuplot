# recheck.gnuplot - what to measure again, by what it spares. Data: recheck.csv (with an action line; else the share of the variance).
# SPDX-License-Identifier: GPL-3.0-or-later
load "plots/common.gnuplot"
stats csv using 4 every ::1 nooutput
valued = STATS_max > 0
worth(v, total) = valued ? 1000*v : 100*total
unset key; set border 1
set xlabel (valued ? "spared, in untreated events per 1,000 such cases" : "share of the event's variance, in all, %") textcolor rgb INK
set xrange [0:*]; set offsets 0,graph 0.12,0,0
set yrange [*:*] reverse
set ytics scale 0 noenhanced textcolor rgb INK
set style fill solid 1 noborder
shown(v, total) = worth(v, total) >= 1 ? 1 : NaN
plot csv using (worth($4,$8)*shown($4,$8)/2):0:(worth($4,$8)/2):(0.33):yticlabels(shown($4,$8) == 1 ? strcol(3) : NaN) every ::1 with boxxyerror fillcolor rgb DEEP, \
     csv using (worth($4,$8)*shown($4,$8)):0:(1.96*worth($5,$9)) every ::1 with xerrorbars pointtype 0 linewidth 2 linecolor rgb INK, \
     csv using (worth($4,$8)*shown($4,$8)+1.96*worth($5,$9)):0:(sprintf(" %.0f", worth($4,$8))) every ::1 with labels left offset 0.5,0 textcolor rgb INK
