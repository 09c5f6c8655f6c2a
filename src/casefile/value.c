/* value.c - one value of a case: its type, its domain, and where it is stored.
 *
 * Contents: 1. domains in words  2. numbers  3. distributions  4. texts and choices  5. base points, posts, shape
 *           6. any value by its key
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/value.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"
#include "casefile/identifiers.h"
#include "measurement/case.h"

#define FREE_TEXT_LIMIT 400

/* 1. Domains in words */

const char *sm_value_domain(const sm_key *key, char out[SM_DOMAIN_SIZE])
{
    char low[SM_NUMBER_SIZE], high[SM_NUMBER_SIZE];
    sm_number_write(key->low, low);
    sm_number_write(key->high, high);
    bool unit = key->unit[0] != '\0';
    if (isinf(key->high))
        snprintf(out, SM_DOMAIN_SIZE, key->flags & SM_KEY_ABOVE_LOW ? "above %s%s%s%s" : "of %s or more%s%s%s", low,
                 unit ? " (" : "", key->unit, unit ? ")" : "");
    else if (key->flags & SM_KEY_ABOVE_LOW)
        snprintf(out, SM_DOMAIN_SIZE, "above %s and below %s", low, high);
    else
        snprintf(out, SM_DOMAIN_SIZE, "from %s to %s%s%s%s", low, high, unit ? " (" : "", key->unit, unit ? ")" : "");
    return out;
}

static bool in_domain(const sm_key *key, double x)
{
    bool above = key->flags & SM_KEY_ABOVE_LOW ? x > key->low : x >= key->low;
    bool below = key->flags & SM_KEY_BELOW_HIGH ? x < key->high : x <= key->high;
    return above && below;
}

/* 2. Numbers */

/* A finite number, any. One that is not finite (1e999) was refused when the document was looked through. */
static bool any_number(sm_reader *r, const cJSON *node, const char *expected, double *out)
{
    char found[SM_FOUND_SIZE];
    if (!cJSON_IsNumber(node)) {
        sm_reader_fault(r, node, "found %s, expected %s", sm_reader_found(r, node, found), expected);
        return false;
    }
    *out = node->valuedouble;
    return isfinite(*out);
}

bool sm_value_number(sm_reader *r, const cJSON *node, const sm_key *key, double *out)
{
    char found[SM_FOUND_SIZE], domain[SM_DOMAIN_SIZE], expected[SM_DOMAIN_SIZE + 16];
    double x = cJSON_IsNumber(node) ? node->valuedouble : NAN;
    if (isfinite(x) && in_domain(key, x)) { /* nearly always: nothing is put into words for it */
        *out = x;
        return true;
    }
    snprintf(expected, sizeof expected, "a number %s", sm_value_domain(key, domain));
    if (!any_number(r, node, expected, &x))
        return false;
    if (!in_domain(key, x)) {
        sm_reader_fault(r, node, "found %s, expected %s", sm_reader_found(r, node, found), expected);
        return false;
    }
    *out = x;
    return true;
}

static bool read_count(sm_reader *r, const cJSON *node, const sm_key *key, size_t *out)
{
    char found[SM_FOUND_SIZE], domain[SM_DOMAIN_SIZE];
    if (cJSON_IsNumber(node) && in_domain(key, node->valuedouble) && node->valuedouble == floor(node->valuedouble)) {
        *out = (size_t)node->valuedouble;
        return true;
    }
    sm_reader_fault(r, node, "found %s, expected a whole number %s", sm_reader_found(r, node, found),
                    sm_value_domain(key, domain));
    return false;
}

/* 3. Distributions */

static void family_names(const char *out[SM_FAMILY_COUNT])
{
    for (int f = 0; f < SM_FAMILY_COUNT; f++)
        out[f] = sm_dist_family_name((sm_family)f);
}

static bool is_look(const cJSON *node)
{
    return strcmp(node->string, "cross_check") == 0;
}

/* The one member of an object that is no second look; NULL if there is none or more than one. */
static const cJSON *only_member(const cJSON *node)
{
    const cJSON *only = NULL;
    for (const cJSON *child = node->child; child; child = child->next) {
        if (is_look(child))
            continue;
        if (only)
            return NULL;
        only = child;
    }
    return only;
}

bool sm_value_is_dist(const cJSON *node)
{
    const char *known[SM_FAMILY_COUNT];
    sm_family f;
    if (!cJSON_IsObject(node))
        return false;
    for (const cJSON *child = node->child; child; child = child->next)
        if (sm_dist_family_named(child->string, &f))
            return true;
    family_names(known);
    const cJSON *only = only_member(node);
    return only && cJSON_IsObject(only) && sm_keys_nearest(only->string, known, SM_FAMILY_COUNT);
}

static void refuse_family(sm_reader *r, const cJSON *node)
{
    const char *known[SM_FAMILY_COUNT];
    char name[SM_FOUND_SIZE];
    sm_text list = {0};
    family_names(known);
    for (int f = 0; f < SM_FAMILY_COUNT; f++)
        sm_text_addf(&list, "%s%s", f ? ", " : "", known[f]);
    const char *near = sm_keys_nearest(node->string, known, SM_FAMILY_COUNT);
    sm_reader_fault_key(r, node, "found \"%s\", expected a family of distributions (%s)%s%s%s",
                        sm_reader_key(node, name), sm_text_string(&list), near ? ": did you mean \"" : "",
                        near ? near : "", near ? "\"?" : "");
    r->no_memory |= list.failed;
    sm_text_destroy(&list);
}

/* The parameters of family f, all of them and no other. */
static bool read_parameters(sm_reader *r, const cJSON *node, sm_dist *out)
{
    char found[SM_FOUND_SIZE];
    size_t n = sm_dist_parameters(out->family), before = r->faults;
    sm_key names[4] = {{0}};
    sm_keys keys = {.what = sm_dist_family_name(out->family), .key = names, .n = n};
    if (!cJSON_IsObject(node)) {
        sm_reader_fault(r, node, "found %s, expected an object with the parameters of %s",
                        sm_reader_found(r, node, found), keys.what);
        return false;
    }
    for (size_t i = 0; i < n; i++)
        names[i].name = sm_dist_parameter_name(out->family, i);
    sm_reader_check_keys(r, node, &keys);
    bool finite = true;
    for (size_t i = 0; i < n; i++) {
        const cJSON *value = sm_reader_member(node, names[i].name);
        if (!value)
            sm_reader_fault(r, node, "the parameter \"%s\" is missing, expected in %s", names[i].name, keys.what);
        else
            finite &= any_number(r, value, "a number", &out->p[i]);
    }
    return finite && r->faults == before;
}

/* looked: a second look may stand beside the family. */
static bool read_family(sm_reader *r, const cJSON *node, bool looked, sm_dist *out)
{
    const cJSON *family = looked ? only_member(node) : cJSON_GetArraySize(node) == 1 ? node->child : NULL;
    if (!family) {
        sm_reader_fault(r, node,
                        "found %d keys, expected exactly one family of distributions, as in "
                        "{\"normal\": {\"mean\": 22.3, \"sd\": 0.3}}",
                        cJSON_GetArraySize(node));
        return false;
    }
    *out = (sm_dist){0};
    if (!sm_dist_family_named(family->string, &out->family)) {
        refuse_family(r, family);
        return false;
    }
    if (!read_parameters(r, family, out))
        return false;
    const char *wrong = sm_dist_check(out);
    if (wrong)
        sm_reader_fault(r, family, "found impossible parameters of %s: %s", family->string, wrong);
    return !wrong;
}

static void refuse_value(sm_reader *r, const cJSON *node, const sm_key *key, const sm_dist *d, const char *which,
                         double x)
{
    char domain[SM_DOMAIN_SIZE], found[SM_NUMBER_SIZE];
    snprintf(found, sizeof found, "%.4g", x);
    if (!which)
        sm_reader_fault(r, node, "found %s, expected a number %s", found, sm_value_domain(key, domain));
    else
        sm_reader_fault(r, node,
                        "found a %s distribution whose %s quantile is %s, expected its 1 %% and 99 %% quantiles %s",
                        sm_dist_family_name(d->family), which, found, sm_value_domain(key, domain));
}

/* A domain binds a constant, and the 1 % and 99 % quantiles of a distribution. */
static bool dist_in_domain(sm_reader *r, const cJSON *node, const sm_key *key, const sm_dist *d)
{
    static const double probability[2] = {0.01, 0.99};
    static const char *const which[2] = {"1 %", "99 %"};
    bool constant = sm_dist_is_constant(d);
    if (!constant && (key->flags & SM_KEY_NOT_BELOW_0) && sm_dist_lower_end(d) < 0.0) {
        sm_reader_fault(
            r, node,
            "found a %s distribution that can go below 0, expected values of 0 or more: use truncated_normal "
            "with min 0, or another family that stays above",
            sm_dist_family_name(d->family));
        return false;
    }
    for (size_t i = 0; i < 2; i++) {
        double x = constant ? sm_dist_mean(d) : sm_dist_quantile(d, probability[i]);
        if (!in_domain(key, x)) {
            refuse_value(r, node, key, d, constant ? NULL : which[i], x);
            return false;
        }
    }
    return true;
}

static bool read_dist(sm_reader *r, const cJSON *node, const sm_key *key, bool looked, sm_dist *out)
{
    char found[SM_FOUND_SIZE], domain[SM_DOMAIN_SIZE];
    if (cJSON_IsNumber(node)) {
        double x;
        bool ok = sm_value_number(r, node, key, &x);
        if (ok)
            *out = sm_dist_constant(x);
        return ok;
    }
    if (!cJSON_IsObject(node)) {
        sm_reader_fault(r, node, "found %s, expected a number or a distribution %s", sm_reader_found(r, node, found),
                        sm_value_domain(key, domain));
        return false;
    }
    sm_dist d;
    if (!read_family(r, node, looked, &d) || !dist_in_domain(r, node, key, &d))
        return false;
    *out = d;
    return true;
}

bool sm_value_dist(sm_reader *r, const cJSON *node, const sm_key *key, sm_dist *out)
{
    return read_dist(r, node, key, false, out);
}

bool sm_value_looked_dist(sm_reader *r, const cJSON *node, const sm_key *key, sm_dist *out)
{
    return read_dist(r, node, key, true, out);
}

/* 4. Texts and choices */

bool sm_value_is_name(const char *s, const char *allowed, size_t limit)
{
    size_t n = strspn(s, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789");
    while (s[n] && strchr(allowed, s[n]))
        n += 1 + strspn(s + n + 1, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789");
    return n > 0 && n <= limit && !s[n];
}

static bool has_control(const char *s)
{
    for (; *s; s++)
        if ((unsigned char)*s < 0x20 || *s == 0x7f)
            return true;
    return false;
}

void sm_value_warn_identifier(sm_reader *r, const cJSON *node, const char *text)
{
    const char *seen = sm_identifiers_text(text);
    if (seen)
        sm_reader_warn(r, node,
                       "this text seems to contain %s: make sure that it identifies no patient (a date of birth, "
                       "a record number)",
                       seen);
}

bool sm_value_text(sm_reader *r, const cJSON *node, const char *allowed, size_t limit, const char **out)
{
    char found[SM_FOUND_SIZE];
    const char *s = cJSON_IsString(node) ? node->valuestring : NULL;
    if (!s)
        sm_reader_fault(r, node, "found %s, expected a text", sm_reader_found(r, node, found));
    else if (allowed && !sm_value_is_name(s, allowed, limit)) {
        sm_reader_fault(r, node, "found %s, expected 1 to %zu letters, digits or characters of %s",
                        sm_reader_found(r, node, found), limit, allowed);
        s = NULL;
    } else if (!allowed && (!s[0] || sm_utf8_count(s) > limit)) {
        sm_reader_fault(r, node, "found a text of %zu characters, expected 1 to %zu", sm_utf8_count(s), limit);
        s = NULL;
    } else if (!allowed && has_control(s)) {
        sm_reader_fault(r, node,
                        "found a text with a control character (a line break or tab), expected one line of text");
        s = NULL;
    }
    *out = s;
    if (s)
        sm_value_warn_identifier(r, node, s);
    return s != NULL;
}

static void refuse_choice(sm_reader *r, const cJSON *node, const sm_key *key)
{
    char found[SM_FOUND_SIZE];
    const char *known[8];
    size_t n = 0;
    sm_text list = {0};
    for (; n < 8 && key->choice[n].name; n++) {
        known[n] = key->choice[n].name;
        sm_text_addf(&list, "%s\"%s\"", !n ? "" : key->choice[n + 1].name ? ", " : " or ", known[n]);
    }
    const char *near = cJSON_IsString(node) ? sm_keys_nearest(node->valuestring, known, n) : NULL;
    sm_reader_fault(r, node, "found %s, expected %s%s%s%s", sm_reader_found(r, node, found), sm_text_string(&list),
                    near ? ": did you mean \"" : "", near ? near : "", near ? "\"?" : "");
    r->no_memory |= list.failed;
    sm_text_destroy(&list);
}

static bool read_choice(sm_reader *r, const cJSON *node, const sm_key *key, unsigned *out)
{
    for (const sm_key_word *c = key->choice; cJSON_IsString(node) && c->name; c++)
        if (strcmp(c->name, node->valuestring) == 0) {
            *out = c->value;
            r->facts |= c->fact;
            return true;
        }
    refuse_choice(r, node, key);
    return false;
}

static bool read_truth(sm_reader *r, const cJSON *node, bool *out)
{
    char found[SM_FOUND_SIZE];
    if (!cJSON_IsBool(node)) {
        sm_reader_fault(r, node, "found %s, expected true or false", sm_reader_found(r, node, found));
        return false;
    }
    *out = cJSON_IsTrue(node);
    return true;
}

/* 5. Base points, posts, shape */

static double angle_between(double a, double b)
{
    return fabs(remainder(a - b, 360.0));
}

static bool read_azimuths(sm_reader *r, const cJSON *node, const sm_key *key, double out[3])
{
    char found[SM_FOUND_SIZE];
    double az[3];
    size_t n = 0, before = r->faults;
    if (!cJSON_IsArray(node) || cJSON_GetArraySize(node) != 3) {
        sm_reader_fault(r, node, "found %s%s, expected a list of three directions in degrees",
                        sm_reader_found(r, node, found), cJSON_IsArray(node) ? " of another length" : "");
        return false;
    }
    for (const cJSON *item = node->child; item; item = item->next, n++)
        if (!sm_value_number(r, item, key, &az[n]))
            az[n] = NAN;
    if (r->faults > before)
        return false;
    for (size_t i = 0; i < 3; i++) {
        double apart = angle_between(az[i], az[(i + 1) % 3]);
        if (apart < 60.0 - 1e-9) {
            sm_reader_fault(r, node, "found base points %.4g degrees apart (%.6g and %.6g), expected at least 60",
                            apart, az[i], az[(i + 1) % 3]);
            return false;
        }
    }
    memcpy(out, az, sizeof az);
    return true;
}

/* Posts come every 120 degrees: an unknown direction is uniform over that (model.md 4). */
static bool read_post_azimuth(sm_reader *r, const cJSON *node, const sm_key *key, sm_surgical_valve *v)
{
    char found[SM_FOUND_SIZE];
    if (!cJSON_IsString(node)) {
        v->post_azimuth_unknown = false;
        return sm_value_dist(r, node, key, &v->post_azimuth_deg);
    }
    if (strcmp(node->valuestring, "unknown") != 0) {
        sm_reader_fault(r, node, "found %s, expected \"unknown\", a number or a distribution in degrees",
                        sm_reader_found(r, node, found));
        return false;
    }
    v->post_azimuth_unknown = true;
    v->post_azimuth_deg = sm_dist_uniform(0.0, 120.0);
    return true;
}

static bool read_shape_point(sm_reader *r, const cJSON *node, const sm_key *diameter, double out[2])
{
    static const sm_key fraction = {.low = 0.0, .high = 1.0, .unit = "fraction of the frame's height"};
    char found[SM_FOUND_SIZE];
    if (!cJSON_IsArray(node) || cJSON_GetArraySize(node) != 2) {
        sm_reader_fault(r, node, "found %s, expected a point [fraction of height, relative diameter]",
                        sm_reader_found(r, node, found));
        return false;
    }
    bool ok = sm_value_number(r, node->child, &fraction, &out[0]);
    sm_key relative = *diameter;
    relative.unit = "relative to the nominal diameter";
    return sm_value_number(r, node->child->next, &relative, &out[1]) && ok;
}

static bool shape_rises(sm_reader *r, const cJSON *node, const double (*p)[2], size_t n)
{
    bool rises = p[0][0] == 0.0 && p[n - 1][0] == 1.0;
    for (size_t i = 1; i < n; i++)
        rises &= p[i][0] > p[i - 1][0];
    if (!rises)
        sm_reader_fault(r, node,
                        "found fractions of height that do not rise from 0 to 1, expected 0 first, 1 last and "
                        "each above the one before");
    return rises;
}

static bool read_shape(sm_reader *r, const cJSON *node, const sm_key *key, sm_implant *out)
{
    char found[SM_FOUND_SIZE];
    double p[SM_MAX_SHAPE_POINTS][2] = {{0}};
    size_t n = 0, before = r->faults;
    int size = cJSON_IsArray(node) ? cJSON_GetArraySize(node) : 0;
    if (size < 2 || size > SM_MAX_SHAPE_POINTS) {
        sm_reader_fault(r, node,
                        "found %s%s, expected a list of 2 to 32 points [fraction of height, relative diameter]",
                        sm_reader_found(r, node, found), cJSON_IsArray(node) ? " of another length" : "");
        return false;
    }
    for (const cJSON *item = node->child; item; item = item->next, n++)
        read_shape_point(r, item, key, p[n]);
    if (r->faults > before || !shape_rises(r, node, (const double(*)[2])p, n))
        return false;
    bool straight = true;
    for (size_t i = 0; i < n; i++)
        straight &= p[i][1] == 1.0;
    out->shape_points = straight ? 0 : n;
    memset(out->shape, 0, sizeof out->shape);
    if (!straight)
        memcpy(out->shape, p, n * sizeof p[0]);
    return true;
}

/* 6. Any value by its key */

_Static_assert(sizeof(sm_detector) == sizeof(unsigned) && sizeof(sm_leaflet_mount) == sizeof(unsigned),
               "choices are stored as unsigned");

bool sm_value_read(sm_reader *r, const cJSON *node, const sm_key *key, void *object)
{
    void *field = (char *)object + key->offset;
    switch (key->kind) {
    case SM_KEY_CHOICE:
        return read_choice(r, node, key, field);
    case SM_KEY_NUMBER:
        return sm_value_number(r, node, key, field);
    case SM_KEY_COUNT:
        return read_count(r, node, key, field);
    case SM_KEY_TRUTH:
        return read_truth(r, node, field);
    case SM_KEY_DIST:
        return sm_value_dist(r, node, key, field);
    case SM_KEY_AZIMUTHS:
        return read_azimuths(r, node, key, field);
    case SM_KEY_POST_AZIMUTH:
        return read_post_azimuth(r, node, key, object);
    case SM_KEY_SHAPE:
        return read_shape(r, node, key, object);
    default:
        return false;
    }
}
