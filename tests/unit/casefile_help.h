/* casefile_help.h - what the tests of the casefile floor share: the example of the documentation, changed and read.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_TESTS_CASEFILE_HELP_H
#define SM_TESTS_CASEFILE_HELP_H

#include <gsl/gsl_errno.h>

#include "casefile/casefile.h"
#include "format/json_doc.h"
#include "check.h"

/* The smallest case: every required key and nothing else. */
static const char smallest[] =
    "{\"format\": \"slimmargin-case-1\", \"case\": \"small\",\n"
    " \"surgical_valve\": {\"leaflet_mount\": \"external\", \"inner_diameter_mm\": 22},\n"
    " \"implant\": {\"expansion\": \"balloon\", \"nominal_diameter_mm\": 24, \"frame_height_mm\": 19,\n"
    "             \"skirt_height_mm\": 9, \"implant_depth_mm\": 4},\n"
    " \"coronaries\": {\"left\": {\"azimuth_deg\": 35, \"circle_mm\": 22.4, \"ostium_height\": 9.5, \"ostium_gap\": "
    "5.7,\n"
    "                         \"stj_height\": 18, \"stj_gap\": 2.7, \"leaflet_height\": 14.8}}}\n";

static const char small_profile[] =
    "{\"format\": \"slimmargin-profile-1\", \"site\": \"north\", \"source\": \"reader study of 12 scans\",\n"
    " \"readers\": {\"ostium_gap\": {\"between_reader_sd_mm\": 0.5, \"repeat_sd_mm\": 0.3, \"dof\": 21}},\n"
    " \"scan\": {\"centreline_sd_mm\": {\"value\": 0.3, \"source\": \"phantom\"}},\n"
    " \"surgical_valve\": {}, \"implant\": {}, \"limits\": {},\n"
    " \"action_line\": {\"value\": 0.15, \"source\": \"heart team\"}}\n";

/* Everything that one reading gave; release with outcome_destroy. */
typedef struct {
    sm_status status;
    sm_diag diag;
    sm_text messages;
    sm_casefile *file;
    const sm_case *c; /* NULL if refused */
} outcome;

static inline outcome read_with(const char *text, const char *profile, const sm_override *override, size_t n)
{
    outcome o = {0};
    sm_file_text case_text = {"case.json", text, strlen(text)};
    sm_file_text profile_text = {"site.json", profile, profile ? strlen(profile) : 0};
    o.status = sm_casefile_read(case_text, profile_text, override, n, &o.diag, &o.file);
    sm_diag_write(&o.diag, &o.messages);
    sm_text_puts(&o.messages, "");
    o.c = o.file ? sm_casefile_case(o.file) : NULL;
    assert_int_equal(o.status == SM_OK, o.file != NULL);
    assert_int_equal(o.status == SM_OK, o.diag.faults == 0);
    return o;
}

static inline outcome read_text(const char *text)
{
    return read_with(text, NULL, NULL, 0);
}

/* The smallest case with one value put at a pointer. */
static inline outcome read_put(const char *pointer, const char *json)
{
    sm_override o = {pointer, json};
    return read_with(smallest, NULL, &o, 1);
}

static inline void outcome_destroy(outcome *o)
{
    sm_casefile_destroy(o->file);
    sm_diag_destroy(&o->diag);
    sm_text_destroy(&o->messages);
}

/* Whether d says the same of the same place; files, lines and the order differ between a text and overrides. */
static inline int says(const sm_diag *d, const sm_diag_item *wanted)
{
    for (size_t i = 0; i < d->n; i++)
        if (d->item[i].kind == wanted->kind && strcmp(d->item[i].words, wanted->words) == 0 &&
            strcmp(d->item[i].pointer ? d->item[i].pointer : "", wanted->pointer ? wanted->pointer : "") == 0)
            return 1;
    return 0;
}

static inline void check_same_assumptions(const outcome *a, const outcome *b, const char *about)
{
    const sm_assumption *x, *y;
    const size_t n = sm_casefile_assumptions(a->file, &x);
    assert_int_equal(sm_casefile_assumptions(b->file, &y), n);
    for (size_t i = 0; i < n; i++)
        if (strcmp(x[i].path, y[i].path) != 0 || strcmp(x[i].value.json, y[i].value.json) != 0 ||
            x[i].origin != y[i].origin)
            fail_msg("%s: %s = %s in the text, %s = %s by override", about, x[i].path, x[i].value.json, y[i].path,
                     y[i].value.json);
}

/* base with overrides must be taken or refused as `text`, with the same messages at the same pointers, and give the
 * same assumptions. */
static inline void check_as_text(const char *text, const char *base, const char *profile, const sm_override *override,
                                 size_t n)
{
    outcome a = read_with(text, profile, NULL, 0), b = read_with(base, profile, override, n);
    if (a.status != b.status || a.diag.n != b.diag.n)
        fail_msg("%s = %s\nthe text: %s\nthe override: %s", override[0].pointer, override[0].json, a.messages.s,
                 b.messages.s);
    for (size_t i = 0; i < a.diag.n; i++)
        if (!says(&b.diag, &a.diag.item[i]))
            fail_msg("%s = %s\nthe text: %s\nthe override: %s", override[0].pointer, override[0].json, a.messages.s,
                     b.messages.s);
    if (a.status == SM_OK)
        check_same_assumptions(&a, &b, override[0].pointer);
    outcome_destroy(&a);
    outcome_destroy(&b);
}

/* The value at a pointer of a text, as JSON on the heap; NULL if the text is no JSON or has nothing there. */
static inline char *value_in(const char *text, const char *pointer)
{
    sm_json_doc doc;
    sm_diag unused = {0};
    sm_text t = {0};
    if (sm_json_doc_read(&doc, (sm_file_text){"case.json", text, strlen(text)}, &unused) == SM_OK &&
        sm_json_doc_at(&doc, pointer))
        sm_json_doc_write(sm_json_doc_at(&doc, pointer), &t);
    sm_json_doc_destroy(&doc);
    sm_diag_destroy(&unused);
    return t.len ? sm_text_take(&t) : NULL;
}

/* base with values put in, as one text on the heap. */
static inline char *text_with(const char *base, const sm_override *put, size_t n)
{
    sm_json_doc doc;
    sm_diag unused = {0};
    sm_text t = {0};
    bool no_memory = false;
    assert_int_equal(sm_json_doc_read(&doc, (sm_file_text){"case.json", base, strlen(base)}, &unused), SM_OK);
    for (size_t i = 0; i < n; i++)
        assert_null(sm_json_doc_put(&doc, put[i].pointer, cJSON_Parse(put[i].json), &no_memory));
    assert_false(no_memory);
    sm_json_doc_write(doc.root, &t);
    sm_json_doc_destroy(&doc);
    return sm_text_take(&t);
}

/* text must be base but for what lies below pointer: the same is asked of an override there and at every place that
 * leads to it. Returns how many overrides that were. */
static inline int check_ways_to(const char *text, const char *base, const char *profile, const char *pointer)
{
    char *place = sm_string_copy(pointer);
    int ways = 0;
    for (char *end = place + strlen(place); end && end > place; end = strrchr(place, '/')) {
        *end = '\0';
        char *json = place[0] ? value_in(text, place) : NULL;
        if (json) {
            check_as_text(text, base, profile, &(sm_override){place, json}, 1);
            ways++;
        }
        free(json);
    }
    free(place);
    return ways;
}

/* The assumption at path; fails if there is none. */
static inline const sm_assumption *assumption_at(const outcome *o, const char *path)
{
    const sm_assumption *a;
    size_t n = sm_casefile_assumptions(o->file, &a);
    for (size_t i = 0; i < n; i++)
        if (strcmp(a[i].path, path) == 0)
            return &a[i];
    fail_msg("no assumption at %s", path);
    return NULL;
}

static inline int has_assumption(const outcome *o, const char *path)
{
    const sm_assumption *a;
    size_t n = sm_casefile_assumptions(o->file, &a);
    for (size_t i = 0; i < n; i++)
        if (strcmp(a[i].path, path) == 0)
            return 1;
    return 0;
}

/* The text of a file, with a zero at the end; the caller frees it. */
static inline char *load(const char *path)
{
    FILE *f = fopen(path, "rb");
    assert_non_null(f);
    sm_text t = {0};
    char part[4096];
    for (size_t n; (n = fread(part, 1, sizeof part, f)) > 0;)
        sm_text_putn(&t, part, n);
    fclose(f);
    return sm_text_take(&t);
}

/* The demo case with its profile. */
static inline outcome read_demo(void)
{
    char *text = load("scenarios/demo.json"), *profile = load("scenarios/site.json");
    outcome o = read_with(text, profile, NULL, 0);
    assert_non_null(o.file);
    free(text);
    free(profile);
    return o;
}

/* The JSON example of docs/case-format.md that begins with this format: what the manual shows must be read. */
static inline char *example(const char *format)
{
    char *manual = load("docs/case-format.md");
    char *found = NULL;
    for (char *block = strstr(manual, "```json\n"); block && !found; block = strstr(block + 8, "```json\n")) {
        char *end = strstr(block + 8, "```");
        assert_non_null(end);
        char *text = sm_string_copyn(block + 8, (size_t)(end - block - 8));
        if (strstr(text, format))
            found = text;
        else
            free(text);
        block = end;
    }
    free(manual);
    assert_non_null(found);
    return found;
}

/* text with its only occurrence of `from` replaced; the caller frees it. */
static inline char *replaced(const char *text, const char *from, const char *to)
{
    const char *at = strstr(text, from);
    if (!at || strstr(at + 1, from)) {
        fprintf(stderr, "\"%s\" must stand exactly once in the text\n", from);
        fail();
    }
    sm_text t = {0};
    sm_text_putn(&t, text, (size_t)(at - text));
    sm_text_puts(&t, to);
    sm_text_puts(&t, at + strlen(from));
    return sm_text_take(&t);
}

#endif
