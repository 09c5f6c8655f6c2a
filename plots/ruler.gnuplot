# ruler.gnuplot - one hundred roots as a ruler, the action line, the range of the judgement values. Data: ruler.csv.
# SPDX-License-Identifier: GPL-3.0-or-later
if (!exists("high")) high = 4.5
load "plots/common.gnuplot"
stats csv using 1 every ::1 nooutput; p = STATS_min
row = system(sprintf("tail -n 1 '%s'", csv))
field(i) = system(sprintf("echo '%s' | cut -d, -f%d", row, i))
unset border; unset key; unset tics
set xrange [-0.5:100.5]; set yrange [-1.2:1.8]
filled(i) = (100*p - i < 0 ? 0 : 100*p - i > 1 ? 1 : 100*p - i)
tall(i) = (i % 10 == 0 ? 1 : 0.8)
set label 1 of_100(p, real(field(2)), real(field(3)))." of 100 roots truly cross a limit" at 0,1.62 textcolor rgb CROSS font ",12"
if (strlen(field(4)) > 0) {
    line = 100*field(4)
    set arrow 1 from line,-0.08 to line,1.2 nohead linecolor rgb INK linewidth 2.5 front
    lined = sprintf("your line, %g of 100", line)
    if (line < 75) { set label 2 lined at line,1.22 offset 0.5,0 textcolor rgb INK } else { set label 2 lined at line,1.22 right offset -0.5,0 textcolor rgb INK }
}
if (strlen(field(5)) > 0) {
    set arrow 2 from 100*field(5),-0.6 to 100*field(6),-0.6 heads size 0.4,90 linecolor rgb MUTE
    judged = sprintf("%.0f to %.0f with the judgement values at the ends of their ranges", 100*field(5), 100*field(6))
    if (100*field(5) < 40) { set label 3 judged at 100*field(5),-0.95 textcolor rgb INK } else { set label 3 judged at 100*field(6),-0.95 right textcolor rgb INK }
}
set style fill solid 1 noborder
plot for [i=0:99] sprintf("+") using (i+0.12):(0):(i+0.12):(i+0.88):(0):(tall(i)) every 100 with boxxyerror fillcolor rgb SOFT, \
     for [i=0:99] sprintf("+") using (i+0.12):(0):(i+0.12):(i+0.12+0.76*filled(i)):(0):(tall(i)) every 100 with boxxyerror fillcolor rgb CROSS, \
     for [t=1:10] sprintf("+") using (10*t):(-0.25):(sprintf("%d", 10*t)) every 100 with labels textcolor rgb MUTE
