/* points_case.c - the points that readers picked -> a case on its way: heights, gaps and azimuths as readings.
 *
 * Contents: 1. the frame of each reader  2. what all readers must agree in  3. values  4. putting them into a draft
 *           5. the check  6. all of it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "newcase/points_case.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "format/json_doc.h"
#include "format/json_write.h"

typedef struct {
    const sm_points_by_reader *by;
    size_t n;
    double circle_mm;
    sm_picked_frame frame[SM_POINTS_READERS];
    sm_diag *d;
    sm_draft *draft;
} job;

static sm_place place_of(const job *j, size_t i, const sm_labelled_point *p)
{
    return (sm_place){.file = j->by[i].points.file, .line = p->line, .column = p->column};
}

/* 1. The frame of each reader */

/* The axis_top; without one the middle of the points above the base plane: junctions, else whatever was picked of the
 * sides. */
static sm_vector way_up(const sm_points *p)
{
    sm_vector sum = {0};
    double n = 0;
    if (p->fixed[SM_POINT_AXIS_TOP].line)
        return p->fixed[SM_POINT_AXIS_TOP].at;
    for (int pass = 0; pass < 2 && n == 0; pass++)
        for (size_t i = 0; i < p->n_sides; i++)
            for (int part = 0; part < SM_POINTS_OF_SIDE; part++) {
                const sm_labelled_point *q = &p->side[i].part[part];
                if (!q->line || (pass == 0 && part != SM_POINT_JUNCTION))
                    continue;
                sum = (sm_vector){sum.x + q->at.x, sum.y + q->at.y, sum.z + q->at.z};
                n++;
            }
    return (sm_vector){sum.x / n, sum.y / n, sum.z / n};
}

static const sm_labelled_point *picked(const sm_points *p, const char *side, sm_point_part part)
{
    for (size_t i = 0; i < p->n_sides; i++)
        if (strcmp(p->side[i].name, side) == 0 && p->side[i].part[part].line)
            return &p->side[i].part[part];
    return NULL;
}

static const char *lie_words(sm_picked_lie lie)
{
    switch (lie) {
    case SM_LIES_UPSIDE_DOWN:
        return "the aorta would lead toward the feet: z must grow toward the head, in lps and in ras, and axis_top "
               "must "
               "lie up the aorta";
    case SM_LIES_TURNED:
        return "the coronaries would lie on the wrong side of the patient, turned by half a turn: the axes are most "
               "likely %s and not %s";
    case SM_LIES_MIRRORED:
        return "the root would be a mirror image (seen from the aorta, the right ostium must follow the left one "
               "clockwise): one axis has the wrong sign";
    case SM_LIES_EXCHANGED:
        return "the left and the right ostium have each other's place: exchange their labels";
    default:
        return NULL;
    }
}

/* A root that lies in the patient as none does comes from wrong axes or labels. */
static void check_lie(const job *j, size_t i)
{
    const sm_points *p = &j->by[i].points;
    const sm_labelled_point *left = picked(p, "left", SM_POINT_OSTIUM), *right = picked(p, "right", SM_POINT_OSTIUM);
    const sm_picked_lie lie = sm_picked_lies(&j->frame[i], left ? &left->at : NULL, right ? &right->at : NULL);
    const char *words = lie_words(lie);
    sm_text all = {0};
    if (!words)
        return;
    const char *at = strstr(words, "%s and not %s");
    sm_text_putn(&all, words, at ? (size_t)(at - words) : strlen(words));
    if (at)
        sm_text_puts(&all, p->axes == SM_AXES_LPS ? "ras and not lps" : "lps and not ras");
    sm_diag_add(j->d, SM_FAULT,
                place_of(j, i,
                         right  ? right
                         : left ? left
                                : &p->fixed[SM_POINT_BASE_1]),
                "%s%s", sm_text_string(&all),
                lie == SM_LIES_UPSIDE_DOWN ? "" : ". If the anatomy is truly so, give the ostia other names");
    j->d->failed |= all.failed;
    sm_text_destroy(&all);
}

static void set_frame(job *j, size_t i)
{
    enum { OFF_MM = 4 };
    const sm_points *p = &j->by[i].points;
    const sm_labelled_point *fixed = p->fixed, *centre = &fixed[SM_POINT_RING_CENTRE],
                            *zero = &fixed[fixed[SM_POINT_AZIMUTH_0].line ? SM_POINT_AZIMUTH_0 : SM_POINT_BASE_1];
    const sm_vector base[3] = {fixed[SM_POINT_BASE_1].at, fixed[SM_POINT_BASE_2].at, fixed[SM_POINT_BASE_3].at},
                    up = way_up(p);
    switch (sm_picked_frame_create(base, centre->line ? &centre->at : NULL, &up, &zero->at, &j->frame[i])) {
    case SM_PICKED_NO_PLANE:
        sm_diag_add(j->d, SM_FAULT, place_of(j, i, &fixed[SM_POINT_BASE_1]),
                    "base_1, base_2 and base_3 lie together or on one line: they give no plane");
        return;
    case SM_PICKED_NO_UP:
        sm_diag_add(j->d, SM_FAULT, place_of(j, i, &fixed[SM_POINT_BASE_1]),
                    "no point shows which way is up: give axis_top, a point further up the aorta");
        return;
    case SM_PICKED_NO_ZERO:
        sm_diag_add(j->d, SM_FAULT, place_of(j, i, zero), "this point lies on the axis: it shows no direction");
        return;
    default:
        break;
    }
    if (j->frame[i].centre_off_mm > OFF_MM)
        sm_diag_add(j->d, SM_WARNING, place_of(j, i, centre),
                    "ring_centre lies %.1f mm beside the centre of the circle through the base points",
                    j->frame[i].centre_off_mm);
    check_lie(j, i);
}

/* 2. What all readers must agree in */

#define DEGREES (180 / 3.14159265358979323846)

/* The mean direction of a side's ostium over the readers who picked it; false if none did. */
static bool mean_azimuth(const job *j, const char *side, double *out)
{
    double x = 0, y = 0;
    bool any = false;
    for (size_t i = 0; i < j->n; i++) {
        const sm_labelled_point *p = picked(&j->by[i].points, side, SM_POINT_OSTIUM);
        if (!p)
            continue;
        const double azimuth = sm_picked_measure(&j->frame[i], &p->at).azimuth_deg / DEGREES;
        x += cos(azimuth);
        y += sin(azimuth);
        any = true;
    }
    *out = atan2(y, x) * DEGREES;
    *out += *out < 0 ? 360 : 0;
    return any;
}

/* Readers who numbered the base points otherwise have another azimuth 0. */
static void check_azimuths(const job *j, const char *side)
{
    enum { APART_DEG = 20 };
    double mean;
    if (!mean_azimuth(j, side, &mean))
        return;
    for (size_t i = 0; i < j->n; i++) {
        const sm_labelled_point *p = picked(&j->by[i].points, side, SM_POINT_OSTIUM);
        const double own = p ? sm_picked_measure(&j->frame[i], &p->at).azimuth_deg : mean;
        if (fabs(remainder(own - mean, 360)) < APART_DEG)
            continue;
        sm_diag_add(j->d, SM_FAULT, place_of(j, i, p),
                    "the readers' directions of this ostium lie more than %d degrees from their mean: number the base "
                    "points alike in every file, or give each the same azimuth_0",
                    APART_DEG);
        return;
    }
}

/* One circle holds for a case: that of the command line, or of the files. */
static void settle_circle(job *j)
{
    for (size_t i = 0; i < j->n; i++) {
        const double own = j->by[i].points.circle_mm;
        if (own > 0 && j->circle_mm > 0 && own != j->circle_mm)
            sm_diag_add(j->d, SM_FAULT, (sm_place){.file = j->by[i].points.file, .line = 1, .column = 1},
                        "this file says a circle of %g mm, but %g mm was said before", own, j->circle_mm);
        j->circle_mm = j->circle_mm > 0 ? j->circle_mm : own;
    }
}

/* 3. Values */

/* Readings are given to 0.01 mm and azimuths to 0.1 degrees: no reader places a point more exactly. */
static double rounded(double x, double steps)
{
    return round(x * steps) / steps;
}

typedef struct {
    const char *key;
    sm_point_part part;
    bool is_gap;
} quantity;

static const quantity quantities[] = {{"ostium_height", SM_POINT_OSTIUM, false},
                                      {"ostium_gap", SM_POINT_OSTIUM, true},
                                      {"stj_height", SM_POINT_JUNCTION, false},
                                      {"stj_gap", SM_POINT_JUNCTION, true},
                                      {"leaflet_height", SM_POINT_LEAFLET_TOP, false}};
enum { QUANTITIES = sizeof quantities / sizeof *quantities };

/* {"A": [9.1], "B": [9.4]}; false if no reader picked the point. */
static bool readings_write(const job *j, const char *side, const quantity *q, double circle_mm, sm_text *json)
{
    sm_json w = {.out = json};
    bool any = false;
    sm_json_open(&w, NULL, SM_JSON_LINE);
    for (size_t i = 0; i < j->n; i++) {
        const sm_labelled_point *p = picked(&j->by[i].points, side, q->part);
        if (!p)
            continue;
        const sm_picked m = sm_picked_measure(&j->frame[i], &p->at);
        any = true;
        sm_json_open_list(&w, j->by[i].reader, SM_JSON_LINE);
        sm_json_number(&w, NULL, rounded(q->is_gap ? m.radius_mm - circle_mm / 2 : m.height_mm, 100));
        sm_json_close(&w);
    }
    sm_json_close(&w);
    return any;
}

/* 4. Putting them into a draft */

/* Puts the number; the draft is our own, so that only memory can be missing. */
static sm_status put_number(sm_draft *draft, const char *pointer, double x)
{
    char number[SM_NUMBER_SIZE];
    return sm_draft_put(draft, pointer, sm_number_write(x, number));
}

static sm_answer_state state_at(const sm_draft *draft, const char *pointer, sm_text *json)
{
    sm_question q = {.optional = true};
    snprintf(q.pointer, sizeof q.pointer, "%s", pointer);
    return sm_draft_state(draft, &q, json);
}

static bool equal_but_for_capitals(const char *a, const char *b)
{
    while (*a && tolower((unsigned char)*a) == tolower((unsigned char)*b)) {
        a++;
        b++;
    }
    return !*a && !*b;
}

/* The name under which the draft has the side; that of the points if it has none like it. */
static sm_status name_in_draft(const sm_draft *draft, const char *side, char out[SM_NAME_SIZE])
{
    sm_text json = {0};
    snprintf(out, SM_NAME_SIZE, "%s", side);
    const sm_answer_state state = state_at(draft, "/coronaries", &json);
    cJSON *all = state == SM_ANSWER_GIVEN ? cJSON_Parse(sm_text_string(&json)) : NULL;
    for (const cJSON *c = cJSON_IsObject(all) ? all->child : NULL; c; c = c->next)
        if (strlen(c->string) < SM_NAME_SIZE && equal_but_for_capitals(c->string, side))
            snprintf(out, SM_NAME_SIZE, "%s", c->string);
    const bool failed = json.failed || state == SM_ANSWER_UNKNOWN || (state == SM_ANSWER_GIVEN && !all);
    cJSON_Delete(all);
    sm_text_destroy(&json);
    return failed ? SM_NO_MEMORY : SM_OK;
}

/* A side that the draft has not: a blank for each of its keys. */
static sm_status make_side(sm_draft *draft, const char *pointer)
{
    sm_text json = {0};
    sm_json w = {.out = &json};
    const sm_answer_state state = state_at(draft, pointer, NULL);
    if (state == SM_ANSWER_GIVEN || state == SM_ANSWER_UNKNOWN)
        return state == SM_ANSWER_GIVEN ? SM_OK : SM_NO_MEMORY;
    sm_json_open(&w, NULL, SM_JSON_LINES);
    for (size_t i = 0; i < sm_keys_coronary.n; i++)
        if (sm_keys_coronary.key[i].flags & SM_KEY_REQUIRED)
            sm_json_null(&w, sm_keys_coronary.key[i].name);
    sm_json_close(&w);
    const sm_status s = json.failed ? SM_NO_MEMORY : sm_draft_put(draft, pointer, json.s);
    sm_text_destroy(&json);
    return s;
}

/* The readings take the place of those that stood there; what was said beside them (edges, errors, a second look)
 * stays. Of a gap that nothing was said of, the edge stays blank: too much rests on it to pass over it. */
static sm_status put_readings(sm_draft *draft, const char *pointer, bool is_gap, const sm_text *readings)
{
    sm_text all = {0}, there = {0};
    char inner[SM_QUESTION_POINTER];
    snprintf(inner, sizeof inner, "%.200s/readings_mm", pointer);
    const sm_answer_state state = state_at(draft, pointer, &there);
    const bool in_full = state == SM_ANSWER_GIVEN && strstr(sm_text_string(&there), "\"readings_mm\"");
    const bool edge = is_gap && state != SM_ANSWER_GIVEN;
    sm_text_addf(&all, "{\"readings_mm\": %s%s}", sm_text_string(readings), edge ? ", \"bloom_edges\": null" : "");
    sm_status s = SM_NO_MEMORY;
    if (!all.failed && !there.failed && !readings->failed && state != SM_ANSWER_UNKNOWN)
        s = in_full ? sm_draft_put(draft, inner, readings->s) : sm_draft_put(draft, pointer, all.s);
    sm_text_destroy(&all);
    sm_text_destroy(&there);
    return s;
}

/* The circle that the gaps of a side start from: said, or as the draft has it. 0: nobody says it. */
static sm_status circle_of(const job *j, const char *pointer, double *out)
{
    sm_text json = {0};
    *out = j->circle_mm;
    if (*out > 0)
        return put_number(j->draft, pointer, *out);
    const sm_answer_state state = state_at(j->draft, pointer, &json);
    cJSON *node = state == SM_ANSWER_GIVEN ? cJSON_Parse(sm_text_string(&json)) : NULL;
    *out = cJSON_IsNumber(node) ? node->valuedouble : 0;
    const bool failed = state == SM_ANSWER_UNKNOWN || json.failed || (state == SM_ANSWER_GIVEN && !node);
    cJSON_Delete(node);
    sm_text_destroy(&json);
    return failed ? SM_NO_MEMORY : SM_OK;
}

static void no_circle(const job *j)
{
    for (size_t i = 0; i < j->d->n; i++)
        if (strstr(j->d->item[i].words, "--circle"))
            return;
    sm_diag_add(j->d, SM_FAULT, (sm_place){.file = j->by[0].points.file, .line = 1, .column = 1},
                "a gap starts at the circle that stands for the new valve: give its diameter, --circle MM");
}

static sm_status put_side(const job *j, const char *side)
{
    char name[SM_NAME_SIZE], at[SM_QUESTION_POINTER], pointer[SM_QUESTION_POINTER];
    double circle, azimuth;
    sm_status s = name_in_draft(j->draft, side, name);
    snprintf(at, sizeof at, "/coronaries/%s", name);
    s = s == SM_OK ? make_side(j->draft, at) : s;
    snprintf(pointer, sizeof pointer, "/coronaries/%s/circle_mm", name);
    s = s == SM_OK ? circle_of(j, pointer, &circle) : s;
    snprintf(pointer, sizeof pointer, "/coronaries/%s/azimuth_deg", name);
    if (s == SM_OK && mean_azimuth(j, side, &azimuth))
        s = put_number(j->draft, pointer, fmod(rounded(azimuth, 10), 360));
    for (size_t k = 0; s == SM_OK && k < QUANTITIES; k++) {
        sm_text json = {0};
        snprintf(pointer, sizeof pointer, "/coronaries/%s/%s", name, quantities[k].key);
        const bool any = readings_write(j, side, &quantities[k], circle, &json);
        if (any && quantities[k].is_gap && !(circle > 0))
            no_circle(j);
        else if (any)
            s = put_readings(j->draft, pointer, quantities[k].is_gap, &json);
        sm_text_destroy(&json);
    }
    return s;
}

/* Where the base points lay, from the first reader; each reader placed a plane of his own. A plane that the draft
 * states by its tilt stays. */
static sm_status put_plane(const job *j)
{
    const sm_picked_frame *f = &j->frame[0];
    char azimuths[3 * SM_NUMBER_SIZE + 8], a[3][SM_NUMBER_SIZE];
    for (int i = 0; i < 3; i++)
        sm_number_write(fmod(rounded(f->base_azimuth_deg[i], 10), 360), a[i]);
    snprintf(azimuths, sizeof azimuths, "[%s, %s, %s]", a[0], a[1], a[2]);
    const sm_answer_state tilt = state_at(j->draft, "/scan/base_plane/tilt_sd_deg", NULL);
    if (tilt == SM_ANSWER_GIVEN || tilt == SM_ANSWER_UNKNOWN)
        return tilt == SM_ANSWER_GIVEN ? SM_OK : SM_NO_MEMORY;
    sm_status s = put_number(j->draft, "/scan/base_plane/radius_mm", rounded(f->radius_mm, 100));
    s = s == SM_OK ? sm_draft_put(j->draft, "/scan/base_plane/azimuths_deg", azimuths) : s;
    if (s == SM_OK && j->n > 1)
        s = put_number(j->draft, "/scan/base_plane/placements", (double)j->n);
    return s;
}

/* 5. The check */

/* The point that gave what stands at the pointer; NULL if none did. *i: in which reader's file it is. */
static const sm_labelled_point *point_at(const job *j, const char *pointer, size_t *i)
{
    static const char plane[] = "/scan/base_plane";
    *i = 0;
    if (strncmp(pointer, plane, strlen(plane)) == 0)
        return &j->by[0].points.fixed[SM_POINT_BASE_1];
    char side[SM_NAME_SIZE], key[SM_NAME_SIZE], reader[SM_NAME_SIZE] = "";
    if (sscanf(pointer, "/coronaries/%32[^/]/%32[^/]/readings_mm/%32[^/]", side, key, reader) < 2)
        return NULL;
    for (char *c = side; *c; c++)
        *c = (char)tolower((unsigned char)*c);
    for (size_t r = 0; r < j->n; r++)
        for (size_t k = 0; k < QUANTITIES; k++) {
            const sm_labelled_point *p = picked(&j->by[r].points, side, quantities[k].part);
            const bool azimuth = strcmp(key, "azimuth_deg") == 0 && quantities[k].part == SM_POINT_OSTIUM;
            if (!p || (strcmp(key, quantities[k].key) != 0 && !azimuth))
                continue;
            *i = r;
            if (!reader[0] || strcmp(reader, j->by[r].reader) == 0)
                return p;
        }
    return NULL;
}

static bool is_null(const sm_diag_item *item)
{
    return strncmp(item->words, "found null", 10) == 0;
}

/* The whole check of the draft; blanks are for the form. What a point gave is told at the point. */
static sm_status check(const job *j)
{
    sm_diag own = {0};
    const sm_status s = sm_draft_check(j->draft, &own);
    for (size_t m = 0; m < own.n; m++) {
        const sm_diag_item *item = &own.item[m];
        size_t i;
        const sm_labelled_point *p = item->pointer && !is_null(item) ? point_at(j, item->pointer, &i) : NULL;
        if (p) {
            sm_place place = place_of(j, i, p);
            place.pointer = item->pointer;
            sm_diag_add(j->d, item->kind, place, "%s", item->words);
        } else if (!is_null(item))
            sm_diag_add(j->d, item->kind, (sm_place){.file = "--onto", .pointer = item->pointer}, "%s", item->words);
    }
    j->d->failed |= own.failed;
    sm_diag_destroy(&own);
    return s == SM_NO_MEMORY || j->d->failed ? SM_NO_MEMORY : j->d->faults ? SM_REFUSED : SM_OK;
}

/* 6. All of it */

/* Whether an earlier file has the side. */
static bool was_done(const job *j, size_t i, const char *side)
{
    for (size_t r = 0; r < i; r++)
        for (size_t k = 0; k < j->by[r].points.n_sides; k++)
            if (strcmp(j->by[r].points.side[k].name, side) == 0)
                return true;
    return false;
}

static sm_status each_side(const job *j, bool put)
{
    sm_status s = SM_OK;
    for (size_t i = 0; i < j->n; i++)
        for (size_t k = 0; s == SM_OK && k < j->by[i].points.n_sides; k++) {
            const char *side = j->by[i].points.side[k].name;
            if (was_done(j, i, side))
                continue;
            if (put)
                s = put_side(j, side);
            else
                check_azimuths(j, side);
        }
    return s;
}

/* An object of coronaries to put sides into; a draft of questions may hold a blank there. */
static sm_status make_room(const job *j)
{
    const sm_answer_state state = state_at(j->draft, "/coronaries", NULL);
    return state == SM_ANSWER_UNKNOWN ? SM_NO_MEMORY
           : state == SM_ANSWER_BLANK ? sm_draft_put(j->draft, "/coronaries", "{}")
                                      : SM_OK;
}

static sm_status status_of(const job *j, sm_status s)
{
    if (s == SM_REFUSED && !j->d->faults)
        sm_diag_add(j->d, SM_FAULT, (sm_place){0},
                    "the file that --onto names has something else in the place of an object");
    return s == SM_NO_MEMORY || j->d->failed ? SM_NO_MEMORY : j->d->faults ? SM_REFUSED : s;
}

sm_status sm_points_case(const sm_points_by_reader *by, size_t n, double circle_mm, sm_diag *d, sm_draft *draft)
{
    job j = {.by = by, .n = n, .circle_mm = circle_mm, .d = d, .draft = draft};
    for (size_t i = 0; i < n; i++)
        set_frame(&j, i);
    settle_circle(&j);
    sm_status s = status_of(&j, SM_OK);
    if (s == SM_OK)
        s = status_of(&j, each_side(&j, false));
    if (s == SM_OK)
        s = status_of(&j, put_plane(&j));
    if (s == SM_OK)
        s = status_of(&j, make_room(&j));
    if (s == SM_OK)
        s = status_of(&j, each_side(&j, true));
    return s == SM_OK ? check(&j) : s;
}
