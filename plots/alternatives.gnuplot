# alternatives.gnuplot - the cost of each alternative, split into burden and unrescued event. Data: alternatives.csv.
# SPDX-License-Identifier: GPL-3.0-or-later
if (!exists("high")) high = 6
load "plots/common.gnuplot"
set border 1
set xlabel "untreated events per 1,000 such cases" textcolor rgb INK
set xrange [0:*]; set offsets 0,graph 0.12,0,0
set yrange [*:*] reverse
set ytics scale 0 noenhanced textcolor rgb INK
set key outside top right horizontal
# A name may hold commas; then it stands in quotes.
name(row) = system(sprintf("sed -n '%dp' '%s' | sed -e 's/^\"\\(.*\\)\",[^\"]*$/\\1/' -e t -e 's/,.*//'", row + 2, csv))
plot csv using (500*$2):0:(500*$2):(0.33):yticlabels(name($0)) every ::1 with boxxyerror fillstyle solid 1 noborder linecolor rgb ROOM title "burden", \
     csv using (1000*$2+500*$3):0:(500*$3):(0.33) every ::1 with boxxyerror fillstyle pattern 5 border rgb CROSS fillcolor rgb CROSS title "unrescued events", \
     csv using (1000*$4):0:(1960*$5) every ::1 with xerrorbars pointtype 0 linewidth 2 linecolor rgb INK notitle, \
     csv using (1000*$4):0:(sprintf(" %.0f", 1000*$4)) every ::1 with labels left offset 1,0 textcolor rgb INK notitle
