# room.gnuplot - the room beside one ostium, or at the junction. Data: room-SIDE.csv.
# SPDX-License-Identifier: GPL-3.0-or-later
if (!exists("high")) high = 6.5
load "plots/common.gnuplot"
stats csv using 6 every ::1 nooutput; limit = STATS_min
stats csv using 2 every ::1 nooutput; most = STATS_max
stats csv using 5 every ::1 nooutput; most = (STATS_max > most ? STATS_max : most)
row = system(sprintf("tail -n 1 '%s'", csv))
field(i) = system(sprintf("echo '%s' | cut -d, -f%d", row, i))
unset ytics
set bmargin 4.8
set xlabel "room, mm" offset 0,-1.1 textcolor rgb INK
set xtics 1; set mxtics 2
set yrange [0:1.12*most]
set arrow 1 from limit, graph 0 to limit, graph 1 nohead linecolor rgb INK linewidth 2.5 front
set label 1 sprintf("limit %g", limit) at limit, graph 0.94 right offset -0.7,0 textcolor rgb INK front
# What was read and what must be read stand under the ruler, the smaller to the left of its mark, the greater to the right.
read = (strlen(field(7)) > 0 ? real(field(7)) : NaN)
must = (strlen(field(8)) > 0 ? real(field(8)) : NaN)
reads = sprintf("read %.1f", read)
musts = "turns at ".(must == must ? at_least(must) : "")
first_read = (must != must || read <= must)
if (read == read) {
    set label 2 "" at read, graph 0 offset 0,-0.25 point pointtype 9 pointsize 1.4 linecolor rgb INK front
    if (first_read) { set label 4 reads at read, graph 0 right offset 0.7,-2.6 textcolor rgb INK front } else { set label 4 reads at read, graph 0 left offset -0.7,-2.6 textcolor rgb INK front }
}
if (must == must) {
    set label 3 "" at must, graph 0 offset 0,-0.25 point pointtype 12 pointsize 1.4 linecolor rgb INK front
    if (first_read) { set label 5 musts at must, graph 0 left offset (read == read ? 0 : -0.7),-2.6 textcolor rgb INK front } else { set label 5 musts at must, graph 0 right offset 0,-2.6 textcolor rgb INK front }
}
set key top right
height = 0
plot csv using 1:2 every ::1 with filledcurves y=0 fillstyle solid 1 noborder linecolor rgb ROOM title "adjusted", \
     csv using ($1 <= limit ? $1 : limit):(height = ($1 <= limit ? $3 : height)) every ::1 with filledcurves y=0 fillstyle pattern 5 noborder linecolor rgb CROSS title "crossing", \
     csv using 4:5 every ::1 with lines dashtype 2 linewidth 1.5 linecolor rgb INK title "by the drawn circle"
