/* read_looks.c - the looks that a case, or a profile for many, lists as what could be done.
 *
 * Contents: 1. names  2. what is looked at  3. again  4. another scan  5. a projection  6. a direct measurement
 *           7. several together  8. one look  9. all looks
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/read_looks.h"

#include <stdlib.h>
#include <string.h>

#include "casefile/check_across.h"
#include "casefile/read_profile.h"
#include "casefile/read_section.h"
#include "casefile/value.h"
#include "measurement/planned_look.h"

#define NAME_LIMIT 60 /* it stands in tables of 80 columns */

/* One list being read. A profile's is for many cases: what it says of a side or a reading that this case does not have
 * is passed over with a warning. */
typedef struct {
    sm_reader *r;
    sm_case *c;
    bool of_profile, sound;
    bool passed_over; /* the look at hand */
} list;

/* 1. Names */

static bool is_taken(const sm_case *c, const char *name)
{
    for (size_t i = 0; i < c->n_planned; i++)
        if (c->planned[i].name && strcmp(c->planned[i].name, name) == 0)
            return true;
    return false;
}

static void read_name(list *l, const cJSON *node, sm_planned_look *out)
{
    const cJSON *name = sm_reader_member(node, "name");
    const char *text;
    if (!name) {
        sm_reader_fault(l->r, node, "the key \"name\" is missing, expected in a look");
        return;
    }
    if (!sm_value_text(l->r, name, NULL, NAME_LIMIT, &text))
        return;
    if (is_taken(l->c, text))
        sm_reader_fault(l->r, name, "found the name of an earlier look, expected each name once");
    out->name = sm_string_copy(text);
    l->r->no_memory |= !out->name;
}

/* 2. What is looked at */

/* Which names a look may be at: bits of `what`, sides being those of the case. */
typedef struct {
    bool what[SM_TARGETS];
    const char *expected; /* in words */
    bool must_be_read;
} allowed;

static const allowed for_again = {{true, true, true, true, true, true, true}, "a reading of this case", true};
static const allowed for_projection = {{[SM_OSTIUM_GAP] = true, [SM_STJ_GAP] = true}, "a gap of this case", false};
static const allowed for_direct = {
    {[SM_LEAFLET_HEIGHT] = true, [SM_TARGET_INNER_DIAMETER] = true, [SM_TARGET_THICKNESS] = true},
    "a leaflet height, inner_diameter_mm or leaflet_thickness_mm",
    false};

static bool is_allowed(const sm_case *c, const allowed *a, sm_look_target t)
{
    return a->what[t.what] && (a->must_be_read ? sm_target_is_read(c, t) : sm_target_varies(c, t));
}

/* Target number i of the case, sides first. */
static sm_look_target target_at(const sm_case *c, size_t i)
{
    const size_t of_sides = c->n_coronaries * SM_QUANTITIES;
    if (i < of_sides)
        return (sm_look_target){(int)(i / SM_QUANTITIES), (int)(i % SM_QUANTITIES)};
    return (sm_look_target){SM_OF_VALVE, SM_TARGET_INNER_DIAMETER + (int)(i - of_sides)};
}

static size_t targets(const sm_case *c)
{
    return c->n_coronaries * SM_QUANTITIES + SM_TARGETS - SM_TARGET_INNER_DIAMETER;
}

/* The target of that name; false if there is none. */
static bool target_named(sm_reader *r, const sm_case *c, const char *name, sm_look_target *out)
{
    for (size_t i = 0; i < targets(c); i++) {
        sm_text own = {0};
        sm_target_name(c, target_at(c, i), &own);
        const bool same = strcmp(sm_text_string(&own), name) == 0;
        r->no_memory |= own.failed;
        sm_text_destroy(&own);
        if (same) {
            *out = target_at(c, i);
            return true;
        }
    }
    return false;
}

/* The nearest of the names that are allowed, and the first of them, as words of a message. */
static void suggest(list *l, const allowed *a, const char *name, sm_text *out)
{
    const size_t n = targets(l->c);
    sm_text *own = calloc(n, sizeof *own);
    const char **known = calloc(n, sizeof *known);
    size_t m = 0;
    for (size_t i = 0; own && known && i < n; i++)
        if (is_allowed(l->c, a, target_at(l->c, i))) {
            sm_target_name(l->c, target_at(l->c, i), &own[m]);
            known[m] = sm_text_string(&own[m]);
            m++;
        }
    const char *near = own && known && name ? sm_keys_nearest(name, known, m) : NULL;
    if (near)
        sm_text_addf(out, ": did you mean \"%s\"?", near);
    else if (m > 0)
        sm_text_addf(out, ", as \"%s\"", known[0]);
    l->r->no_memory |= !own || !known || out->failed;
    for (size_t i = 0; own && i < m; i++) {
        l->r->no_memory |= own[i].failed;
        sm_text_destroy(&own[i]);
    }
    free(own);
    free(known);
}

static void refuse_target(list *l, const cJSON *node, const allowed *a, const char *name, const char *why)
{
    char found[SM_FOUND_SIZE];
    sm_text near = {0};
    if (l->of_profile && name) {
        sm_reader_warn(l->r, node, "this look is left out here: it is at %s, %s", sm_reader_found(l->r, node, found),
                       why);
        l->passed_over = true;
        return;
    }
    suggest(l, a, name, &near);
    sm_reader_fault(l->r, node, "found %s%s%s, expected %s%s", sm_reader_found(l->r, node, found), name ? ", " : "",
                    name ? why : "", a->expected, sm_text_string(&near));
    sm_text_destroy(&near);
}

/* Adds the target that a node names. */
static void read_target(list *l, const cJSON *node, const allowed *a, sm_planned_look *out)
{
    const char *name = cJSON_IsString(node) ? node->valuestring : NULL;
    sm_look_target t;
    if (l->c->n_coronaries == 0) /* what it could name is not known */
        return;
    if (!name || !target_named(l->r, l->c, name, &t)) {
        refuse_target(l, node, a, name, "which this case does not have");
        return;
    }
    if (l->sound ? !is_allowed(l->c, a, t) : !a->what[t.what]) {
        refuse_target(l, node, a, name,
                      !a->what[t.what]  ? "which no such look is at"
                      : a->must_be_read ? "which nobody read in this case"
                                        : "which is exact in this case");
        return;
    }
    for (size_t i = 0; i < out->n_targets; i++)
        if (out->target[i].side == t.side && out->target[i].what == t.what) {
            sm_reader_fault(l->r, node, "found \"%s\" twice in this look, expected it once", name);
            return;
        }
    out->target[out->n_targets++] = t;
}

static bool room_for(list *l, sm_planned_look *out)
{
    out->target = calloc(targets(l->c), sizeof *out->target);
    l->r->no_memory |= !out->target;
    return out->target != NULL;
}

static void everything_read(list *l, const cJSON *node, sm_planned_look *out)
{
    if (!l->sound)
        return;
    out->all = true;
    out->target = sm_targets_read(l->c, &out->n_targets, &l->r->no_memory);
    if (out->n_targets == 0)
        sm_reader_fault(l->r, node,
                        "found a look at everything that was read, expected one where something was: this "
                        "case has distributions and exact numbers alone");
}

/* 3. Again */

static void read_again(list *l, const cJSON *node, sm_planned_look *out)
{
    char found[SM_FOUND_SIZE];
    out->kind = SM_PLANNED_AGAIN;
    if (cJSON_IsString(node) && strcmp(node->valuestring, "all") == 0) {
        everything_read(l, node, out);
        return;
    }
    if (!cJSON_IsArray(node) || !node->child) {
        sm_reader_fault(l->r, node, "found %s%s, expected \"all\" or a list of readings, as [\"left.ostium_gap\"]",
                        cJSON_IsArray(node) ? "nothing in " : "", sm_reader_found(l->r, node, found));
        return;
    }
    if (!room_for(l, out))
        return;
    for (const cJSON *one = node->child; one; one = one->next)
        read_target(l, one, &for_again, out);
}

/* 4. Another scan */

/* The fact that a word of a key stands for. */
static unsigned fact_of(const sm_keys *keys, const char *name, unsigned value)
{
    for (const sm_key_word *w = sm_keys_find(keys, name)->choice; w->name; w++)
        if (w->value == value)
            return w->fact;
    return 0;
}

/* A scan by another detector or kernel blooms as such scans do, unless it is stated: what the case says of blooming is
 * of its own scan. */
static void blooming_of(list *l, const cJSON *node, sm_scan *scan)
{
    const bool other = sm_reader_member(node, "detector") || sm_reader_member(node, "kernel");
    if (!other || sm_reader_member(node, "blooming_mm"))
        return;
    const unsigned facts =
        fact_of(&sm_keys_scan, "detector", scan->detector) | fact_of(&sm_keys_scan, "kernel", scan->kernel);
    const sm_default *line = sm_defaults_find("scan", "blooming_mm", facts);
    const cJSON *value = sm_reader_default(l->r, line);
    if (value)
        sm_value_dist(l->r, value, sm_keys_find(&sm_keys_scan, "blooming_mm"), &scan->blooming_mm);
}

/* Every key of an object that the table knows and stores, over what out holds. */
static void read_over(sm_reader *r, const cJSON *node, const sm_keys *keys, void *out)
{
    sm_reader_check_keys(r, node, keys);
    for (const cJSON *one = node->child; one; one = one->next) {
        const sm_key *key = sm_keys_find(keys, one->string);
        if (key && key->kind != SM_KEY_OBJECT)
            sm_value_read(r, one, key, out);
    }
}

/* Each new reader places one plane, unless the look says more. */
static void read_plane(list *l, const cJSON *scan, sm_base_plane *out)
{
    const cJSON *node = sm_read_section_object(l->r, scan, "base_plane");
    out->placements = 1;
    if (!node)
        return;
    const unsigned skip = sm_check_across_plane_form(l->r, node);
    read_over(l->r, node, &sm_keys_base_plane, out);
    if (skip)
        out->tilt_form = skip == SM_KEY_POINTS_FORM;
}

static void read_rescan(list *l, const cJSON *node, sm_planned_look *out)
{
    char found[SM_FOUND_SIZE];
    const unsigned facts = l->r->facts;
    out->kind = SM_PLANNED_RESCAN;
    out->own_plane = true;
    if (!cJSON_IsObject(node)) {
        sm_reader_fault(l->r, node, "found %s, expected an object { } with what differs from the scan of the case",
                        sm_reader_found(l->r, node, found));
        return;
    }
    read_over(l->r, node, &sm_keys_scan, &out->scan);
    blooming_of(l, node, &out->scan);
    read_plane(l, node, &out->scan.base_plane);
    l->r->facts = facts;
    everything_read(l, node, out);
}

/* 5. A projection */

/* What a site says of its projections of this gap by fluoroscopy. */
static const cJSON *of_site(const sm_reader *r, const char *gap)
{
    const cJSON *entry = sm_reader_member(sm_read_profile_section(r, "readers"), gap);
    const cJSON *check = sm_reader_member(entry, "cross_check"), *by = sm_reader_member(check, "modality");
    return cJSON_IsString(by) && strcmp(by->valuestring, "fluoroscopy") == 0 ? check : NULL;
}

/* An error of a projection that the look does not state: of the site, else the default of a second look. */
static void picture_error(sm_reader *r, const char *gap, const char *name, void *out)
{
    const cJSON *site = sm_reader_member(of_site(r, gap), name);
    const sm_default *line = sm_defaults_find("cross_check", name, SM_FACT_FLUOROSCOPY);
    const cJSON *node = site ? site : sm_reader_default(r, line);
    const bool muted = r->muted;
    r->muted = true; /* a site's value was checked in the profile */
    if (node)
        sm_value_read(r, node, sm_keys_find(&sm_keys_look, name), out);
    r->muted = muted;
}

static const char *const picture_keys[] = {"reader_sd_mm", "magnification_sd", "view_error_sd_deg"};

static void picture_errors(sm_reader *r, const char *gap, sm_planned_look *out)
{
    for (size_t i = 0; i < 3; i++)
        picture_error(r, gap, picture_keys[i], out);
}

static void read_projection(list *l, const cJSON *look, const cJSON *node, sm_planned_look *out)
{
    out->kind = SM_PLANNED_PROJECT;
    if (!room_for(l, out))
        return;
    read_target(l, node, &for_projection, out);
    picture_errors(l->r, sm_quantity_name(out->n_targets > 0 ? (sm_quantity_id)out->target[0].what : SM_OSTIUM_GAP),
                   out);
    for (size_t i = 0; i < 3; i++)
        if (sm_reader_member(look, picture_keys[i]))
            sm_value_read(l->r, sm_reader_member(look, picture_keys[i]), sm_keys_find(&sm_keys_look, picture_keys[i]),
                          out);
}

/* 6. A direct measurement */

static void read_direct(list *l, const cJSON *look, const cJSON *node, sm_planned_look *out)
{
    const cJSON *sd = sm_reader_member(look, "sd_mm");
    out->kind = SM_PLANNED_DIRECT;
    if (!room_for(l, out))
        return;
    read_target(l, node, &for_direct, out);
    if (sd)
        sm_value_read(l->r, sd, sm_keys_find(&sm_keys_look, "sd_mm"), out);
    else
        sm_reader_fault(l->r, look,
                        "the key \"sd_mm\" is missing, expected beside \"direct\": by how much does it err?");
}

/* 7. Several together */

/* The place of an earlier look. */
static bool look_named(const sm_case *c, const char *name, size_t *place)
{
    for (*place = 0; *place < c->n_planned; (*place)++)
        if (c->planned[*place].name && strcmp(c->planned[*place].name, name) == 0)
            return true;
    return false;
}

static void refuse_part(list *l, const cJSON *node)
{
    const char *known[SM_MAX_PLANNED], *name = cJSON_IsString(node) ? node->valuestring : NULL;
    char found[SM_FOUND_SIZE];
    size_t n = 0;
    for (size_t i = 0; i < l->c->n_planned; i++)
        if (l->c->planned[i].name)
            known[n++] = l->c->planned[i].name;
    const char *near = name ? sm_keys_nearest(name, known, n) : NULL;
    if (l->of_profile && name) {
        l->passed_over = true;
        sm_reader_warn(l->r, node, "this bundle is left out here: it holds %s, which is not there",
                       sm_reader_found(l->r, node, found));
        return;
    }
    sm_reader_fault(l->r, node, "found %s, expected the name of a look that stands before this one%s%s%s",
                    sm_reader_found(l->r, node, found), near ? ": did you mean \"" : "", near ? near : "",
                    near ? "\"?" : "");
}

static void read_part(list *l, const cJSON *node, sm_planned_look *out)
{
    size_t place;
    if (!cJSON_IsString(node) || !look_named(l->c, node->valuestring, &place)) {
        refuse_part(l, node);
        return;
    }
    if (l->c->planned[place].kind == SM_PLANNED_BUNDLE) {
        sm_reader_fault(l->r, node, "found a bundle in a bundle, expected single looks: name what it holds");
        return;
    }
    for (size_t i = 0; i < out->n_parts; i++)
        if (out->part[i] == place) {
            sm_reader_fault(l->r, node, "found the same look twice in this bundle, expected it once");
            return;
        }
    out->part[out->n_parts++] = place;
}

/* Unless it says otherwise, a bundle is as much harm and takes as long as its parts together. */
static void add_up(const cJSON *look, const sm_case *c, sm_planned_look *out)
{
    for (size_t i = 0; i < out->n_parts; i++) {
        const sm_planned_look *part = &c->planned[out->part[i]];
        out->burden += sm_reader_member(look, "burden") ? 0 : part->burden;
        out->minutes += sm_reader_member(look, "minutes") ? 0 : part->minutes;
    }
}

static void read_bundle(list *l, const cJSON *look, const cJSON *node, sm_planned_look *out)
{
    char found[SM_FOUND_SIZE];
    const int n = cJSON_IsArray(node) ? cJSON_GetArraySize(node) : 0;
    out->kind = SM_PLANNED_BUNDLE;
    if (n < 2 || n > SM_MAX_PLANNED) {
        sm_reader_fault(l->r, node, "found %s%s, expected a list of two to %d names of looks that stand before",
                        sm_reader_found(l->r, node, found),
                        n > 2    ? " of more"
                        : n == 1 ? " of one"
                                 : "",
                        SM_MAX_PLANNED);
        return;
    }
    out->part = calloc((size_t)n, sizeof *out->part);
    l->r->no_memory |= !out->part;
    for (const cJSON *one = node->child; out->part && one; one = one->next)
        read_part(l, one, out);
    add_up(look, l->c, out);
}

/* 8. One look */

static const char *const what_it_does[] = {"again", "rescan", "project", "direct", "bundle"};

/* The one thing that a look does; NULL after a fault if it does none, or several. */
static const cJSON *deed(list *l, const cJSON *look)
{
    const cJSON *only = NULL;
    for (size_t i = 0; i < sizeof what_it_does / sizeof *what_it_does; i++) {
        const cJSON *node = sm_reader_member(look, what_it_does[i]);
        if (node && only) {
            sm_reader_fault_key(l->r, node,
                                "found \"%s\" beside \"%s\", expected one of them: several looks together are a bundle",
                                node->string, only->string);
            return NULL;
        }
        only = node ? node : only;
    }
    if (!only)
        sm_reader_fault(l->r, look,
                        "found nothing that this look does, expected one of again, rescan, project, direct, bundle");
    return only;
}

/* Keys that say nothing beside what the look does. */
static void refuse_idle(list *l, const cJSON *look, const cJSON *does)
{
    static const struct {
        const char *key, *beside;
    } bound[] = {{"plane", "again"},
                 {"view_error_sd_deg", "project"},
                 {"magnification_sd", "project"},
                 {"reader_sd_mm", "project"},
                 {"sd_mm", "direct"}};
    for (size_t i = 0; i < sizeof bound / sizeof *bound; i++) {
        const cJSON *node = sm_reader_member(look, bound[i].key);
        if (node && strcmp(does->string, bound[i].beside) != 0)
            sm_reader_fault_key(l->r, node, "found %s beside \"%s\", expected it only beside \"%s\"", bound[i].key,
                                does->string, bound[i].beside);
    }
    const cJSON *readers = sm_reader_member(look, "readers");
    if (readers && strcmp(does->string, "bundle") == 0)
        sm_reader_fault_key(l->r, readers,
                            "found readers beside \"bundle\", expected them with the looks that it holds");
}

static void read_common(list *l, const cJSON *look, sm_planned_look *out)
{
    static const char *const names[] = {"readers", "burden", "minutes", "plane"};
    out->readers = 1;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (sm_reader_member(look, names[i]))
            sm_value_read(l->r, sm_reader_member(look, names[i]), sm_keys_find(&sm_keys_look, names[i]), out);
}

static void read_deed(list *l, const cJSON *look, const cJSON *node, sm_planned_look *out)
{
    if (strcmp(node->string, "again") == 0)
        read_again(l, node, out);
    else if (strcmp(node->string, "rescan") == 0)
        read_rescan(l, node, out);
    else if (strcmp(node->string, "project") == 0)
        read_projection(l, look, node, out);
    else if (strcmp(node->string, "direct") == 0)
        read_direct(l, look, node, out);
    else
        read_bundle(l, look, node, out);
}

static void release(sm_planned_look *look)
{
    free(look->name);
    free(look->target);
    free(look->part);
    *look = (sm_planned_look){0};
}

static void read_look(list *l, const cJSON *node)
{
    char found[SM_FOUND_SIZE];
    sm_planned_look look = {.scan = l->c->scan};
    look.scan.base_plane.placements = 1;
    l->passed_over = false;
    if (!cJSON_IsObject(node)) {
        sm_reader_fault(l->r, node, "found %s, expected an object { }", sm_reader_found(l->r, node, found));
        return;
    }
    sm_reader_check_keys(l->r, node, &sm_keys_look);
    read_name(l, node, &look);
    read_common(l, node, &look);
    const cJSON *does = deed(l, node);
    if (does) {
        refuse_idle(l, node, does);
        read_deed(l, node, does, &look);
    }
    if (l->passed_over)
        release(&look);
    else
        l->c->planned[l->c->n_planned++] = look;
}

/* 9. All looks */

/* Where the looks are listed: in the case, else in the profile; NULL in neither. */
static const cJSON *listed(const sm_reader *r, bool *of_profile)
{
    const cJSON *own = sm_reader_member(r->case_doc.root, "looks");
    *of_profile = !own;
    return own ? own : sm_reader_member(sm_reader_member(r->profile_doc.root, "looks"), "value");
}

static void standard_pictures(sm_reader *r, sm_case *c)
{
    static const char *const gaps[SM_GAPS] = {"ostium_gap", "stj_gap"};
    for (int g = 0; g < SM_GAPS; g++) {
        sm_planned_look look = {0};
        picture_errors(r, gaps[g], &look);
        c->picture[g] = (sm_picture_errors){look.reader_sd_mm, look.magnification_sd, look.view_error_sd_deg};
    }
}

void sm_read_looks(sm_reader *r, bool sound, sm_case *c)
{
    char found[SM_FOUND_SIZE];
    list l = {.r = r, .c = c, .sound = sound};
    const cJSON *all = listed(r, &l.of_profile);
    const int n = cJSON_IsArray(all) ? cJSON_GetArraySize(all) : 0;
    standard_pictures(r, c);
    if (all && (!cJSON_IsArray(all) || n > SM_MAX_PLANNED)) {
        sm_reader_fault(r, all, "found %s%s, expected a list of at most %d looks", sm_reader_found(r, all, found),
                        cJSON_IsArray(all) ? " of more" : "", SM_MAX_PLANNED);
        return;
    }
    if (!all) {
        if (sound)
            r->no_memory |= !sm_planned_standard(c);
        return;
    }
    c->planned = calloc((size_t)n + 1, sizeof *c->planned);
    r->no_memory |= !c->planned;
    for (const cJSON *node = c->planned ? all->child : NULL; node; node = node->next)
        read_look(&l, node);
}
