/* check_across.c - rules that bind several keys at once (docs/cross-field-rules.md).
 *
 * Contents: 1. where a fault is laid  2. valve and implant  3. heights of one coronary
 *           4. the two forms of a base plane
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/check_across.h"

#include <math.h>

#include "measurement/reading.h"

/* 1. Where a fault is laid */

static const sm_entry *of_valve(const sm_valve_in_valve *p, const char *name)
{
    return sm_read_section_entry(p->valve_section, p->valve_entry, name);
}

static const sm_entry *of_implant(const sm_valve_in_valve *p, const char *name)
{
    return sm_read_section_entry(p->implant_section, p->implant_entry, name);
}

/* The entry among n to which a fault is laid: in an alternative the first that it patches, else the first that the case
 * states; NULL if the fault is not this one's to report. */
static const sm_entry *blamed(const sm_valve_in_valve *p, const sm_entry *const *entry, size_t n)
{
    bool alternative = p->valve_section->patch || p->implant_section->patch;
    sm_layer wanted = alternative ? SM_LAYER_PATCH : SM_LAYER_CASE;
    for (size_t i = 0; i < n; i++)
        if (entry[i]->layer == wanted)
            return entry[i];
    return NULL;
}

/* 2. Valve and implant */

static void check_posts(sm_reader *r, const sm_valve_in_valve *p)
{
    static const char *const names[] = {"post_azimuth_deg", "post_block_deg"};
    const sm_entry *mount = of_valve(p, "leaflet_mount");
    for (size_t i = 0; i < 2; i++) {
        const sm_entry *post = of_valve(p, names[i]);
        const sm_entry *both[] = {post, mount}, *at = blamed(p, both, 2);
        if (mount->ok && p->valve->leaflet_mount == SM_STENTLESS && post->layer >= SM_LAYER_CASE && at)
            sm_reader_fault_key(r, at->node, "found %s on a stentless valve, expected none: it has no posts", names[i]);
    }
}

static void check_stand_off(sm_reader *r, const sm_valve_in_valve *p)
{
    const sm_entry *mount = of_valve(p, "leaflet_mount"), *offset = of_valve(p, "mount_offset_mm");
    const sm_entry *both[] = {offset, mount}, *at = blamed(p, both, 2);
    const sm_dist *d = &p->valve->mount_offset_mm;
    bool none = sm_dist_is_constant(d) && sm_dist_mean(d) == 0.0;
    if (mount->ok && offset->ok && p->valve->leaflet_mount != SM_MOUNT_EXTERNAL && !none && at)
        sm_reader_fault_key(r, at->node,
                            "found mount_offset_mm other than 0 with leaflets that are not mounted outside, "
                            "expected 0, or leaflet_mount \"external\"");
}

/* The frame's top must clear the ring even if the valve sits deep: the 99 % quantile of the depth is taken, as for
 * every domain of docs/case-format.md. */
static void check_ring(sm_reader *r, const sm_valve_in_valve *p)
{
    const sm_entry *ring = of_valve(p, "ring_height_mm"), *depth = of_implant(p, "implant_depth_mm");
    const sm_entry *frame = of_implant(p, "frame_height_mm");
    const sm_entry *all[] = {ring, depth, frame}, *at = blamed(p, all, 3);
    if (!ring->ok || !depth->ok || !frame->ok || !at)
        return;
    const sm_dist *d = &p->implant->implant_depth_mm;
    double deep = sm_dist_is_constant(d) ? sm_dist_mean(d) : sm_dist_quantile(d, 0.99);
    double top = p->implant->frame_height_mm - deep;
    if (p->valve->ring_height_mm >= top)
        sm_reader_fault(r, at->node,
                        "found the ring at %.4g mm and the frame's top at %.4g mm above the base plane "
                        "(frame_height_mm less implant_depth_mm%s), expected the ring below the frame's top",
                        p->valve->ring_height_mm, top, sm_dist_is_constant(d) ? "" : " at its 99 % quantile");
}

static void check_skirt(sm_reader *r, const sm_valve_in_valve *p)
{
    const sm_entry *skirt = of_implant(p, "skirt_height_mm"), *frame = of_implant(p, "frame_height_mm");
    const sm_entry *both[] = {skirt, frame}, *at = blamed(p, both, 2);
    if (skirt->ok && frame->ok && p->implant->skirt_height_mm > p->implant->frame_height_mm && at)
        sm_reader_fault(r, at->node,
                        "found skirt_height_mm %.4g above frame_height_mm %.4g, expected from 0 to the "
                        "frame's height",
                        p->implant->skirt_height_mm, p->implant->frame_height_mm);
}

void sm_check_across_pair(sm_reader *r, const sm_valve_in_valve *p)
{
    check_posts(r, p);
    check_stand_off(r, p);
    check_ring(r, p);
    check_skirt(r, p);
}

/* 3. Heights of one coronary */

/* Variance of the estimate: (3.2), type A (3.3) without its t factor, or that of the distribution. mm^2 */
static double estimate_variance(const sm_quantity *q)
{
    if (!q->is_read)
        return pow(sm_dist_sd(&q->value), 2.0);
    if (!q->sd_from_readings)
        return sm_reading_variance(q);
    double mean = sm_quantity_estimate(q), sum = 0.0, n = 0.0;
    for (size_t i = 0; i < q->readings.n; i++)
        for (size_t j = 0; j < q->readings.row[i].n; j++, n += 1.0)
            sum += pow(q->readings.row[i].mm[j] - mean, 2.0);
    return sum / (n - 1.0) / n + (q->readings.n == 1 ? pow(q->between_reader_sd_mm, 2.0) : 0.0); /* (3.10) */
}

void sm_check_across_heights(sm_reader *r, const cJSON *node, const sm_coronary *c)
{
    const sm_quantity *ostium = &c->quantity[SM_OSTIUM_HEIGHT], *stj = &c->quantity[SM_STJ_HEIGHT];
    double sd = sqrt(estimate_variance(ostium) + estimate_variance(stj));
    double below = sm_quantity_estimate(ostium) - sm_quantity_estimate(stj);
    if (below > 3.0 * sd)
        sm_reader_fault(
            r, sm_reader_member(node, "stj_height"),
            "found the STJ at %.4g mm, %.4g mm below the ostium at %.4g mm; expected it above, or below by no "
            "more than 3 of their combined SD (%.4g mm)",
            sm_quantity_estimate(stj), below, sm_quantity_estimate(ostium), 3.0 * sd);
}

/* 4. The two forms of a base plane */

/* The first key in plane that carries the flag, NULL if there is none. */
static const cJSON *first_of_form(const cJSON *plane, unsigned flag)
{
    for (size_t i = 0; i < sm_keys_base_plane.n; i++) {
        const sm_key *key = &sm_keys_base_plane.key[i];
        const cJSON *node = key->flags & flag ? sm_reader_member(plane, key->name) : NULL;
        if (node)
            return node;
    }
    return NULL;
}

unsigned sm_check_across_plane_form(sm_reader *r, const cJSON *plane)
{
    static const char *const names[] = {"tilt_sd_deg", "level_sd_mm"};
    const cJSON *tilt = first_of_form(plane, SM_KEY_TILT_FORM), *points = first_of_form(plane, SM_KEY_POINTS_FORM);
    if (!tilt)
        return points ? SM_KEY_TILT_FORM : 0;
    if (points)
        sm_reader_fault_key(r, tilt,
                            "found %s together with %s, expected either tilt_sd_deg and level_sd_mm or the keys "
                            "of the base points, not both",
                            tilt->string, points->string);
    for (size_t i = 0; i < 2; i++)
        if (!sm_reader_member(plane, names[i]))
            sm_reader_fault(r, plane, "the key \"%s\" is missing, expected beside \"%s\"", names[i], names[1 - i]);
    return SM_KEY_POINTS_FORM;
}
