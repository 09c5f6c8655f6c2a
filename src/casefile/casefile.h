/* casefile.h - a case and its site profile, read and checked (docs/case-format.md).
 *
 * Texts come in, values and messages come out; nothing here opens a file.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_CASEFILE_H
#define SM_CASEFILE_CASEFILE_H

#include "base/diag.h"
#include "base/file_text.h"
#include "base/status.h"
#include "casefile/assumptions.h"
#include "casefile/unusual.h"
#include "measurement/case.h"

/* A value put in place of (or beside) what the case states, before defaults and checks: how sweeps and swings vary a
 * case. Missing objects on the way are made, and a bare reading is written in full if the pointer leads into it. A
 * value goes through every check of a file. One difference: an SD added alone, by its own pointer, leaves its
 * companions (the other SD and dof) where they come from, while beside an SD in a text one that is not stated is 0. */
typedef struct {
    const char *pointer; /* JSON pointer into the case */
    const char *json;    /* the value, as JSON text */
} sm_override;

typedef struct sm_casefile sm_casefile;

/* The path that the case names as its profile goes to *path, on the heap; NULL if it names none (or is not readable:
 * sm_casefile_read says so). SM_OK or SM_NO_MEMORY. */
sm_status sm_casefile_profile_path(sm_file_text case_text, char **path);

/* Reads a case with its profile (text NULL: none) and overrides. Every fault of both goes to d. SM_OK with *out set
 * (warnings may be in d), SM_REFUSED with *out NULL and at least one fault in d, or SM_NO_MEMORY. */
sm_status sm_casefile_read(sm_file_text case_text, sm_file_text profile_text, const sm_override *override,
                           size_t n_overrides, sm_diag *d, sm_casefile **out);
/* Reads the same texts again with overrides in place. */
sm_status sm_casefile_vary(const sm_casefile *f, const sm_override *override, size_t n_overrides, sm_diag *d,
                           sm_casefile **out);
/* The same for a case that is run as planned and never told: without alternatives, assumptions, unusual values, digests
 * and texts, which are most of the work. */
sm_status sm_casefile_vary_bare(const sm_casefile *f, const sm_override *override, size_t n_overrides, sm_diag *d,
                                sm_casefile **out);
void sm_casefile_destroy(sm_casefile *f);

const sm_case *sm_casefile_case(const sm_casefile *f);
size_t sm_casefile_assumptions(const sm_casefile *f, const sm_assumption **out);
/* Numbers that are possible but unusual, in the order in which they are asked about. */
size_t sm_casefile_unusual(const sm_casefile *f, const sm_unusual **out);
/* The texts that were read; the profile's text is NULL if there is none. Valid as long as f. */
sm_file_text sm_casefile_case_text(const sm_casefile *f);
sm_file_text sm_casefile_profile_text(const sm_casefile *f);
/* What the case says that defaults depend on: SM_FACT_... of casefile/defaults.h. */
unsigned sm_casefile_facts(const sm_casefile *f);
/* SHA-256 of the texts in hexadecimal; profile's is NULL if there is none. */
const char *sm_casefile_case_sha256(const sm_casefile *f);
const char *sm_casefile_profile_sha256(const sm_casefile *f);

#endif
