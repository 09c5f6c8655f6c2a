/* read_axes.c - how the valve lies in the patient, and how far the C-arm reaches.
 *
 * Contents: 1. numbers in lists  2. sides  3. from views  4. from points  5. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/read_axes.h"

#include <math.h>
#include <string.h>

#include <gsl/gsl_math.h>

#include "casefile/read_profile.h"
#include "casefile/read_section.h"
#include "casefile/value.h"
#include "geometry/carm.h"

/* 1. Numbers in lists */

/* n numbers, each in its own domain. what: "a view [primary, secondary] in degrees". */
static bool read_numbers(sm_reader *r, const cJSON *node, const sm_key *domain, size_t n, const char *what, double *out)
{
    char found[SM_FOUND_SIZE];
    const cJSON *one = cJSON_IsArray(node) ? node->child : NULL;
    bool good = true;
    if (!cJSON_IsArray(node) || cJSON_GetArraySize(node) != (int)n) {
        sm_reader_fault(r, node, "found %s, expected %s", sm_reader_found(r, node, found), what);
        return false;
    }
    for (size_t i = 0; i < n; i++, one = one->next)
        good = sm_value_number(r, one, &domain[i], &out[i]) && good;
    return good;
}

static bool read_view(sm_reader *r, const cJSON *node, sm_view *out)
{
    static const sm_key domain[2] = {{.low = -180, .high = 180, .unit = "degrees, LAO positive"},
                                     {.low = -90, .high = 90, .unit = "degrees, cranial positive"}};
    double x[2];
    if (!read_numbers(r, node, domain, 2, "a view: [primary, secondary] in degrees, LAO and cranial positive", x))
        return false;
    *out = (sm_view){x[0], x[1]};
    return true;
}

static bool read_point(sm_reader *r, const cJSON *node, double out[3])
{
    static const sm_key domain[3] = {{.low = -2000, .high = 2000, .unit = "mm"},
                                     {.low = -2000, .high = 2000, .unit = "mm"},
                                     {.low = -2000, .high = 2000, .unit = "mm"}};
    return read_numbers(r, node, domain, 3, "a point: [x, y, z] in mm, to the patient's left, back and head", out);
}

/* 2. Sides */

/* The side of that name, NULL after a fault. at: where the fault is laid; key: it is the key. */
static const sm_coronary *side_named(sm_reader *r, const sm_case *c, const cJSON *at, const char *name)
{
    const char *known[SM_MAX_CORONARIES];
    for (size_t k = 0; k < c->n_coronaries; k++) {
        if (strcmp(c->coronary[k].name, name) == 0)
            return &c->coronary[k];
        known[k] = c->coronary[k].name;
    }
    const char *near = sm_keys_nearest(name, known, c->n_coronaries);
    sm_reader_fault(r, at, "found the side \"%.32s\", expected one of this case%s%s%s", name,
                    near ? ": did you mean \"" : "", near ? near : "", near ? "\"?" : "");
    return NULL;
}

/* 3. From views */

/* Whether the side in profile stands at the right of the picture. The left ostium faces the patient's left and the
 * right one the front (common practice); other sides must say. */
static bool read_on_screen(sm_reader *r, const cJSON *profile, const sm_coronary *side, const double n[3], sm_view view,
                           bool *at_right)
{
    char found[SM_FOUND_SIZE];
    const cJSON *node = sm_reader_member(profile, "on_screen");
    const bool left = strcmp(side->name, "left") == 0, known = left || strcmp(side->name, "right") == 0;
    double e[3];
    if (node) {
        *at_right = cJSON_IsString(node) && strcmp(node->valuestring, "right") == 0;
        if (*at_right || (cJSON_IsString(node) && strcmp(node->valuestring, "left") == 0))
            return true;
        sm_reader_fault(r, node, "found %s, expected \"left\" or \"right\": where this side stands in the picture",
                        sm_reader_found(r, node, found));
        return false;
    }
    if (known && sm_carm_zero_of_profile(n, view, true, 0, e) && fabs(left ? e[0] : e[1]) > 0.2) {
        *at_right = left ? e[0] > 0 : e[1] < 0;
        return true;
    }
    sm_reader_fault(r, profile,
                    "the key \"on_screen\" is missing, expected \"left\" or \"right\": this view alone does not say "
                    "where the side stands in the picture");
    return false;
}

static void read_profile_view(sm_reader *r, const cJSON *axes, const sm_case *c, sm_patient_axes *out)
{
    const cJSON *profile = sm_read_section_object(r, axes, "profile");
    sm_view view;
    bool at_right;
    if (!profile) {
        if (!sm_reader_member(axes, "profile"))
            sm_reader_fault(r, axes,
                            "the key \"profile\" is missing, expected beside edge_on_deg: a view that has a "
                            "named side in profile");
        return;
    }
    sm_reader_check_keys(r, profile, &sm_keys_axes_profile);
    const cJSON *name = sm_reader_member(profile, "side"), *at = sm_reader_member(profile, "view_deg");
    if (!cJSON_IsString(name) || !at) {
        sm_reader_fault(r, profile, "expected {\"side\": name, \"view_deg\": [primary, secondary]}");
        return;
    }
    const sm_coronary *side = side_named(r, c, name, name->valuestring);
    if (!read_view(r, at, &view) || !side || !read_on_screen(r, profile, side, out->n, view, &at_right))
        return;
    out->present = sm_carm_zero_of_profile(out->n, view, at_right, side->azimuth_deg, out->e0);
    if (!out->present)
        sm_reader_fault(r, at, "found a view along the valve's axis, expected one that has a side in profile");
}

static void read_views(sm_reader *r, const cJSON *axes, const sm_case *c, sm_patient_axes *out)
{
    char found[SM_FOUND_SIZE];
    const cJSON *node = sm_reader_member(axes, "edge_on_deg");
    sm_view view[2];
    if (!cJSON_IsArray(node) || cJSON_GetArraySize(node) != 2) {
        sm_reader_fault(r, node, "found %s, expected two views in which the ring is edge-on: [[a, b], [a, b]]",
                        sm_reader_found(r, node, found));
        return;
    }
    const bool first = read_view(r, node->child, &view[0]), second = read_view(r, node->child->next, &view[1]);
    if (!first || !second)
        return;
    const double apart = sm_carm_apart_deg(view[0], view[1]);
    if (apart < SM_CARM_LEAST_APART_DEG)
        sm_reader_fault(r, node,
                        "found two lines of sight only %.1f degrees apart, expected at least %.0f: views nearly "
                        "parallel do not say how the valve lies",
                        apart, SM_CARM_LEAST_APART_DEG);
    else if (!sm_carm_axis_of_views(view, out->n))
        sm_reader_fault(r, node,
                        "found views that put the valve's axis level with the table, expected it to rise "
                        "toward the head: which way is up cannot be told");
    else
        read_profile_view(r, axes, c, out);
}

/* 4. From points */

static bool read_base(sm_reader *r, const cJSON *axes, double base[3][3])
{
    char found[SM_FOUND_SIZE];
    const cJSON *node = sm_reader_member(axes, "base_points_mm");
    bool good = true;
    if (!cJSON_IsArray(node) || cJSON_GetArraySize(node) != 3) {
        sm_reader_fault(r, node, "found %s, expected three base points: [[x, y, z], [x, y, z], [x, y, z]]",
                        sm_reader_found(r, node, found));
        return false;
    }
    const cJSON *one = node->child;
    for (int i = 0; i < 3; i++, one = one->next)
        good = read_point(r, one, base[i]) && good;
    return good;
}

/* Two ostia that put azimuth 0 further apart than this contradict the case's azimuths (judgement). */
#define MOST_APART_DEG 30.0

/* e0 by each ostium, added up: each says where azimuth 0 is. */
static void read_ostia(sm_reader *r, const cJSON *ostia, const sm_case *c, const double base[3][3],
                       sm_patient_axes *out)
{
    double centre[3], sum[3] = {0}, first[3] = {0};
    bool any = false, good = true;
    for (const cJSON *node = ostia->child; node; node = node->next) {
        double p[3], e0[3];
        const sm_coronary *side = side_named(r, c, node, node->string);
        if (!read_point(r, node, p) || !side) {
            good = false;
            continue;
        }
        if (!any && !sm_carm_axis_of_points(base, p, out->n, centre)) {
            sm_reader_fault(r, node,
                            "found base points on one line, or an ostium in their plane; expected three points "
                            "of a ring and an ostium above it");
            return;
        }
        if (!sm_carm_zero_of_point(out->n, centre, p, side->azimuth_deg, e0)) {
            sm_reader_fault(r, node, "found an ostium on the valve's axis, expected it beside");
            return;
        }
        for (int i = 0; i < 3; i++) {
            first[i] = any ? first[i] : e0[i];
            sum[i] += e0[i];
        }
        const double with_first = first[0] * e0[0] + first[1] * e0[1] + first[2] * e0[2];
        if (with_first < cos(MOST_APART_DEG * M_PI / 180)) {
            sm_reader_fault(r, node,
                            "found this ostium where the azimuths of the case do not put it, by more than %.0f degrees "
                            "against the first; expected points and azimuths that agree",
                            MOST_APART_DEG);
            good = false;
        }
        any = true;
    }
    const double length = sqrt(sum[0] * sum[0] + sum[1] * sum[1] + sum[2] * sum[2]);
    for (int i = 0; i < 3; i++)
        out->e0[i] = length > 0 ? sum[i] / length : 0;
    out->present = any && good;
}

static void read_points(sm_reader *r, const cJSON *axes, const sm_case *c, sm_patient_axes *out)
{
    double base[3][3];
    const cJSON *ostia = sm_read_section_object(r, axes, "ostia_mm");
    if (!read_base(r, axes, base))
        return;
    if (!ostia || !ostia->child) {
        sm_reader_fault(r, axes,
                        "the key \"ostia_mm\" is missing or empty, expected beside base_points_mm: "
                        "{\"left\": [x, y, z]}");
        return;
    }
    sm_reader_check_duplicates(r, ostia);
    read_ostia(r, ostia, c, (const double(*)[3])base, out);
}

/* 5. The whole */

static void read_gantry(sm_reader *r, bool list, sm_gantry *out)
{
    sm_section s = {.keys = &sm_keys_gantry,
                    .stated = sm_read_section_object(r, r->case_doc.root, "gantry"),
                    .profile = sm_read_profile_section(r, "gantry"),
                    .path = "/gantry",
                    .list = list};
    if (s.stated)
        sm_reader_check_keys(r, s.stated, s.keys);
    sm_read_section(r, &s, out, NULL);
}

/* The two forms do not mix. */
static bool one_form(sm_reader *r, const cJSON *axes)
{
    const bool views = sm_reader_member(axes, "edge_on_deg") || sm_reader_member(axes, "profile");
    const cJSON *point = sm_reader_member(axes, "base_points_mm");
    point = point ? point : sm_reader_member(axes, "ostia_mm");
    if (views && point)
        sm_reader_fault_key(r, point,
                            "found %s beside views, expected either edge_on_deg and profile, or base_points_mm "
                            "and ostia_mm",
                            point->string);
    if (!views && !point)
        sm_reader_fault(r, axes,
                        "found nothing of how the valve lies, expected edge_on_deg and profile, or "
                        "base_points_mm and ostia_mm");
    return views != (point != NULL);
}

void sm_read_axes(sm_reader *r, sm_case *c)
{
    const cJSON *axes = sm_read_section_object(r, r->case_doc.root, "patient_axes");
    read_gantry(r, axes != NULL, &c->gantry);
    if (!axes)
        return;
    sm_reader_check_keys(r, axes, &sm_keys_axes);
    if (!one_form(r, axes))
        return;
    if (sm_reader_member(axes, "edge_on_deg") || sm_reader_member(axes, "profile")) {
        if (sm_reader_member(axes, "edge_on_deg"))
            read_views(r, axes, c, &c->axes);
        else
            sm_reader_fault(r, axes, "the key \"edge_on_deg\" is missing, expected beside profile");
    } else if (sm_reader_member(axes, "base_points_mm"))
        read_points(r, axes, c, &c->axes);
    else
        sm_reader_fault(r, axes, "the key \"base_points_mm\" is missing, expected beside ostia_mm");
}
