# sweep.gnuplot - the probability along one knob, the action line and where they meet. Data: sweep.csv (slimmargin sweep --figures).
# SPDX-License-Identifier: GPL-3.0-or-later
load "plots/common.gnuplot"
set datafile columnheaders
what = quoted(1)
stats csv using (lined = strcol("action_line"), placed = strcol("knob_as_it_is"), column("event_high95")) nooutput
most = STATS_max
stats csv using 1 nooutput; from = STATS_min; to = STATS_max
stats csv using (own_low = column("event_as_it_is_low95"), own_high = column("event_as_it_is_high95"), column("event_as_it_is")) nooutput; own = STATS_min
stats csv every ::0::0 using (column("event")) nooutput; first = STATS_min
stats csv using (last = column("event")) nooutput
line = (strlen(lined) > 0 ? real(lined) : 0)
most = 100*(line > most ? line : most); most = (100*own > most ? 100*own : most)
set border 3
set xrange [from:to]; set yrange [0:(most > 92.5 ? 100 : 1.08*most)]
set xlabel what noenhanced textcolor rgb INK
set ylabel OF_100 textcolor rgb INK
unset key
ringed = (strlen(placed) > 0 ? (real(placed) >= from && real(placed) <= to) : 0)
if (line > 0) {
    set arrow 1 from from,100*line to to,100*line nohead dashtype 2 linecolor rgb INK
    your = sprintf("your line, %g of 100", 100*line)
    # Its words stand where the curve is further from it; under it, if the mark of the case would be in their way.
    aside = (ringed || 100*(own - line) > 0.1*most || own < line ? 0.6 : -0.6)
    if (abs(first-line) > abs(last-line)) { set label 1 your at from,100*line left offset 1,aside textcolor rgb INK } else { set label 1 your at to,100*line right offset -1,aside textcolor rgb INK }
}
# As it is: a ring on the curve, if the knob has one number; else a mark at the edge.
asis = "as it is: ".of_100(own, own_low, own_high)
if (ringed) {
    rises = (first < own && real(placed) - from > 0.2*(to - from))
    set label 2 "" at real(placed),100*own point pointtype 6 pointsize 1.4 linewidth 2 linecolor rgb INK front
    if (rises) { set label 3 asis at real(placed),100*own right offset -1,1 textcolor rgb INK font BOLD front } else { set label 3 asis at real(placed),100*own left offset 1,1 textcolor rgb INK font BOLD front }
} else {
    set arrow 3 from from,100*own to from+0.03*(to-from),100*own nohead linecolor rgb MUTE
    set label 3 asis at from+0.035*(to-from),100*own left textcolor rgb INK font BOLD front
}
# Where they meet: the value in as many digits as its Monte Carlo error allows, its 95 % interval shaded.
stats csv using (strlen(strcol("meets_line_at")) > 0) nooutput; meets = int(STATS_max)
met(x) = (meets ? column("meets_line_at") : from)
half(x) = (meets ? 1.96*column("meets_line_at_standard_error") : 0)
late(x) = (met(0) > from + 0.9*(to - from))
said(x) = by_error(met(0), half(0)/1.96)
plot for [i=1:meets] csv using (met(0)):(50*line):(met(0)-half(0)):(met(0)+half(0)):(0):(100*line) with boxxyerror fillstyle solid 1 noborder fillcolor rgb SOFT, \
     csv using 1:(100*column("event_low95")):(100*column("event_high95")) with filledcurves fillstyle solid 1 noborder fillcolor rgb ROOM, \
     csv using 1:(100*column("event")) with lines linewidth 2 linecolor rgb DEEP, \
     for [i=1:meets] csv using (met(0)):(0):(0):(100*line) with vectors nohead linewidth 2.5 linecolor rgb INK, \
     for [i=1:meets] csv using (late(0) ? NaN : met(0) + half(0)):(0):(said(0)) with labels left offset 0.7,1 font BOLD textcolor rgb INK, \
     for [i=1:meets] csv using (late(0) ? met(0) - half(0) : NaN):(0):(said(0)) with labels right offset -0.7,1 font BOLD textcolor rgb INK
