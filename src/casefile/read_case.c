/* read_case.c - the whole case: its sections, coronaries and alternatives.
 *
 * Contents: 1. head  2. scan and base plane  3. valve and implant  4. coronaries  5. second looks  6. the case
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/read_case.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "casefile/check_across.h"
#include "casefile/read_alternatives.h"
#include "casefile/read_axes.h"
#include "casefile/read_looks.h"
#include "casefile/read_profile.h"
#include "casefile/read_quantity.h"
#include "casefile/value.h"

#define CASE_NAME_LIMIT 64
#define TEXT_LIMIT      400

/* 1. Head */

static char *copy_text(sm_reader *r, const char *s)
{
    char *copy = s ? sm_string_copy(s) : NULL;
    r->no_memory |= s && !copy;
    return copy;
}

static void read_head(sm_reader *r, sm_case *c)
{
    const cJSON *root = r->case_doc.root;
    const cJSON *format = sm_reader_member(root, "format"), *name = sm_reader_member(root, "case");
    const cJSON *note = sm_reader_member(root, "note"), *profile = sm_reader_member(root, "profile");
    char found[SM_FOUND_SIZE];
    const char *text;
    if (format && !(cJSON_IsString(format) && strcmp(format->valuestring, "slimmargin-case-1") == 0))
        sm_reader_fault(r, format, "found %s, expected \"slimmargin-case-1\"", sm_reader_found(r, format, found));
    if (name && sm_value_text(r, name, "._-", CASE_NAME_LIMIT, &text))
        c->name = copy_text(r, text);
    if (note && sm_value_text(r, note, NULL, TEXT_LIMIT, &text))
        c->note = copy_text(r, text);
    if (profile && sm_value_text(r, profile, NULL, TEXT_LIMIT, &text) && !r->profile_doc.file.text)
        sm_reader_warn(r, profile, "the profile was not given: built-in defaults stand in for what it says");
}

static void check_required(sm_reader *r, const cJSON *root)
{
    for (size_t i = 0; i < sm_keys_case.n; i++)
        if ((sm_keys_case.key[i].flags & SM_KEY_REQUIRED) && !sm_reader_member(root, sm_keys_case.key[i].name))
            sm_reader_fault(r, root, "the key \"%s\" is missing, expected in a case", sm_keys_case.key[i].name);
}

/* A section of the case with its part of the profile. */
static sm_section section_of(sm_reader *r, const sm_keys *keys, const char *path)
{
    return (sm_section){.keys = keys,
                        .stated = sm_read_section_object(r, r->case_doc.root, keys->group),
                        .profile = sm_read_profile_section(r, keys->group),
                        .path = path,
                        .list = true,
                        .read_quantity = sm_read_quantity_key};
}

/* 2. Scan and base plane */

/* Which form is in force: that of the first place that states one; the points form if none does. */
static unsigned form_to_skip(sm_reader *r, const sm_section *s)
{
    unsigned skip = s->stated ? sm_check_across_plane_form(r, s->stated) : 0;
    bool muted = r->muted;
    r->muted = true; /* the profile was checked by itself */
    if (!skip && s->profile)
        skip = sm_check_across_plane_form(r, s->profile);
    r->muted = muted;
    return skip ? skip : SM_KEY_TILT_FORM;
}

/* The base points lie on the ring unless the case says otherwise: half the mean inner diameter, corrected for the mean
 * blooming if it is read. */
static void default_radius(sm_reader *r, const sm_dist *blooming, sm_base_plane *plane)
{
    const cJSON *valve = sm_reader_member(r->case_doc.root, "surgical_valve");
    const cJSON *stated = sm_reader_member(valve, "inner_diameter_mm");
    sm_quantity_ask inner_ask = {.kind = sm_keys_quantity("inner_diameter_mm"), .path = "", .side = ""};
    sm_quantity inner = {0};
    bool muted = r->muted;
    r->muted = true; /* its faults are reported where the valve is read */
    bool measured;
    const cJSON *node = sm_reader_value(r, stated, &measured);
    if (node && sm_read_quantity(r, &inner_ask, node, &inner))
        plane->radius_mm =
            (sm_quantity_estimate(&inner) - (inner.is_read ? inner.bloom_edges * sm_dist_mean(blooming) : 0)) / 2;
    sm_quantity_destroy(&inner);
    r->muted = muted;
    sm_assumption_ask ask = {.path = "/scan/base_plane",
                             .key = "radius_mm",
                             .number = plane->radius_mm,
                             .unit = "mm",
                             .about = "",
                             .words = "base plane: radius of the three base points",
                             .origin = SM_FROM_DEFAULT,
                             .line = sm_defaults_find("base_plane", "radius_mm", 0),
                             .side = "",
                             .draws = SM_SOURCE_BASE_PLANE,
                             .is_constant = true};
    sm_assumptions_add(&r->assumptions, &ask);
}

static void read_base_plane(sm_reader *r, const cJSON *scan, const sm_dist *blooming, sm_base_plane *out)
{
    const cJSON *profile = sm_reader_member(sm_read_profile_section(r, "scan"), "base_plane");
    const cJSON *whole = sm_reader_member(profile, "value");
    sm_section s = {.keys = &sm_keys_base_plane,
                    .path = "/scan/base_plane",
                    .list = true,
                    .stated = sm_read_section_object(r, scan, "base_plane"),
                    .profile = whole ? whole : profile};
    if (whole)
        s.profile_source = sm_read_section_source(r, profile);
    sm_entry entry[SM_KEYS_MOST];
    if (s.stated)
        sm_reader_check_keys(r, s.stated, s.keys);
    s.skip = form_to_skip(r, &s);
    out->tilt_form = s.skip == SM_KEY_POINTS_FORM;
    if (out->tilt_form)
        out->placements = 1;
    sm_read_section(r, &s, out, entry);
    r->placements_by_default = sm_read_section_entry(&s, entry, "placements")->layer == SM_LAYER_DEFAULT;
    if (!out->tilt_form && !sm_read_section_entry(&s, entry, "radius_mm")->node)
        default_radius(r, blooming, out);
}

static void read_scan(sm_reader *r, sm_case *c)
{
    sm_section s = section_of(r, &sm_keys_scan, "/scan");
    if (s.stated)
        sm_reader_check_keys(r, s.stated, s.keys);
    sm_read_section(r, &s, &c->scan, NULL);
    read_base_plane(r, s.stated, &c->scan.blooming_mm, &c->scan.base_plane);
}

/* 3. Valve and implant */

static void read_planned(sm_reader *r, sm_case *c, sm_planned *p)
{
    size_t before = r->faults;
    p->valve = section_of(r, &sm_keys_valve, "/surgical_valve");
    p->implant = section_of(r, &sm_keys_implant, "/implant");
    if (p->valve.stated)
        sm_reader_check_keys(r, p->valve.stated, p->valve.keys);
    sm_read_section(r, &p->valve, &c->valve, p->valve_entry);
    if (p->implant.stated)
        sm_reader_check_keys(r, p->implant.stated, p->implant.keys);
    sm_read_section(r, &p->implant, &c->implant, p->implant_entry);
    sm_valve_in_valve pair = {&p->valve, &p->implant, &c->valve, &c->implant, p->valve_entry, p->implant_entry};
    sm_check_across_pair(r, &pair);
    p->sound = r->faults == before && p->valve.stated && p->implant.stated;
}

/* 4. Coronaries */

/* Whether an override put in node or something below it. Recursion is bounded by SM_JSON_DEPTH_LIMIT. */
static bool holds_added(const sm_reader *r, const cJSON *node)
{
    bool added = sm_reader_is_added(r, node);
    for (const cJSON *child = node->child; child && !added; child = child->next)
        added = holds_added(r, child);
    return added;
}

/* A leaflet's length in place of its height: its top is read at that above the ring. A height that was put in by a
 * sweep takes its place. */
static void top_from_length(sm_reader *r, const cJSON *node, const char *path, double ring_mm)
{
    const cJSON *length = sm_reader_member(node, "leaflet_length_mm"),
                *height = sm_reader_member(node, "leaflet_height");
    sm_text at = {0};
    if (length && height && !holds_added(r, height))
        sm_reader_fault_key(r, length, "found leaflet_length_mm together with leaflet_height, expected one of the two");
    if (!cJSON_IsNumber(length) || height)
        return;
    sm_text_addf(&at, "%s/leaflet_height", path);
    cJSON *top = cJSON_CreateNumber(ring_mm + length->valuedouble);
    r->no_memory |= !top || at.failed;
    if (top && !at.failed)
        sm_json_doc_put(&r->case_doc, at.s, top, &r->no_memory);
    else
        cJSON_Delete(top);
    sm_reader_warn(r, length, "leaflet_height is not stated: %.4g mm is taken, the ring at %.4g mm and this length",
                   ring_mm + length->valuedouble, ring_mm);
    sm_text_destroy(&at);
}

/* A sinus from which no coronary leaves: both keys of an ostium stay away, so that a forgotten one is still a fault. */
static void refuse_ostium(sm_reader *r, const cJSON *node)
{
    for (size_t i = 0; i < sm_keys_coronary.n; i++) {
        const sm_key *key = &sm_keys_coronary.key[i];
        const cJSON *stated = key->flags & SM_KEY_OF_OSTIUM ? sm_reader_member(node, key->name) : NULL;
        if (stated)
            sm_reader_fault_key(
                r, stated,
                "found %s beside \"ostium\": false, expected neither ostium_height nor ostium_gap where "
                "no coronary leaves the sinus",
                key->name);
    }
}

static void read_coronary(sm_reader *r, const cJSON *node, double ring_mm, sm_coronary *c)
{
    char found[SM_FOUND_SIZE];
    sm_text path = {0};
    sm_entry entry[SM_KEYS_MOST];
    memcpy(c->name, node->string, strlen(node->string) + 1);
    if (!cJSON_IsObject(node)) {
        sm_reader_fault(r, node, "found %s, expected an object with the readings of this coronary",
                        sm_reader_found(r, node, found));
        return;
    }
    sm_text_addf(&path, "/coronaries/%s", c->name);
    sm_section s = {.keys = &sm_keys_coronary,
                    .stated = node,
                    .path = sm_text_string(&path),
                    .side = c->name,
                    .list = true,
                    .read_quantity = sm_read_quantity_key};
    c->has_ostium = !cJSON_IsFalse(sm_reader_member(node, "ostium"));
    if (!c->has_ostium) {
        s.skip = SM_KEY_OF_OSTIUM;
        refuse_ostium(r, node);
    }
    sm_reader_check_keys(r, node, s.keys);
    top_from_length(r, node, s.path, ring_mm);
    r->facts |= strcmp(c->name, "left") == 0 ? SM_FACT_LEFT : strcmp(c->name, "right") == 0 ? SM_FACT_RIGHT : 0;
    sm_read_section(r, &s, c, entry);
    r->facts &= ~(unsigned)(SM_FACT_LEFT | SM_FACT_RIGHT);
    if (sm_read_section_entry(&s, entry, "ostium_height")->ok && sm_read_section_entry(&s, entry, "stj_height")->ok)
        sm_check_across_heights(r, node, c);
    r->no_memory |= path.failed;
    sm_text_destroy(&path);
}

static void read_coronaries(sm_reader *r, sm_case *c)
{
    char found[SM_FOUND_SIZE];
    const cJSON *all = sm_read_section_object(r, r->case_doc.root, "coronaries");
    int n = all ? cJSON_GetArraySize(all) : 0;
    if (all && (n < 1 || n > SM_MAX_CORONARIES)) {
        sm_reader_fault(r, all, "found %d coronaries, expected 1 to %d", n, SM_MAX_CORONARIES);
        return;
    }
    c->coronary = n ? calloc((size_t)n, sizeof *c->coronary) : NULL;
    r->no_memory |= n && !c->coronary;
    if (!c->coronary)
        return;
    sm_reader_check_duplicates(r, all);
    bool any_ostium = false;
    for (const cJSON *node = all->child; node; node = node->next) {
        any_ostium |= !cJSON_IsFalse(sm_reader_member(node, "ostium"));
        if (sm_value_is_name(node->string, "_-", SM_NAME_SIZE - 1)) {
            sm_value_warn_identifier(r, node, node->string);
            read_coronary(r, node, c->valve.ring_height_mm, &c->coronary[c->n_coronaries++]);
            continue;
        }
        sm_reader_fault_key(r, node, "found the name \"%s\", expected 1 to 32 letters, digits, _ or -",
                            sm_reader_key(node, found));
    }
    if (!any_ostium)
        sm_reader_fault(r, all,
                        "found no side from which a coronary leaves, expected at least one: every side states "
                        "\"ostium\": false");
}

/* How often the plane was placed, unless stated: SDs that contain it come from readers who each placed their own. */
static void placements_by_readers(sm_reader *r, sm_case *c)
{
    size_t fewest = SM_MAX_PLACEMENTS + 1;
    for (size_t k = 0; k < c->n_coronaries; k++)
        for (int q = 0; q < SM_QUANTITIES; q++) {
            const sm_quantity *read = &c->coronary[k].quantity[q];
            if (read->sd_includes_plane && read->readings.n < fewest)
                fewest = read->readings.n;
        }
    if (!r->placements_by_default || fewest < 2 || fewest > SM_MAX_PLACEMENTS)
        return;
    c->scan.base_plane.placements = fewest;
    sm_assumptions_drop(&r->assumptions, "/scan/base_plane/placements");
    sm_assumptions_add(
        &r->assumptions,
        &(sm_assumption_ask){.path = "/scan/base_plane",
                             .key = "placements",
                             .number = (double)fewest,
                             .unit = "",
                             .about = "",
                             .words = "base plane: times it was placed anew and averaged",
                             .origin = SM_FROM_DEFAULT,
                             .line = sm_defaults_find("base_plane", "placements", SM_FACT_READERS_PLACED),
                             .side = "",
                             .draws = SM_SOURCE_BASE_PLANE,
                             .is_constant = true});
}

/* 5. Second looks */

/* Counts the look of one quantity; the first that is too many is where the fault is laid. */
static void count_look(const cJSON *section, const char *key, const sm_quantity *q, size_t *n, const cJSON **beyond)
{
    if (q->cross_check.present && ++*n == SM_MAX_LOOKS + 1)
        *beyond = sm_reader_member(sm_reader_member(section, key), "cross_check");
}

static void check_looks(sm_reader *r, const sm_case *c)
{
    const cJSON *valve = sm_reader_member(r->case_doc.root, "surgical_valve"), *beyond = NULL;
    const cJSON *sides = sm_reader_member(r->case_doc.root, "coronaries");
    size_t n = 0;
    count_look(valve, "inner_diameter_mm", &c->valve.inner_diameter, &n, &beyond);
    count_look(valve, "leaflet_thickness_mm", &c->valve.leaflet_thickness, &n, &beyond);
    for (size_t k = 0; k < c->n_coronaries; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            count_look(sm_reader_member(sides, c->coronary[k].name), sm_quantity_name((sm_quantity_id)q),
                       &c->coronary[k].quantity[q], &n, &beyond);
    if (beyond)
        sm_reader_fault_key(r, beyond, "found %zu second looks (cross_check) in this case, expected at most %d", n,
                            SM_MAX_LOOKS);
}

/* 6. The case */

/* 1e999 is a number by the grammar and infinite as a double; wherever it stands it is refused once, here. Recursion is
 * bounded by SM_JSON_DEPTH_LIMIT. */
static void refuse_infinite(sm_reader *r, const cJSON *node)
{
    char found[SM_FOUND_SIZE];
    if (cJSON_IsNumber(node) && !isfinite(node->valuedouble))
        sm_reader_fault(r, node, "found %s, which is too large for a number, expected a finite number",
                        sm_reader_found(r, node, found));
    for (const cJSON *child = node->child; child; child = child->next)
        refuse_infinite(r, child);
}

/* Weights are densities: a single value has none. */
static void read_population(sm_reader *r, sm_population *out)
{
    char found[SM_FOUND_SIZE];
    sm_entry entry[SM_KEYS_MOST];
    sm_section s = section_of(r, &sm_keys_population, "/population");
    if (s.stated)
        sm_reader_check_keys(r, s.stated, s.keys);
    sm_read_section(r, &s, out, entry);
    const sm_entry *gap = sm_read_section_entry(&s, entry, "ostium_gap_mm");
    if (gap->ok && sm_dist_is_constant(&out->ostium_gap_mm))
        sm_reader_fault(r, gap->node, "found %s, expected a distribution with a spread",
                        sm_reader_found(r, gap->node, found));
}

static void read_open_sections(sm_reader *r, sm_case *c)
{
    sm_section limits = section_of(r, &sm_keys_limits, "/limits");
    if (limits.stated)
        sm_reader_check_keys(r, limits.stated, limits.keys);
    sm_read_section(r, &limits, &c->limits, NULL);
    read_population(r, &c->population);
    sm_section action = {
        .keys = &sm_keys_action, .stated = r->case_doc.root, .profile = r->profile_doc.root, .path = "", .list = true};
    sm_read_section(r, &action, c, NULL);
}

void sm_read_case(sm_reader *r, sm_case *c)
{
    const cJSON *root = r->case_doc.root;
    char found[SM_FOUND_SIZE];
    sm_entry valve_entry[SM_KEYS_MOST], implant_entry[SM_KEYS_MOST];
    sm_planned planned = {.valve_entry = valve_entry, .implant_entry = implant_entry};
    const size_t before = r->faults;
    if (r->profile_doc.root) {
        refuse_infinite(r, r->profile_doc.root);
        sm_read_profile(r);
    }
    refuse_infinite(r, root);
    if (!cJSON_IsObject(root)) {
        sm_reader_fault(r, root, "found %s, expected an object { }", sm_reader_found(r, root, found));
        return;
    }
    sm_reader_check_keys(r, root, &sm_keys_case);
    check_required(r, root);
    read_head(r, c);
    read_scan(r, c);
    read_planned(r, c, &planned);
    read_coronaries(r, c);
    placements_by_readers(r, c);
    check_looks(r, c);
    read_open_sections(r, c);
    if (!r->assumptions.none) /* of a version of the case as planned, which is run and never told */
        sm_read_alternatives(r, &planned, c);
    sm_read_looks(r, r->faults == before && planned.sound, c);
    sm_read_axes(r, c);
}
