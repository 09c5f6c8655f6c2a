/* knob.c - what of a case can be turned.
 *
 * Contents: 1. the table  2. what the case has there  3. ranges of docs/facts.md  4. why a knob is fixed
 *           5. finding a knob  6. values as JSON  7. the case with knobs at their values
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/knob.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_math.h>

#include "casefile/defaults.h"
#include "format/json_doc.h"
#include "format/json_write.h"
#include "casefile/keys.h"
#include "measurement/base_plane.h"
#include "whatif/difference.h"
#include "whatif/dist_change.h"
#include "whatif/overrides.h"

/* 1. The table */

/* Ranges come from the table of defaults (defaults.c, docs/facts.md) unless the line has its own: about: the range is
 * that far to either side of what the case has. */
typedef struct {
    const char *name;
    sm_knob_act act;
    const sm_keys *keys; /* of the object */
    const char *object, *key, *words;
    bool about;
    double low, high; /* NaN: see above */
} knob_line;

#define OF_DEFAULTS false, NAN, NAN
/* 0.4 to 1.0 mm about the 0.6 mm of a gap in docs/facts.md; the heights' ranges are 0.63 to 1.5 times. */
#define OF_READERS false, 0.67, 1.67

/* clang-format off */
static const knob_line lines[] = {
    /* name, how it acts, object, key, words, range */
    {"blooming",          SM_KNOB_EXACT,  &sm_keys_scan,       "/scan", "blooming_mm", "blooming", OF_DEFAULTS},
    {"blooming_times",    SM_KNOB_TIMES,  &sm_keys_scan,       "/scan", "blooming_mm", "blooming", OF_DEFAULTS},
    {"tilt",              SM_KNOB_TILT,   &sm_keys_base_plane, "/scan/base_plane", "tilt_sd_deg", "the tilt of the base plane (SD per axis)", OF_DEFAULTS},
    {"cuff_wave",         SM_KNOB_EXACT,  &sm_keys_base_plane, "/scan/base_plane", "cuff_wave_mm", "the wave of the sewing cuff", OF_DEFAULTS},
    {"centreline",        SM_KNOB_EXACT,  &sm_keys_scan,       "/scan", "centreline_sd_mm", "the centreline error (SD per axis)", OF_DEFAULTS},
    {"reader_error",      SM_KNOB_READERS,&sm_keys_reading,    "/coronaries", "between_reader_sd_mm", "the readers' errors", OF_READERS},
    {"flare",             SM_KNOB_EXACT,  &sm_keys_implant,    "/implant", "flare", "the flare of the frame's top", OF_DEFAULTS},
    {"overexpansion",     SM_KNOB_EXACT,  &sm_keys_implant,    "/implant", "overexpansion", "the over-expansion", OF_DEFAULTS},
    {"nominal_diameter",  SM_KNOB_EXACT,  &sm_keys_implant,    "/implant", "nominal_diameter_mm", "the nominal diameter", OF_DEFAULTS},
    {"implant_depth",     SM_KNOB_CENTRE, &sm_keys_implant,    "/implant", "implant_depth_mm", "the implant depth (on average)", OF_DEFAULTS},
    {"canting",           SM_KNOB_EXACT,  &sm_keys_implant,    "/implant", "canting_sd_deg", "the canting of the new valve (SD per axis)", OF_DEFAULTS},
    {"offset",            SM_KNOB_EXACT,  &sm_keys_implant,    "/implant", "offset_sd_mm", "the offset of the new valve (SD per axis)", OF_DEFAULTS},
    {"inner_diameter",    SM_KNOB_CENTRE, &sm_keys_valve,      "/surgical_valve", "inner_diameter_mm", "the ring's inner diameter (on average)", true, 0.5, 0.5},
    {"ring_height",       SM_KNOB_EXACT,  &sm_keys_valve,      "/surgical_valve", "ring_height_mm", "the height of the ring", OF_DEFAULTS},
    {"ring_give",         SM_KNOB_EXACT,  &sm_keys_valve,      "/surgical_valve", "ring_give_mm", "the give of the ring", OF_DEFAULTS},
    {"eccentricity",      SM_KNOB_EXACT,  &sm_keys_valve,      "/surgical_valve", "eccentricity", "the ring's eccentricity", false, 0.02, 0.15}, /* 90 of 100 published rings */
    {"leaflet_thickness", SM_KNOB_EXACT,  &sm_keys_valve,      "/surgical_valve", "leaflet_thickness_mm", "the thickness of the old leaflets", OF_DEFAULTS},
    {"stand_off",         SM_KNOB_EXACT,  &sm_keys_valve,      "/surgical_valve", "mount_offset_mm", "the stand-off of the leaflets at a post", OF_DEFAULTS},
    {"stand_off_mid",     SM_KNOB_EXACT,  &sm_keys_valve,      "/surgical_valve", "mid_fraction", "the share of the stand-off left between posts", OF_DEFAULTS},
    {"overhang",          SM_KNOB_EXACT,  &sm_keys_valve,      "/surgical_valve", "leaflet_overhang_mm", "the free leaflet above the frame", OF_DEFAULTS},
};
/* clang-format on */

enum { LINES = sizeof lines / sizeof *lines };

const char *sm_knob_name(size_t i)
{
    return i < LINES ? lines[i].name : NULL;
}

/* 2. What the case has there */

/* What a knob turns, as the case holds it: one of the three. */
typedef struct {
    const double *number;
    const sm_dist *dist;
    const sm_quantity *quantity;
} knob_value;

static const void *object_of(const sm_case *c, const sm_keys *keys)
{
    if (keys == &sm_keys_scan)
        return &c->scan;
    if (keys == &sm_keys_base_plane)
        return &c->scan.base_plane;
    return keys == &sm_keys_implant ? (const void *)&c->implant : (const void *)&c->valve;
}

static knob_value knob_value_at(const sm_case *c, const knob_line *l)
{
    const sm_key *key = sm_keys_find(l->keys, l->key);
    const char *at = (const char *)object_of(c, l->keys) + key->offset;
    knob_value h = {0};
    if (key->kind == SM_KEY_QUANTITY)
        h.quantity = (const sm_quantity *)(const void *)at;
    else if (key->kind == SM_KEY_DIST)
        h.dist = (const sm_dist *)(const void *)at;
    else
        h.number = (const double *)(const void *)at;
    return h;
}

static const sm_dist *dist_of(const knob_value *h)
{
    if (h->quantity)
        return h->quantity->is_read ? NULL : &h->quantity->value;
    return h->dist;
}

/* The one number that the case has there. */
static bool constant_of(const knob_value *h, double *out)
{
    const sm_dist *d = dist_of(h);
    if (!h->number && !(d && sm_dist_is_constant(d)))
        return false;
    *out = h->number ? *h->number : sm_dist_mean(d);
    return true;
}

static double centre_of(const knob_value *h)
{
    if (h->quantity)
        return sm_quantity_estimate(h->quantity);
    return h->number ? *h->number : sm_dist_mean(h->dist);
}

/* The slope that one mm of point_sd gives, root mean square over both axes: (2.2) solved for the case's own points. */
static double tilt_per_mm(const sm_base_plane *b)
{
    sm_plane p;
    double sum = 0;
    if (sm_plane_create(b, &p) != SM_OK)
        return NAN;
    for (int axis = 1; axis <= 2; axis++)
        for (int i = 0; i < 3; i++)
            sum += p.solve[axis][i] * p.solve[axis][i];
    return sqrt(sum / 2 / (double)b->placements);
}

static double tilt_of(const sm_base_plane *b)
{
    return b->tilt_form ? b->tilt_sd_deg : atan(b->point_sd_mm * tilt_per_mm(b)) * (180 / M_PI);
}

static void take_own(const sm_case *c, const knob_line *l, sm_knob *k)
{
    const knob_value h = l->act == SM_KNOB_TILT || l->act == SM_KNOB_READERS ? (knob_value){0} : knob_value_at(c, l);
    k->has_own = true;
    if (l->act == SM_KNOB_TIMES || l->act == SM_KNOB_READERS)
        k->own = 1;
    else if (l->act == SM_KNOB_TILT)
        k->own = tilt_of(&c->scan.base_plane);
    else if (l->act == SM_KNOB_CENTRE)
        k->own = centre_of(&h);
    else
        k->has_own = constant_of(&h, &k->own);
}

/* 3. Ranges of docs/facts.md */

/* The parameter of that name; false if the family has none. */
static bool parameter_of(const sm_dist *d, const char *name, double *out)
{
    for (size_t i = 0; i < sm_dist_parameters(d->family); i++)
        if (strcmp(sm_dist_parameter_name(d->family, i), name) == 0) {
            *out = d->p[i];
            return true;
        }
    return false;
}

/* The ends of a line of the table of defaults: its range, or if its value is a distribution with ends, those. */
static bool ends_of(const sm_default *line, double *from, double *to)
{
    if (line && line->range.words) {
        *from = line->range.low;
        *to = line->range.high;
        return true;
    }
    return line && line->value.kind == SM_DATUM_DIST && parameter_of(&line->value.dist, "min", from) &&
           parameter_of(&line->value.dist, "max", to);
}

static void take_range(unsigned facts, const knob_line *l, sm_knob *k)
{
    if (l->about && k->has_own) {
        k->has_range = true;
        k->from = k->own - l->low;
        k->to = k->own + l->high;
    } else if (!isnan(l->low)) {
        k->has_range = true;
        k->from = l->low;
        k->to = l->high;
    } else if (l->act != SM_KNOB_TIMES)
        k->has_range = ends_of(sm_defaults_find(l->keys->group, l->key, facts), &k->from, &k->to);
}

/* 4. Why a knob is fixed */

static bool any_stated_sd(const sm_case *c)
{
    for (size_t k = 0; k < c->n_coronaries; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            if (sm_quantity_uses_reader_sds(&c->coronary[k].quantity[q]))
                return true;
    return false;
}

/* NULL if the knob can be turned in this case. */
static const char *why_fixed(const sm_case *c, const knob_line *l)
{
    const sm_key *key = sm_keys_find(l->keys, l->key);
    if ((key->flags & SM_KEY_NEEDS_OUTSIDE) && c->valve.leaflet_mount != SM_MOUNT_EXTERNAL)
        return "the leaflets are not mounted outside the posts (leaflet_mount), so they do not stand off";
    if (c->scan.base_plane.tilt_form && (key->flags & SM_KEY_POINTS_FORM))
        return "the case states the tilt of its base plane (tilt_sd_deg) and not the points it was placed by";
    if (l->act == SM_KNOB_READERS && !any_stated_sd(c))
        return "every quantity is a distribution or takes its SD from its own readings, so there is no reader SD to "
               "turn";
    return NULL;
}

/* 5. Finding a knob */

static const knob_line *line_of(const char *name)
{
    for (size_t i = 0; i < LINES; i++)
        if (strcmp(lines[i].name, name) == 0)
            return &lines[i];
    return NULL;
}

static sm_status finish(sm_knob *k)
{
    return k->name && k->pointer && k->words ? SM_OK : SM_NO_MEMORY;
}

/* The value in force at a pointer, as the list of assumptions or the text of the case has it; none if neither does.
 * False if memory runs out. */
static bool take_value(const sm_casefile *f, const char *pointer, sm_datum *out)
{
    const sm_assumption *a;
    const size_t n = sm_casefile_assumptions(f, &a);
    for (size_t i = 0; i < n; i++)
        if (strcmp(a[i].path, pointer) == 0)
            return sm_datum_read(a[i].value.json, out);
    sm_diag unused = {0};
    sm_json_doc doc;
    const bool read = sm_json_doc_read(&doc, sm_casefile_case_text(f), &unused) == SM_OK;
    const bool taken = read && sm_datum_take(sm_json_doc_at(&doc, pointer), out);
    sm_json_doc_destroy(&doc);
    sm_diag_destroy(&unused);
    return taken;
}

static void take_domain(const knob_line *l, sm_knob *k)
{
    const sm_key *key = sm_keys_find(l->keys, l->key);
    const bool times = l->act == SM_KNOB_TIMES || l->act == SM_KNOB_READERS;
    k->unit = times ? "times" : key->unit;
    k->low = times ? 0 : key->low;
    k->high = times ? 10 : key->high;
}

static char *pointer_of(const sm_case *c, const knob_line *l)
{
    const bool points = l->act == SM_KNOB_TILT && !c->scan.base_plane.tilt_form;
    const bool read = l->act == SM_KNOB_CENTRE && knob_value_at(c, l).quantity && knob_value_at(c, l).quantity->is_read;
    sm_text t = {0};
    sm_text_addf(&t, "%s/%s%s", l->object, points ? "point_sd_mm" : l->key, read ? "/readings_mm" : "");
    return sm_text_take(&t);
}

static sm_status find_named(const sm_casefile *f, const knob_line *l, sm_diag *d, sm_knob *k)
{
    const sm_case *c = sm_casefile_case(f);
    const char *fixed = why_fixed(c, l);
    if (fixed) {
        sm_diag_add(d, SM_FAULT, (sm_place){.file = l->name}, "is fixed in this case: %s", fixed);
        return SM_REFUSED;
    }
    k->act = l->act;
    k->name = sm_string_copy(l->name);
    k->pointer = pointer_of(c, l);
    k->words = sm_string_copy(l->words);
    take_domain(l, k);
    take_own(c, l, k);
    take_range(sm_casefile_facts(f), l, k);
    if (!k->has_own && k->pointer && !take_value(f, k->pointer, &k->stated))
        return SM_NO_MEMORY;
    return finish(k);
}

/* "left.ostium_gap" */
static sm_status find_reading(const sm_casefile *f, const char *name, sm_knob *k)
{
    const sm_case *c = sm_casefile_case(f);
    const char *dot = strrchr(name, '.');
    for (size_t i = 0; dot && i < c->n_coronaries; i++)
        for (int q = 0; q < SM_QUANTITIES; q++) {
            const char *what = sm_quantity_name((sm_quantity_id)q);
            const sm_coronary *o = &c->coronary[i];
            if (strlen(o->name) != (size_t)(dot - name) || strncmp(o->name, name, strlen(o->name)) != 0 ||
                strcmp(dot + 1, what) != 0 || sm_coronary_lacks(o, (sm_quantity_id)q))
                continue;
            const sm_quantity_kind *kind = sm_keys_quantity(what);
            sm_text words = {0}, pointer = {0};
            sm_text_addf(&words, "the %s %s", o->name, kind->words);
            sm_text_addf(&pointer, "/coronaries/%s/%s%s", o->name, what, o->quantity[q].is_read ? "/readings_mm" : "");
            *k = (sm_knob){.act = SM_KNOB_CENTRE,
                           .side = (int)i,
                           .quantity = q,
                           .unit = "mm",
                           .verb = "read",
                           .low = kind->low,
                           .high = kind->high,
                           .has_own = true,
                           .own = sm_quantity_estimate(&o->quantity[q])};
            k->name = sm_string_copy(name);
            k->words = sm_text_take(&words);
            k->pointer = sm_text_take(&pointer);
            return finish(k);
        }
    return SM_USAGE;
}

/* Keys that say nothing about the root: turning them would show nothing. */
static const char *why_no_pointer(const char *pointer)
{
    if (strcmp(pointer, "/action_line") == 0)
        return "the action line does not move the probability; the table shows where the curve meets any line";
    if (strncmp(pointer, "/alternatives", strlen("/alternatives")) == 0)
        return "alternatives are no part of the case as planned";
    return NULL;
}

static sm_status find_pointer(const sm_casefile *f, const char *name, sm_diag *d, sm_knob *k)
{
    const char *wrong = why_no_pointer(name), *last = strrchr(name, '/') + 1;
    const sm_keys *home = sm_keys_home(last);
    const sm_key *key = home ? sm_keys_find(home, last) : NULL;
    if (wrong) {
        sm_diag_add(d, SM_FAULT, (sm_place){.file = name}, "cannot be varied: %s", wrong);
        return SM_REFUSED;
    }
    *k = (sm_knob){
        .act = SM_KNOB_POINTER, .side = -1, .quantity = -1, .verb = "were", .low = -HUGE_VAL, .high = HUGE_VAL};
    k->unit = key ? key->unit : "";
    k->name = sm_string_copy(name);
    k->pointer = sm_string_copy(name);
    k->words = sm_string_copy(name);
    if (!take_value(f, name, &k->stated))
        return SM_NO_MEMORY;
    k->has_own = k->stated.kind == SM_DATUM_NUMBER;
    if (k->has_own)
        k->own = k->stated.number;
    return finish(k);
}

/* The nearest name of a reading, on the heap; NULL if none is near or d has failed. */
static char *near_reading(const sm_case *c, const char *name, sm_diag *d)
{
    const size_t n = c->n_coronaries * SM_QUANTITIES;
    char **known = calloc(n, sizeof *known);
    size_t made = 0;
    for (; known && made < n; made++) {
        sm_text t = {0};
        const sm_coronary *o = &c->coronary[made / SM_QUANTITIES];
        const sm_quantity_id q = (sm_quantity_id)(made % SM_QUANTITIES);
        sm_text_addf(&t, "%s.%s", o->name, sm_quantity_name(sm_coronary_lacks(o, q) ? SM_STJ_GAP : q));
        known[made] = sm_text_take(&t);
        if (!known[made])
            break;
    }
    const char *near = made == n && known ? sm_keys_nearest(name, (const char *const *)known, n) : NULL;
    char *copy = near ? sm_string_copy(near) : NULL;
    d->failed |= made < n || (near && !copy);
    for (size_t i = 0; i < made; i++)
        free(known[i]);
    free(known);
    return copy;
}

static sm_status complain_unknown(const sm_case *c, const char *name, sm_diag *d)
{
    const char *known[LINES];
    sm_text all = {0};
    for (size_t i = 0; i < LINES; i++) {
        known[i] = lines[i].name;
        sm_text_addf(&all, "%s%s", i ? ", " : "", lines[i].name);
    }
    char *reading = strchr(name, '.') ? near_reading(c, name, d) : NULL;
    const char *near = reading ? reading : sm_keys_nearest(name, known, LINES);
    sm_diag_add(
        d, SM_FAULT, (sm_place){.file = name},
        "no knob has this name%s%s%s There are %s, the readings %s.ostium_gap and the like, and any JSON pointer "
        "into the case",
        near ? "; did you mean " : ".", near ? near : "", near ? "?" : "", sm_text_string(&all), c->coronary[0].name);
    d->failed |= all.failed;
    sm_text_destroy(&all);
    free(reading);
    return SM_USAGE;
}

/* detector and kernel, by pointer or name: what they would ask is not what is meant. */
static bool is_of_scan_made(const char *name)
{
    static const char *const names[] = {"detector", "kernel", "/scan/detector", "/scan/kernel"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcmp(name, names[i]) == 0)
            return true;
    return false;
}

sm_status sm_knob_find(const sm_casefile *f, const char *name, sm_diag *d, sm_knob *out)
{
    if (is_of_scan_made(name)) {
        sm_diag_add(d, SM_FAULT, (sm_place){.file = name}, "%s To see what blooming does, --vary blooming",
                    SM_SCAN_MADE);
        return SM_USAGE;
    }
    const knob_line *l = line_of(name);
    *out = (sm_knob){.side = -1, .quantity = -1, .verb = "were", .unit = ""};
    if (l)
        return find_named(f, l, d, out);
    if (name[0] == '/')
        return find_pointer(f, name, d, out);
    sm_status s = find_reading(f, name, out);
    return s == SM_USAGE ? complain_unknown(sm_casefile_case(f), name, d) : s;
}

void sm_knob_destroy(sm_knob *k)
{
    free(k->name);
    free(k->pointer);
    free(k->words);
    sm_datum_destroy(&k->stated);
    *k = (sm_knob){0};
}

/* True if a is b or leads to it. */
static bool leads_to(const char *a, const char *b)
{
    const size_t n = strlen(a);
    return strncmp(a, b, n) == 0 && (b[n] == '\0' || b[n] == '/');
}

static bool is_reader_sd(const sm_knob *k)
{
    return k->act == SM_KNOB_READERS || strstr(k->pointer, "/between_reader_sd_mm") ||
           strstr(k->pointer, "/repeat_sd_mm");
}

bool sm_knob_clash(const sm_knob *a, const sm_knob *b)
{
    if (a->act == SM_KNOB_READERS || b->act == SM_KNOB_READERS)
        return is_reader_sd(a) && is_reader_sd(b);
    return leads_to(a->pointer, b->pointer) || leads_to(b->pointer, a->pointer);
}

/* 6. Values as JSON */

/* readings_mm with every reading moved by as much. */
static void readings_write(sm_text *out, const sm_readings *r, double by)
{
    sm_json w = {.out = out};
    sm_json_open(&w, NULL, SM_JSON_LINE);
    for (size_t i = 0; i < r->n; i++) {
        sm_json_open_list(&w, r->row[i].reader, SM_JSON_LINE);
        for (size_t j = 0; j < r->row[i].n; j++)
            sm_json_number(&w, NULL, r->row[i].mm[j] + by);
        sm_json_close(&w);
    }
    sm_json_close(&w);
}

/* 7. The case with knobs at their values */

static void add_dist(sm_overrides *o, const char *pointer, const sm_dist *d)
{
    sm_text p = {0}, j = {0};
    sm_text_puts(&p, pointer);
    sm_dist_json(&j, d);
    sm_overrides_add(o, &p, &j);
}

/* A distance below this is rounding of a mean over readings: the case is then left as it is. mm */
#define NOT_MOVED 1e-9

/* The distribution alone, so that a second look beside it stays; an exact number has none. */
static void add_dist_of(sm_overrides *o, const char *pointer, const knob_value *h, const sm_dist *d)
{
    sm_text p = {0}, j = {0};
    if (!h->quantity || !h->quantity->cross_check.present || sm_dist_is_constant(d)) {
        add_dist(o, pointer, d);
        return;
    }
    sm_text_addf(&p, "%s/%s", pointer, sm_dist_family_name(d->family));
    sm_dist_parameters_json(&(sm_json){.out = &j}, NULL, d);
    sm_overrides_add(o, &p, &j);
}

static void add_centre(sm_overrides *o, const char *pointer, const knob_value *h, double value)
{
    double by = value - centre_of(h);
    sm_text p = {0}, j = {0};
    by = fabs(by) < NOT_MOVED ? 0 : by;
    if (h->quantity && h->quantity->is_read) {
        sm_text_puts(&p, pointer);
        readings_write(&j, &h->quantity->readings, by);
        sm_overrides_add(o, &p, &j);
    } else {
        const sm_dist d = sm_dist_moved(*dist_of(h), by);
        add_dist_of(o, pointer, h, &d);
    }
}

/* Both SDs of every reading of the coronaries. One with sd_from_readings by more than one reader has no other SD than
 * its own scatter. */
static void add_readers(sm_overrides *o, const sm_case *c, double times)
{
    for (size_t k = 0; k < c->n_coronaries; k++)
        for (int q = 0; q < SM_QUANTITIES; q++) {
            const sm_quantity *read = &c->coronary[k].quantity[q];
            sm_text pointer = {0};
            if (!sm_quantity_uses_reader_sds(read))
                continue;
            sm_text_addf(&pointer, "/coronaries/%s/%s", c->coronary[k].name, sm_quantity_name((sm_quantity_id)q));
            if (!pointer.failed) {
                sm_overrides_add_number(o, pointer.s, "/between_reader_sd_mm", times * read->between_reader_sd_mm);
                if (!read->sd_from_readings)
                    sm_overrides_add_number(o, pointer.s, "/repeat_sd_mm", times * read->repeat_sd_mm);
            }
            o->failed |= pointer.failed;
            sm_text_destroy(&pointer);
        }
}

static void add_tilt(sm_overrides *o, const sm_base_plane *b, double degrees)
{
    const double point_sd = tan(degrees * (M_PI / 180)) / tilt_per_mm(b);
    if (b->tilt_form)
        sm_overrides_add_number(o, "/scan/base_plane", "/tilt_sd_deg", degrees);
    else /* what the case has, to its last digit, if the tilt is the case's own */
        sm_overrides_add_number(o, "/scan/base_plane", "/point_sd_mm",
                                degrees == tilt_of(b) ? b->point_sd_mm : point_sd);
}

static void add_knob(sm_overrides *o, const sm_case *c, const sm_knob *k, double value)
{
    const knob_line *l = line_of(k->name);
    knob_value h = {0};
    if (k->side >= 0)
        h.quantity = &c->coronary[k->side].quantity[k->quantity];
    else if (l && (k->act == SM_KNOB_CENTRE || k->act == SM_KNOB_TIMES))
        h = knob_value_at(c, l);
    if (k->act == SM_KNOB_CENTRE)
        add_centre(o, k->pointer, &h, value);
    else if (k->act == SM_KNOB_TIMES) {
        const sm_dist d = sm_dist_scaled(*dist_of(&h), value);
        add_dist_of(o, k->pointer, &h, &d);
    } else if (k->act == SM_KNOB_READERS)
        add_readers(o, c, value);
    else if (k->act == SM_KNOB_TILT)
        add_tilt(o, &c->scan.base_plane, value);
    else
        sm_overrides_add_number(o, k->pointer, "", value);
}

sm_status sm_knob_case(const sm_casefile *f, const sm_knob *const *knob, const double *value, int n, sm_diag *d,
                       sm_casefile **out)
{
    sm_overrides o = {0};
    for (int i = 0; i < n; i++)
        add_knob(&o, sm_casefile_case(f), knob[i], value[i]);
    sm_status s = sm_overrides_vary(f, &o, d, out);
    sm_overrides_destroy(&o);
    return s;
}
