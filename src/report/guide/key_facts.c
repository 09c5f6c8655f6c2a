/* key_facts.c - what the tables of the reader say of a key of a case.
 *
 * Contents: 1. where keys stand  2. the facts of one key  3. its defaults
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/guide/key_facts.h"

#include <string.h>

#include "casefile/defaults.h"
#include "casefile/value.h"
#include "report/blocks/words.h"

/* 1. Where keys stand */

static const sm_key_place places[] = {
    {&sm_keys_case, "", "The case"},
    {&sm_keys_scan, "scan.", "The scan"},
    {&sm_keys_base_plane, "scan.base_plane.", "The base plane"},
    {&sm_keys_valve, "surgical_valve.", "The failed surgical valve"},
    {&sm_keys_implant, "implant.", "The new valve"},
    {&sm_keys_coronary, "coronaries.NAME.", "Each coronary; NAME is left, right or another name"},
    {&sm_keys_reading, "coronaries.NAME.QUANTITY.", "A reading written in full"},
    {&sm_keys_cross_check, "coronaries.NAME.GAP.cross_check.", "A second look at a gap, by another modality"},
    {&sm_keys_direct_look, "coronaries.NAME.leaflet_height.cross_check.",
     "A second look at the leaflet height; the same at surgical_valve.inner_diameter_mm and leaflet_thickness_mm"},
    {&sm_keys_limits, "limits.", "The limits"},
    {&sm_keys_population, "population.", "A population, for comparison"},
    {&sm_keys_alternative, "alternatives[].", "An alternative"},
};

enum { PLACES = sizeof places / sizeof *places };

size_t sm_key_places(const sm_key_place **out)
{
    *out = places;
    return PLACES;
}

/* 2. The facts of one key */

static void choices_write(sm_text *out, const sm_key *key)
{
    for (const sm_key_word *c = key->choice; c && c->name; c++)
        sm_text_addf(out, "%s%s", c == key->choice ? "" : c[1].name ? ", " : " or ", c->name);
}

/* What a value of each kind is called. ranged: its domain follows. */
static const struct {
    const char *words;
    bool ranged;
} kinds[] = {
    [SM_KEY_TEXT] = {"a text", false},
    [SM_KEY_CHOICE] = {"", false}, /* its choices */
    [SM_KEY_NUMBER] = {"a number ", true},
    [SM_KEY_COUNT] = {"a whole number ", true},
    [SM_KEY_TRUTH] = {"true or false", false},
    [SM_KEY_DIST] = {"a number or a distribution, ", true},
    [SM_KEY_QUANTITY] = {"a number (exact), a distribution or a reading, ", true},
    [SM_KEY_AZIMUTHS] = {"a list of three numbers ", true},
    [SM_KEY_POST_AZIMUTH] = {"\"unknown\", a number or a distribution, ", true},
    [SM_KEY_SHAPE] = {"a list of points [fraction of height, relative diameter], the diameter ", true},
    [SM_KEY_OBJECT] = {"an object with the keys below it", false},
    [SM_KEY_LIST] = {"a list of objects", false},
};

static void kind_write(sm_text *out, const sm_key *key)
{
    char domain[SM_DOMAIN_SIZE];
    const sm_quantity_kind *quantity = sm_keys_quantity(key->name);
    const bool bare = key->kind == SM_KEY_QUANTITY && quantity && quantity->bare_is_reading;
    sm_text_puts(out, bare ? "a reading (a bare number is one) or a distribution, " : kinds[key->kind].words);
    if (key->kind == SM_KEY_CHOICE)
        choices_write(out, key);
    if (kinds[key->kind].ranged)
        sm_text_puts(out, sm_value_domain(key, domain));
}

/* The action line stands in a table of its own, where its domain is. */
static const sm_key *with_domain(const sm_key *key)
{
    const sm_key *own = sm_keys_find(&sm_keys_action, key->name);
    return own ? own : key;
}

void sm_key_facts_write(sm_text *out, const sm_key_place *p, const sm_key *key)
{
    sm_text_addf(out, "%s%s: ", p->path, key->name);
    sm_text_puts(out, key->flags & SM_KEY_STOPGAP    ? "required, though something may stand in, with a warning; "
                      : key->flags & SM_KEY_REQUIRED ? "required; "
                                                     : "may be left out; ");
    kind_write(out, with_domain(key));
    if (key->flags & SM_KEY_NOT_BELOW_0 && key->kind != SM_KEY_NUMBER)
        sm_text_puts(out, "; no distribution that can go below 0");
    if (key->flags & SM_KEY_NEEDS_POSTS)
        sm_text_puts(out, "; not for a stentless valve");
    if (key->flags & SM_KEY_NEEDS_OUTSIDE)
        sm_text_puts(out, "; for leaflets mounted outside");
    sm_text_puts(out, ".");
}

/* 3. Its defaults */

static void default_write(sm_text *out, const sm_default *line, const char *about)
{
    sm_text_addf(out, "Default%s: ", about);
    if (line->value.kind != SM_DATUM_NONE)
        sm_words_value(out, &line->value, line->unit);
    else
        sm_text_puts(out, line->range.words ? "none" : line->source);
    sm_defaults_when_write(line->when, out);
    sm_text_addf(out, "; grade %s", sm_grade_name(line->grade));
    if (line->range.words)
        sm_text_addf(out, "; range %s", line->range.words);
    sm_text_addf(out, ". %s Source: %s.", line->reason, line->source);
}

void sm_key_facts_defaults(sm_text *out, const sm_style *style, const sm_key_place *p, const char *name, size_t indent)
{
    sm_text words = {0};
    const sm_key *key = sm_keys_find(p->keys, name);
    const bool must = key && (key->flags & (SM_KEY_REQUIRED | SM_KEY_STOPGAP)) == SM_KEY_REQUIRED;
    for (size_t i = 0; i < sm_defaults_count(); i++) {
        const sm_default *line = sm_defaults_line(i);
        const bool of_quantity = strcmp(line->group, name) == 0 && sm_keys_quantity(name);
        const bool of_key = !must && strcmp(line->group, p->keys->group) == 0 && strcmp(line->key, name) == 0;
        if (of_quantity || of_key) {
            default_write(&words, line,
                          !of_quantity                             ? ""
                          : strcmp(line->key, "reader_sd_mm") == 0 ? " of the reader SD"
                                                                   : " of bloom_edges");
            sm_layout_paragraph(out, style, SM_PAINT_NONE, indent, &words);
        }
    }
    sm_text_done(&words, out);
}

void sm_key_facts(sm_text *out, const sm_style *style, const char *name)
{
    sm_text words = {0};
    for (size_t i = 0; i < PLACES; i++) {
        const sm_key *key = sm_keys_find(places[i].keys, name);
        if (!key)
            continue;
        sm_text_puts(&words, "In a case: ");
        sm_key_facts_write(&words, &places[i], key);
        sm_layout_paragraph(out, style, SM_PAINT_NONE, 0, &words);
        sm_key_facts_defaults(out, style, &places[i], name, 2);
    }
    sm_text_done(&words, out);
}
