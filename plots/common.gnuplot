# common.gnuplot - what all plots share: the file's kind by its name, the colours of the report, commas between columns.
# Each plot wants:  gnuplot -e "csv='FILE.csv'; out='FILE.pdf'" plots/NAME.gnuplot     (or .png). Sizes may be given too: wide=18; high=6 (cm).
# SPDX-License-Identifier: GPL-3.0-or-later
if (!exists("wide")) wide = 18
if (!exists("high")) high = 8
if (out[strlen(out)-3:] eq ".png") {
    set terminal pngcairo enhanced font "Liberation Sans,11" size wide*60,high*60 fontscale 1.1 linewidth 1.3
} else {
    set terminal pdfcairo enhanced font "Liberation Sans,10" size wide cm,high cm linewidth 1
}
set output out
set datafile separator comma
set encoding utf8
INK = "#16242e"; MUTE = "#5b6b76"; HAIR = "#c9d2d8"; SOFT = "#dfe7ec"; ROOM = "#8fb3cc"; DEEP = "#2f6690"; CROSS = "#b6431a"
set border 1 linecolor rgb INK
set tics nomirror out textcolor rgb MUTE
set key noenhanced textcolor rgb INK
