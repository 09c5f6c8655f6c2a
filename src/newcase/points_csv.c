/* points_csv.c - a list of points picked in a scan, as a table: label, x, y, z in mm.
 *
 * Programs that show images write such lists each in its own way: a header with more columns, in another order, behind
 * a comment sign; lines of comments, one of which may say what the axes are.
 *
 * Contents: 1. words  2. which axes  3. the header  4. labels  5. rows  6. the file
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "newcase/points_csv.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "casefile/keys.h"
#include "casefile/value.h"

/* 1. Words */

static const char *const fixed_names[] = {"base_1", "base_2", "base_3", "ring_centre", "axis_top", "azimuth_0"};
static const char *const part_names[] = {"ostium", "junction", "leaflet_top"};

const char *sm_point_label_name(sm_point_label label)
{
    return fixed_names[label];
}

const char *sm_point_part_name(sm_point_part part)
{
    return part_names[part];
}

enum { WORD = 80, COMMENT = 400 };

/* s in small letters; false if it is longer than any word that has a meaning. */
static bool small_letters(const char *s, size_t n, char out[WORD])
{
    if (n >= WORD)
        return false;
    for (size_t i = 0; i < n; i++)
        out[i] = (char)tolower((unsigned char)s[i]);
    out[n] = '\0';
    return true;
}

bool sm_axes_read(const char *word, sm_axes *out)
{
    char small[WORD];
    if (!small_letters(word, strlen(word), small))
        return false;
    if (strcmp(small, "lps") == 0)
        *out = SM_AXES_LPS;
    else if (strcmp(small, "ras") == 0)
        *out = SM_AXES_RAS;
    else
        return false;
    return true;
}

bool sm_points_number(const char *s, bool decimal_comma, double *out)
{
    enum { LONGEST = 40 };
    char plain[LONGEST + 1], *end;
    const size_t n = strlen(s);
    if (n == 0 || n > LONGEST || strspn(s, "+-0123456789.,eE") != n || (!decimal_comma && strchr(s, ',')))
        return false;
    for (size_t i = 0; i <= n; i++)
        plain[i] = s[i] == ',' ? '.' : s[i];
    *out = strtod(plain, &end);
    return !*end && fabs(*out) <= 10000;
}

/* 2. Which axes */

typedef struct {
    sm_points *points;
    sm_csv csv;
    sm_diag *d;
    sm_axes option;
    size_t axes_line; /* where the file first said it */
    sm_axes by_file;
} reading;

static const char *axes_name(sm_axes a)
{
    return a == SM_AXES_RAS ? "ras" : "lps";
}

/* The file says it once more: the same as before, or a fault. */
static void state_axes(reading *r, sm_axes a, size_t line, size_t column)
{
    const sm_place place = {.file = r->points->file, .line = line, .column = column};
    const bool first = r->by_file == SM_AXES_UNSTATED;
    if (!first && r->by_file != a)
        sm_diag_add(r->d, SM_FAULT, place, "found the axes %s, but line %zu says %s", axes_name(a), r->axes_line,
                    axes_name(r->by_file));
    else if (first && r->option != SM_AXES_UNSTATED && r->option != a)
        sm_diag_add(r->d, SM_FAULT, place, "found the axes %s, but --axes says %s", axes_name(a), axes_name(r->option));
    if (first) {
        r->by_file = a;
        r->axes_line = line;
    }
}

static bool mentions(const char *small, const char *const *word, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (strstr(small, word[i]))
            return true;
    return false;
}

/* "coordinate system: LPS": a comment that speaks of axes and names them as a word of its own. */
static void read_comment(reading *r, const char *s, size_t n, size_t line)
{
    static const char *const about[] = {"coordinate", "axes", "axis", "space", "system", "orientation"};
    char small[COMMENT];
    size_t length = 0;
    for (; length < n && length + 1 < COMMENT; length++)
        small[length] = (char)tolower((unsigned char)s[length]);
    small[length] = '\0';
    if (!mentions(small, about, sizeof about / sizeof *about))
        return;
    for (size_t i = 0; small[i]; i += length + (small[i + length] != '\0')) {
        sm_axes a;
        char word[WORD];
        length = strcspn(small + i, " \t=:,;.()[]\"'#-+/");
        if (small_letters(small + i, length, word) && sm_axes_read(word, &a))
            state_axes(r, a, line, i + 1);
    }
}

/* 3. The header */

typedef struct {
    size_t label, name, at[3], axes, circle; /* NONE: no such column */
    bool twice;
    sm_axes letters; /* what the names of the columns say */
} columns;

/* The names of three coordinates, and what they say of the axes. */
static const struct {
    const char *name;
    sm_axes axes;
} coordinates[] = {{"xyz", SM_AXES_UNSTATED}, {"lps", SM_AXES_LPS}, {"ras", SM_AXES_RAS}};

#define NONE ((size_t)-1)

/* "X (mm)" and "x_mm" as "x". */
static bool column_word(const char *s, char out[WORD])
{
    static const char *const units[] = {"(mm)", "[mm]", "_mm", " mm"};
    if (!small_letters(s, strlen(s), out))
        return false;
    size_t n = strlen(out);
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        const size_t m = strlen(units[i]);
        if (n > m && strcmp(out + n - m, units[i]) == 0) {
            n -= m;
            break;
        }
    }
    while (n > 0 && out[n - 1] == ' ')
        n--;
    out[n] = '\0';
    return true;
}

static void set_column(columns *c, size_t *at, size_t i)
{
    c->twice |= *at != NONE;
    *at = *at == NONE ? i : *at;
}

static void name_column(columns *c, const char *word, size_t i)
{
    if (strcmp(word, "label") == 0)
        set_column(c, &c->label, i);
    else if (strcmp(word, "name") == 0)
        set_column(c, &c->name, i);
    else if (strcmp(word, "axes") == 0 || strcmp(word, "coordinate_system") == 0)
        set_column(c, &c->axes, i);
    else if (strcmp(word, "circle") == 0)
        set_column(c, &c->circle, i);
}

/* Takes the first triple of letters of which all three are there: a lone r beside x, y, z may be a radius. */
static void find_coordinates(columns *c, const size_t first[26], const bool twice[26])
{
    for (size_t t = 0; t < sizeof coordinates / sizeof *coordinates && c->at[0] == NONE; t++) {
        const char *name = coordinates[t].name;
        if (first[name[0] - 'a'] == NONE || first[name[1] - 'a'] == NONE || first[name[2] - 'a'] == NONE)
            continue;
        for (int k = 0; k < 3; k++) {
            c->at[k] = first[name[k] - 'a'];
            c->twice |= twice[name[k] - 'a'];
        }
        c->letters = coordinates[t].axes;
    }
}

/* Whether the row is a header: it names a label and three coordinates. */
static bool read_columns(const sm_csv_row *row, columns *c)
{
    size_t first[26];
    bool twice[26] = {false};
    *c = (columns){.label = NONE, .name = NONE, .at = {NONE, NONE, NONE}, .axes = NONE, .circle = NONE};
    for (size_t k = 0; k < 26; k++)
        first[k] = NONE;
    for (size_t i = 0; i < row->n && i < SM_CSV_MAX_FIELDS; i++) {
        char word[WORD];
        if (!column_word(sm_csv_text(row, i), word))
            continue;
        name_column(c, word, i);
        if (word[0] >= 'a' && word[0] <= 'z' && !word[1]) {
            const int k = word[0] - 'a';
            twice[k] = first[k] != NONE;
            first[k] = twice[k] ? first[k] : i;
        }
    }
    find_coordinates(c, first, twice);
    c->label = c->label == NONE ? c->name : c->label;
    return c->label != NONE && c->at[0] != NONE && c->at[1] != NONE && c->at[2] != NONE;
}

/* A header behind a comment sign, perhaps after words and = or a colon. */
static bool read_comment_columns(reading *r, const char *s, size_t n, columns *c)
{
    size_t from = 0;
    for (size_t i = 0; i < n; i++)
        from = s[i] == '=' || s[i] == ':' || s[i] == '#' ? i + 1 : from;
    sm_csv csv = sm_csv_open((sm_file_text){r->points->file, s + from, n - from});
    sm_csv_row row = {0};
    sm_diag unused = {0}; /* a comment may hold anything */
    const bool is = sm_csv_next(&csv, &row, &unused) && !row.bad && read_columns(&row, c);
    r->d->failed |= row.text.failed || unused.failed;
    sm_csv_row_destroy(&row);
    sm_diag_destroy(&unused);
    return is;
}

/* Every line that begins with #; *header is the last that reads as a header. */
static bool read_comments(reading *r, sm_file_text text, columns *header)
{
    bool found = false;
    size_t line = 1;
    const char *s = text.text ? text.text : "";
    for (size_t at = text.length >= 3 && memcmp(s, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0; at < text.length; line++) {
        size_t n = 0;
        while (at + n < text.length && s[at + n] != '\n' && s[at + n] != '\r')
            n++;
        if (s[at] == '#') {
            columns c;
            read_comment(r, s + at, n, line);
            if (read_comment_columns(r, s + at, n, &c)) {
                *header = c;
                found = true;
            }
        }
        at += n;
        at += at + 1 < text.length && s[at] == '\r' && s[at + 1] == '\n' ? 2 : 1;
    }
    return found;
}

/* 4. Labels */

typedef struct {
    bool is_fixed;
    sm_point_label fixed;
    char side[SM_NAME_SIZE];
    sm_point_part part;
} label;

static bool same_word(const char *s, const char *name)
{
    size_t i = 0;
    for (; name[i]; i++)
        if (s[i] != name[i] && !(name[i] == '_' && (s[i] == ' ' || s[i] == '-')))
            return false;
    return !s[i];
}

/* NAME and a part, with a dot, a blank, _ or - between them. */
static bool read_side_label(const char *small, label *out)
{
    const size_t n = strlen(small);
    for (int part = 0; part < SM_POINTS_OF_SIDE; part++) {
        const size_t m = strlen(part_names[part]);
        if (n < m + 2 || !same_word(small + n - m, part_names[part]) || !strchr("._ -", small[n - m - 1]))
            continue;
        const size_t length = n - m - 1;
        if (length >= SM_NAME_SIZE)
            return false;
        memcpy(out->side, small, length);
        out->side[length] = '\0';
        out->part = (sm_point_part)part;
        return sm_value_is_name(out->side, "_-", SM_NAME_SIZE - 1);
    }
    return false;
}

static bool read_label(const char *s, label *out)
{
    char small[WORD];
    *out = (label){0};
    if (!small_letters(s, strlen(s), small))
        return false;
    for (int i = 0; i < SM_POINTS_FIXED; i++)
        if (same_word(small, fixed_names[i])) {
            *out = (label){.is_fixed = true, .fixed = (sm_point_label)i};
            return true;
        }
    if (same_word(small, "ring_center")) {
        *out = (label){.is_fixed = true, .fixed = SM_POINT_RING_CENTRE};
        return true;
    }
    return read_side_label(small, out);
}

/* A label like one of ours is a slip; any other is a point of the reader's own. */
static void unknown_label(reading *r, const char *s, sm_place place)
{
    char small[WORD];
    const bool short_enough = small_letters(s, strlen(s), small);
    const char *dot = short_enough ? strpbrk(small, ". ") : NULL, *near = NULL;
    if (dot && (near = sm_keys_nearest(dot + 1, part_names, SM_POINTS_OF_SIDE)))
        sm_diag_add(r->d, SM_FAULT, place, "no point has the label \"%s\"; did you mean %.*s.%s?", s,
                    (int)(dot - small), s, near);
    else if (short_enough && (near = sm_keys_nearest(small, fixed_names, SM_POINTS_FIXED)))
        sm_diag_add(r->d, SM_FAULT, place, "no point has the label \"%s\"; did you mean %s?", s, near);
    else
        sm_diag_add(
            r->d, SM_WARNING, place,
            "the point \"%s\" is not used: labels are base_1, base_2, base_3, ring_centre, axis_top, azimuth_0, "
            "and NAME.ostium, NAME.junction, NAME.leaflet_top of a coronary",
            s);
}

/* 5. Rows */

static sm_points_side *side_named(reading *r, const char *name, sm_place place)
{
    sm_points *p = r->points;
    for (size_t i = 0; i < p->n_sides; i++)
        if (strcmp(p->side[i].name, name) == 0)
            return &p->side[i];
    if (p->n_sides == SM_MAX_CORONARIES) {
        sm_diag_add(r->d, SM_FAULT, place, "there are more than %d coronaries", SM_MAX_CORONARIES);
        return NULL;
    }
    sm_points_side *side = &p->side[p->n_sides++];
    memcpy(side->name, name, strlen(name) + 1);
    return side;
}

/* Where the point of a label goes; NULL after a fault or a warning. */
static sm_labelled_point *point_of(reading *r, const char *s, sm_place place)
{
    label l;
    if (!read_label(s, &l)) {
        unknown_label(r, s, place);
        return NULL;
    }
    sm_points_side *side = l.is_fixed ? NULL : side_named(r, l.side, place);
    sm_labelled_point *point = l.is_fixed ? &r->points->fixed[l.fixed] : side ? &side->part[l.part] : NULL;
    if (point && point->line) {
        sm_diag_add(r->d, SM_FAULT, place, "the point \"%s\" stands in line %zu as well", s, point->line);
        return NULL;
    }
    return point;
}

static bool read_cell(reading *r, const sm_csv_row *row, size_t i, const char *what, double *out)
{
    const char *s = sm_csv_text(row, i);
    if (sm_points_number(s, r->csv.separator != ',', out))
        return true;
    sm_diag_add(r->d, SM_FAULT, sm_csv_place(&r->csv, row, i), "found \"%s\" for %s, expected a number of mm", s, what);
    return false;
}

static void read_circle(reading *r, const sm_csv_row *row, size_t i)
{
    const sm_key *key = sm_keys_find(&sm_keys_coronary, "circle_mm");
    double mm;
    if (!sm_csv_text(row, i)[0] || !read_cell(r, row, i, "the circle", &mm))
        return;
    if (mm < key->low || mm > key->high)
        sm_diag_add(r->d, SM_FAULT, sm_csv_place(&r->csv, row, i),
                    "found a circle of %g mm, expected a diameter from %g to %g mm", mm, key->low, key->high);
    else if (r->points->circle_mm > 0 && r->points->circle_mm != mm)
        sm_diag_add(r->d, SM_FAULT, sm_csv_place(&r->csv, row, i),
                    "found a circle of %g mm, but a line before says %g mm: one circle holds for a case", mm,
                    r->points->circle_mm);
    else
        r->points->circle_mm = mm;
}

static void read_row_axes(reading *r, const sm_csv_row *row, size_t i)
{
    const char *s = sm_csv_text(row, i);
    const sm_place place = sm_csv_place(&r->csv, row, i);
    sm_axes a;
    if (sm_axes_read(s, &a))
        state_axes(r, a, place.line, place.column);
    else if (s[0])
        sm_diag_add(r->d, SM_FAULT, place, "found the axes \"%s\", expected lps or ras", s);
}

static void read_row(reading *r, const sm_csv_row *row, const columns *c)
{
    static const char *const names[] = {"x", "y", "z"};
    const char *s = sm_csv_text(row, c->label);
    const sm_place place = sm_csv_place(&r->csv, row, c->label);
    double at[3];
    bool good = true;
    if (!s[0]) {
        sm_diag_add(r->d, SM_WARNING, place, "a point without a label is not used");
        return;
    }
    sm_labelled_point *point = point_of(r, s, place);
    if (!point)
        return;
    if (c->axes != NONE)
        read_row_axes(r, row, c->axes);
    if (c->circle != NONE)
        read_circle(r, row, c->circle);
    for (int k = 0; k < 3; k++)
        good &= read_cell(r, row, c->at[k], names[k], &at[k]);
    *point = (sm_labelled_point){.line = place.line, .column = place.column};
    if (good)
        point->at = (sm_vector){at[0], at[1], at[2]};
}

/* 6. The file */

/* Reads the header: the first row, or a comment before it. *first: the row is a point already. */
static bool read_header(reading *r, sm_csv_row *row, const columns *comment, columns *c, bool *first)
{
    const sm_place top = {.file = r->points->file, .line = 1, .column = 1};
    if (!sm_csv_next(&r->csv, row, r->d)) {
        if (!r->d->failed)
            sm_diag_add(r->d, SM_FAULT, top, "there is no point in this file");
        return false;
    }
    *first = !read_columns(row, c) && comment;
    if (*first)
        *c = *comment;
    if (c->label == NONE || c->at[0] == NONE || c->at[1] == NONE || c->at[2] == NONE)
        sm_diag_add(r->d, SM_FAULT, sm_csv_place(&r->csv, row, 0),
                    "expected a header that names the columns label, x, y and z (mm)");
    else if (c->twice)
        sm_diag_add(r->d, SM_FAULT, sm_csv_place(&r->csv, row, 0), "a column stands twice in the header");
    else
        return true;
    return false;
}

/* ras has x to the right and y to the front. */
static void turn_to_lps(sm_points *p)
{
    for (int i = 0; p->axes == SM_AXES_RAS && i < SM_POINTS_FIXED; i++)
        p->fixed[i].at = (sm_vector){-p->fixed[i].at.x, -p->fixed[i].at.y, p->fixed[i].at.z};
    for (size_t i = 0; p->axes == SM_AXES_RAS && i < p->n_sides; i++)
        for (int k = 0; k < SM_POINTS_OF_SIDE; k++) {
            sm_vector *at = &p->side[i].part[k].at;
            *at = (sm_vector){-at->x, -at->y, at->z};
        }
}

static void settle_axes(reading *r)
{
    r->points->axes = r->by_file != SM_AXES_UNSTATED ? r->by_file : r->option;
    if (r->points->axes == SM_AXES_UNSTATED)
        sm_diag_add(
            r->d, SM_FAULT, (sm_place){.file = r->points->file, .line = 1, .column = 1},
            "nothing says which way the axes run: give --axes lps (x to the patient's left, y to the back, z to "
            "the head) or --axes ras (x to the right, y to the front)");
    turn_to_lps(r->points);
}

static void read_rows(reading *r, const columns *comment)
{
    sm_csv_row row = {0};
    columns c;
    bool first;
    if (read_header(r, &row, comment, &c, &first)) {
        const sm_place head = sm_csv_place(&r->csv, &row, first ? SM_CSV_MAX_FIELDS : c.at[0]);
        if (c.letters != SM_AXES_UNSTATED)
            state_axes(r, c.letters, head.line, head.column);
        while (first || sm_csv_next(&r->csv, &row, r->d)) {
            if (!row.bad)
                read_row(r, &row, &c);
            first = false;
        }
        settle_axes(r);
    }
    sm_csv_row_destroy(&row);
}

/* What no list can do without. */
static void check_complete(const sm_points *p, sm_diag *d)
{
    const sm_place top = {.file = p->file, .line = 1, .column = 1};
    for (int i = SM_POINT_BASE_1; i <= SM_POINT_BASE_3; i++)
        if (!p->fixed[i].line)
            sm_diag_add(d, SM_FAULT, top, "there is no point %s", fixed_names[i]);
    if (p->n_sides == 0)
        sm_diag_add(d, SM_FAULT, top, "there is no point of a coronary, such as left.ostium");
}

sm_status sm_points_csv_read(sm_file_text text, sm_axes stated, sm_diag *d, sm_points *out)
{
    *out = (sm_points){.file = text.name};
    const size_t before = d->faults;
    if (!sm_csv_is_utf8(text, d))
        return d->failed ? SM_NO_MEMORY : SM_REFUSED;
    out->side = calloc(SM_MAX_CORONARIES, sizeof *out->side);
    if (!out->side)
        return SM_NO_MEMORY;
    reading r = {.points = out, .csv = sm_csv_open_with_comments(text, '#'), .d = d, .option = stated};
    columns comment;
    const bool have = read_comments(&r, text, &comment);
    read_rows(&r, have ? &comment : NULL);
    if (d->faults == before)
        check_complete(out, d);
    return d->failed ? SM_NO_MEMORY : d->faults > before ? SM_REFUSED : SM_OK;
}

void sm_points_destroy(sm_points *points)
{
    free(points->side);
    *points = (sm_points){0};
}
