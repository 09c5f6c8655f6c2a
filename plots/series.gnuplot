# series.gnuplot - the share that was obstructed in published series, by true gap, over the gaps of the case. Data: series.csv.
# SPDX-License-Identifier: GPL-3.0-or-later
load "plots/common.gnuplot"
set datafile columnheaders
stats csv using (column("gaps_per_mm")) nooutput; tallest = (STATS_max > 0 ? STATS_max : 1)
set border 3
set xrange [-2:12]; set yrange [0:100]
set xlabel "least true gap beside an ostium that the tube reaches, mm" textcolor rgb INK
set ylabel "of 100 obstructed, in published series" textcolor rgb INK
set label 1 "few, chosen patients: for comparison, no part of the call" at graph 0.98,0.72 right textcolor rgb MUTE
plot csv using 1:(66*column("gaps_per_mm")/tallest) with filledcurves y1=0 fillstyle solid 1 noborder fillcolor rgb SOFT title "the gaps of this case", \
     csv using 1:(100*column("low95")):(100*column("high95")) with filledcurves fillstyle transparent solid 0.55 noborder fillcolor rgb ROOM title "what so few patients leave open", \
     csv using 1:(100*column("obstructed")) with lines linewidth 2 linecolor rgb DEEP title "their curve"
