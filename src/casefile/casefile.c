/* casefile.c - a case and its site profile: one call reads and checks both.
 *
 * Contents: 1. digests  2. overrides  3. reading  4. what was read
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/casefile.h"

#include <stdlib.h>
#include <string.h>

#include <nettle/sha2.h>

#include "casefile/read_case.h"
#include "casefile/read_unusual.h"

#define DIGEST_SIZE (2 * SHA256_DIGEST_SIZE + 1)

struct sm_casefile {
    sm_case c;
    sm_reader r; /* kept for its assumptions; the documents are let go once read */
    sm_unusuals unusual;
    char case_sha256[DIGEST_SIZE], profile_sha256[DIGEST_SIZE];
    bool has_profile;
    char *text[2]; /* of the case and of the profile: for versions */
    size_t length[2];
};

/* 1. Digests */

static void digest_write(sm_file_text file, char out[DIGEST_SIZE])
{
    static const char hex[] = "0123456789abcdef";
    struct sha256_ctx sha;
    uint8_t digest[SHA256_DIGEST_SIZE];
    sha256_init(&sha);
    if (file.text)
        sha256_update(&sha, file.length, (const uint8_t *)file.text);
    sha256_digest(&sha, sizeof digest, digest);
    for (size_t i = 0; i < sizeof digest; i++) {
        out[2 * i] = hex[digest[i] >> 4];
        out[2 * i + 1] = hex[digest[i] & 15];
    }
    out[DIGEST_SIZE - 1] = '\0';
}

/* 2. Overrides */

static void override_refuse(sm_reader *r, const sm_override *o, const char *wrong)
{
    r->faults++;
    sm_diag_add(r->diag, SM_FAULT, (sm_place){.file = "changed value"},
                "found the pointer \"%s\", expected a place in the case: %s", o->pointer, wrong);
}

/* The value of an override goes through the same scan as a file; a fault in it names the pointer. */
static void override_apply(sm_reader *r, const sm_override *o)
{
    sm_json_doc value;
    sm_text name = {0};
    sm_text_addf(&name, "changed value %s", o->pointer);
    sm_file_text text = {name.s ? name.s : "changed value", o->json, strlen(o->json)};
    sm_status status = sm_json_doc_read(&value, text, r->diag);
    if (status == SM_OK) {
        cJSON *taken = value.root;
        value.root = NULL;
        const char *wrong = sm_json_doc_put(&r->case_doc, o->pointer, taken, &r->no_memory);
        if (wrong)
            override_refuse(r, o, wrong);
    }
    r->faults += status == SM_REFUSED;
    r->no_memory |= status == SM_NO_MEMORY || name.failed;
    sm_json_doc_destroy(&value);
    sm_text_destroy(&name);
}

/* 3. Reading */

sm_status sm_casefile_profile_path(sm_file_text case_text, char **path)
{
    sm_diag unused = {0};
    sm_json_doc doc;
    const sm_status read = sm_json_doc_read(&doc, case_text, &unused);
    bool no_memory = read == SM_NO_MEMORY || unused.failed;
    *path = NULL;
    if (read == SM_OK) {
        const cJSON *profile = sm_reader_member(doc.root, "profile");
        if (cJSON_IsString(profile) && profile->valuestring[0]) {
            *path = sm_string_copy(profile->valuestring);
            no_memory |= !*path;
        }
    }
    sm_json_doc_destroy(&doc);
    sm_diag_destroy(&unused);
    return no_memory ? SM_NO_MEMORY : SM_OK;
}

/* Both texts into documents; a fault in one does not hide a fault in the other. */
static void read_documents(sm_reader *r, sm_file_text case_text, sm_file_text profile_text)
{
    sm_status status[2] = {sm_json_doc_read(&r->case_doc, case_text, r->diag), SM_OK};
    if (profile_text.text)
        status[1] = sm_json_doc_read(&r->profile_doc, profile_text, r->diag);
    for (size_t i = 0; i < 2; i++) {
        r->faults += status[i] == SM_REFUSED;
        r->no_memory |= status[i] == SM_NO_MEMORY;
    }
}

static void read_all(sm_casefile *f, sm_file_text case_text, sm_file_text profile_text, const sm_override *override,
                     size_t n)
{
    sm_reader *r = &f->r;
    if (!r->assumptions.none) {
        digest_write(case_text, f->case_sha256);
        digest_write(profile_text, f->profile_sha256);
    }
    f->has_profile = profile_text.text != NULL;
    read_documents(r, case_text, profile_text);
    for (size_t i = 0; i < n && r->case_doc.root && !r->no_memory; i++)
        override_apply(r, &override[i]);
    if (r->case_doc.root && !r->no_memory) {
        sm_read_case(r, &f->c);
        if (!r->assumptions.none)
            sm_read_unusual(r, &f->c, &f->unusual);
    }
    r->no_memory |= r->diag->failed || r->assumptions.failed;
}

/* Copies of both texts. False if memory runs out. */
static bool keep_texts(sm_casefile *f, sm_file_text case_text, sm_file_text profile_text)
{
    const sm_file_text from[2] = {case_text, profile_text};
    for (size_t i = 0; i < 2; i++) {
        if (!from[i].text)
            continue;
        f->length[i] = from[i].length;
        f->text[i] = sm_string_copyn(from[i].text, from[i].length);
        if (!f->text[i])
            return false;
    }
    return true;
}

static sm_status read_file(sm_file_text case_text, sm_file_text profile_text, const sm_override *override,
                           size_t n_overrides, bool bare, sm_diag *d, sm_casefile **out)
{
    *out = NULL;
    size_t first = d->n;
    sm_casefile *f = calloc(1, sizeof *f);
    if (!f)
        return SM_NO_MEMORY;
    f->r.diag = d;
    f->r.assumptions.none = bare;
    read_all(f, case_text, profile_text, override, n_overrides);
    sm_diag_sort(d, first); /* keys are read in the order of the tables, a user goes from top to bottom */
    sm_status status = f->r.no_memory ? SM_NO_MEMORY : f->r.faults ? SM_REFUSED : SM_OK;
    if (status != SM_OK) {
        sm_casefile_destroy(f);
        return status;
    }
    sm_json_doc_destroy(&f->r.case_doc);
    sm_json_doc_destroy(&f->r.profile_doc);
    f->r.diag = NULL;
    if (!bare && !keep_texts(f, case_text, profile_text)) {
        sm_casefile_destroy(f);
        return SM_NO_MEMORY;
    }
    *out = f;
    return SM_OK;
}

sm_status sm_casefile_read(sm_file_text case_text, sm_file_text profile_text, const sm_override *override,
                           size_t n_overrides, sm_diag *d, sm_casefile **out)
{
    return read_file(case_text, profile_text, override, n_overrides, false, d, out);
}

sm_status sm_casefile_vary_bare(const sm_casefile *f, const sm_override *override, size_t n_overrides, sm_diag *d,
                                sm_casefile **out)
{
    return read_file(sm_casefile_case_text(f), sm_casefile_profile_text(f), override, n_overrides, true, d, out);
}

sm_status sm_casefile_vary(const sm_casefile *f, const sm_override *override, size_t n_overrides, sm_diag *d,
                           sm_casefile **out)
{
    return sm_casefile_read(sm_casefile_case_text(f), sm_casefile_profile_text(f), override, n_overrides, d, out);
}

void sm_casefile_destroy(sm_casefile *f)
{
    if (!f)
        return;
    sm_case_destroy(&f->c);
    sm_unusuals_destroy(&f->unusual);
    sm_reader_destroy(&f->r);
    free(f->text[0]);
    free(f->text[1]);
    free(f);
}

/* 4. What was read */

const sm_case *sm_casefile_case(const sm_casefile *f)
{
    return &f->c;
}

size_t sm_casefile_assumptions(const sm_casefile *f, const sm_assumption **out)
{
    *out = f->r.assumptions.item;
    return f->r.assumptions.n;
}

size_t sm_casefile_unusual(const sm_casefile *f, const sm_unusual **out)
{
    *out = f->unusual.item;
    return f->unusual.n;
}

sm_file_text sm_casefile_case_text(const sm_casefile *f)
{
    return (sm_file_text){"case", f->text[0], f->length[0]};
}

sm_file_text sm_casefile_profile_text(const sm_casefile *f)
{
    return (sm_file_text){"profile", f->text[1], f->length[1]};
}

unsigned sm_casefile_facts(const sm_casefile *f)
{
    return f->r.facts;
}

const char *sm_casefile_case_sha256(const sm_casefile *f)
{
    return f->case_sha256;
}

const char *sm_casefile_profile_sha256(const sm_casefile *f)
{
    return f->has_profile ? f->profile_sha256 : NULL;
}
