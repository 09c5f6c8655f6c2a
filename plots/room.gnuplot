# room.gnuplot - the room beside one ostium, or at the junction. Data: room-SIDE.csv.
# SPDX-License-Identifier: GPL-3.0-or-later
if (!exists("high")) high = 6
load "plots/common.gnuplot"
stats csv using 6 every ::1 nooutput; limit = STATS_min
row = system(sprintf("tail -n 1 '%s'", csv))
field(i) = system(sprintf("echo '%s' | cut -d, -f%d", row, i))
unset ytics
set xlabel "room, mm" textcolor rgb INK
set xtics 1; set mxtics 2
set yrange [0:*]
set arrow 1 from limit, graph 0 to limit, graph 1 nohead linecolor rgb INK linewidth 2.5 front
set label 1 sprintf("limit %g ", limit) at limit, graph 0.95 right textcolor rgb INK front
if (strlen(field(7)) > 0) { set label 2 sprintf("read %.1f", real(field(7))) at real(field(7)), graph 0 offset 0,0.6 center point pointtype 9 linecolor rgb INK textcolor rgb INK front }
if (strlen(field(8)) > 0) { set label 3 sprintf("must read %.1f", real(field(8))) at real(field(8)), graph 0 offset 1,1.6 left point pointtype 12 linecolor rgb INK textcolor rgb INK front }
set key top right
plot csv using 1:2 every ::1 with filledcurves y=0 fillstyle solid 1 noborder linecolor rgb ROOM title "adjusted", \
     csv using 1:($1 <= limit ? $3 : 0) every ::1 with filledcurves y=0 fillstyle pattern 5 noborder linecolor rgb CROSS title "crossing", \
     csv using 4:5 every ::1 with lines dashtype 2 linewidth 1.5 linecolor rgb INK title "by the drawn circle"
