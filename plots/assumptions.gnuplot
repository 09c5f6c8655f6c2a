# assumptions.gnuplot - every assumption alone over its range, the widest first, against the action line. Data: assumptions.csv.
# SPDX-License-Identifier: GPL-3.0-or-later
# A row for each that moves the answer: words and range, the line, the case as it is; the least and the greatest event, each with its interval.
program = "function row() {if (moves) print words, line, own, low, high} BEGIN {FS = \",\"; OFS = \"\\t\"} NR == 1 {next} {if ($1 != knob) {row(); knob = $1; least = most = $3 + 0; low = high = $3 OFS $5 OFS $6; from = $2} if ($3 + 0 < least) {least = $3 + 0; low = $3 OFS $5 OFS $6} if ($3 + 0 > most) {most = $3 + 0; high = $3 OFS $5 OFS $6} words = $13; for (i = 14; i < NF - 1; i++) words = words FS $i; gsub(\"\\\"\", \"\", words); words = words \": \" from \" to \" $2; moves = $(NF - 1) + 0; line = $9; own = $10} END {row()}"
rows = "< awk '".program."' '".csv."'"
drawn = int(system(sprintf("%s | wc -l", rows[3:])))
if (!exists("high")) high = 2.4 + 0.62*drawn
load "plots/common.gnuplot"
set datafile separator tab
stats rows using (lined = strcol(2), own = 100*$3, 100*$7) nooutput; most = STATS_max
line = (strlen(lined) > 0 ? 100*real(lined) : 0)
most = (line > most ? line : most)
split(a, b) = (line <= 0 ? b : line < a ? a : line > b ? b : line)
unset key
set xlabel "least and most ".OF_100 textcolor rgb INK
set xrange [0:(most > 92 ? 106 : 1.1*most)]
set xtics 0,(most > 50 ? 10 : most > 25 ? 5 : most > 10 ? 2 : round_down(most/5)),100
set yrange [drawn-0.3:-0.8]
set ytics scale 0 noenhanced textcolor rgb INK
set style fill solid 1 noborder
set arrow 1 from own,-0.6 to own,drawn-0.3 nohead linewidth 2 linecolor rgb INK back
if (line > 0) {
    set arrow 2 from line,-0.6 to line,drawn-0.3 nohead dashtype 2 linecolor rgb INK back
    set label 1 "your line" at line,-0.8 offset (line < own ? -0.5 : 0.5),0.5 textcolor rgb INK
    if (line < own) { set label 1 right }
}
set label 2 "as it is" at own,-0.8 offset (line < own ? 0.5 : -0.5),0.5 textcolor rgb INK
if (line >= own) { set label 2 right }
plot rows using (100*$4):0:(100*$4):(split(100*$4,100*$7)):($0-0.3):($0+0.3):yticlabels(1) with boxxyerror fillcolor rgb ROOM, \
     rows using (100*$4):0:(split(100*$4,100*$7)):(100*$7):($0-0.3):($0+0.3) with boxxyerror fillcolor rgb DEEP, \
     rows using (100*$4):0:(of_100($4,$5,$6)) with labels right offset -0.9,0 boxed textcolor rgb INK, \
     rows using (100*$7):0:(of_100($7,$8,$9)) with labels left offset 0.9,0 boxed textcolor rgb INK
