# profile.gnuplot - the root from the side, to scale: where the tube, the ostium and the junction stand. Data: profile.csv.
# SPDX-License-Identifier: GPL-3.0-or-later
if (!exists("wide")) wide = 14
if (!exists("high")) high = 10
load "plots/common.gnuplot"
first = system(sprintf("sed -n 2p '%s' | cut -d, -f1", csv))
last = system(sprintf("tail -n 1 '%s' | cut -d, -f1", csv))
turn(side) = (side eq first ? -1 : 1)
# The wall's range as one shape: up along its inner edge, down along its outer one.
wall(side) = sprintf("< awk -F, '$1 == \"%s\" && $2 == \"wall of the tube\" {print $3 \",\" $7; x[++n] = $5; y[n] = $7} END {while (n) {print x[n] \",\" y[n]; n--}}' '%s'", side, csv)
set size ratio -1
set xlabel "mm from the axis" textcolor rgb INK
set ylabel "mm above the base plane" textcolor rgb INK
set border 3
set errorbars small
set xtics 5; set ytics 5; set grid ytics linecolor rgb HAIR
set for [x=5:100:5] xtics add (sprintf("%d", x) -x)
# One side alone is narrow: the axis and what lies beyond it keep their place.
if (last eq first) { set xrange [-24:4] }
set yrange [-5:*]
set arrow 1 from 0, graph 0 to 0, graph 1 nohead dashtype 3 linecolor rgb MUTE
set label 1 first at graph 0.03,0.95 noenhanced textcolor rgb INK
if (last ne first) { set label 2 last at graph 0.97,0.95 right noenhanced textcolor rgb INK }
set key outside bottom center horizontal
sides = first eq last ? first : first." ".last
plot for [s in sides] wall(s) using (turn(s)*$1):2 with filledcurves closed fillstyle solid 1 noborder fillcolor rgb ROOM notitle, \
     for [s in sides] csv using (stringcolumn(1) eq s && stringcolumn(2) eq "wall of the tube" ? turn(s)*$4 : NaN):7 every ::1 with lines linewidth 2 linecolor rgb DEEP title (s eq first ? "wall of the tube" : ""), \
     for [s in sides] csv using (stringcolumn(1) eq s && stringcolumn(2) eq "rim of the tube" ? turn(s)*$4 : NaN):7:6:8 every ::1 with yerrorbars pointtype 5 linecolor rgb DEEP title (s eq first ? "rim of the tube" : ""), \
     for [s in sides] csv using (stringcolumn(1) eq s && stringcolumn(2) eq "ostium" ? turn(s)*$4 : NaN):7:(turn(s)*$3):(turn(s)*$5):6:8 every ::1 with xyerrorbars pointtype 7 linecolor rgb INK title (s eq first ? "ostium" : ""), \
     for [s in sides] csv using (stringcolumn(1) eq s && stringcolumn(2) eq "junction" ? turn(s)*$4 : NaN):7:(turn(s)*$3):(turn(s)*$5):6:8 every ::1 with xyerrorbars pointtype 6 linecolor rgb MUTE title (s eq first ? "junction" : "")
