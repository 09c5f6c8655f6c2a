# contour.awk - what of a grid lies at or above a level (what=area: shapes), or where it meets it (what=line: strokes), blank lines
# between. Data: contour.csv; the height is its last column. Usage: awk -v what=area -v level=Z -f plots/contour.awk contour.csv
# SPDX-License-Identifier: GPL-3.0-or-later
BEGIN { FS = ","; nx = ny = 0 }
NR == 1 { next }
{
    if (!($2 in row)) { row[$2] = ++ny; y[ny] = $2 }
    if (!($1 in col)) { col[$1] = ++nx; x[nx] = $1 }
    z[col[$1], row[$2]] = $NF - level + 1e-9 # rounding must not undo what is just at the level
}
# About the grid runs a rim in which all is as at the nearest point.
function near(i, n) { return i < 1 ? 1 : i > n ? n : i }
function px(i) { return i < 1 ? x[1] - rx : i > nx ? x[nx] + rx : x[i] }
function py(j) { return j < 1 ? y[1] - ry : j > ny ? y[ny] + ry : y[j] }
function height(i, j) { return z[near(i, nx), near(j, ny)] }
function put(X, Y) { print X "," Y }
# Between corners a and b of the cell.
function between(a, b,    s) { s = h[a] / (h[a] - h[b]); put(cx[a] + s * (cx[b] - cx[a]), cy[a] + s * (cy[b] - cy[a])) }
function up(a) { return h[a] >= 0 }
function area(    k, b, c) {
    for (k = 0; k < 4; k++) {
        b = (k + 1) % 4; c = (k + 3) % 4
        if (parted && up(k)) { between(c, k); put(cx[k], cy[k]); between(k, b); print "" }
        if (!parted && up(k)) put(cx[k], cy[k])
        if (!parted && up(k) != up(b)) between(k, b)
    }
    print ""
}
# Crosswise, the strokes go about the corners that are cut off: those above if they are parted, else those below.
function line(    k, met) {
    met = 0
    for (k = 0; k < 4; k++)
        if (crosswise ? up(k) == parted : up(k) != up((k + 1) % 4)) {
            if (crosswise) between((k + 3) % 4, k)
            between(k, (k + 1) % 4)
            if (crosswise || ++met == 2) print ""
        }
}
END {
    rx = 0.03 * (x[nx] - x[1]); ry = 0.04 * (y[ny] - y[1])
    for (j = 0; j <= ny; j++)
        for (i = 0; i <= nx; i++) {
            for (k = 0; k < 4; k++) {
                di = (k == 1 || k == 2); dj = (k > 1)
                cx[k] = px(i + di); cy[k] = py(j + dj); h[k] = height(i + di, j + dj)
            }
            crosswise = up(0) == up(2) && up(1) == up(3) && up(0) != up(1)
            parted = crosswise && h[0] + h[1] + h[2] + h[3] < 0
            if (what == "area") area(); else line()
        }
}
