# unrolled.gnuplot - the root unrolled: each ostium with its crossings of 100, the tube's rim and the junction. Data: unrolled.csv.
# SPDX-License-Identifier: GPL-3.0-or-later
if (!exists("wide")) wide = 14
if (!exists("high")) high = 9
load "plots/common.gnuplot"
set border 3
set xrange [0:360]; set xtics 60; set mxtics 4
set yrange [0:*]; set ytics 5
set xlabel "degrees round the root, seen from the aorta" textcolor rgb INK
set ylabel "mm above the base plane" textcolor rgb INK
set key outside top center horizontal width 2
set bmargin 3.5; set rmargin 3
round(d) = d - 360*floor(d/360)
# Beyond this the words would leave the picture: they stand to the left.
late(d) = (round(d) > 230)
said(s, p, room) = sprintf("%s: %.0f of 100, room %.1f", s, 100*p, room)
plot csv using (round($2)):7:6:8 every ::1 with yerrorbars pointtype 5 linewidth 2 linecolor rgb DEEP title "rim of the tube", \
     csv using (round($2)):10:9:11 every ::1 with yerrorbars pointtype 6 linecolor rgb MUTE title "junction", \
     csv using (round($2)+4):4:3:5 every ::1 with yerrorbars pointtype 7 linewidth 2 linecolor rgb INK title "ostium", \
     csv using (late($2) ? NaN : round($2)+8):4:(said(strcol(1), $13, $12)) every ::1 with labels left noenhanced textcolor rgb CROSS notitle, \
     csv using (late($2) ? round($2)-4 : NaN):4:(said(strcol(1), $13, $12)) every ::1 with labels right noenhanced textcolor rgb CROSS notitle
