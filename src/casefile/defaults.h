/* defaults.h - every built-in default in one table: value, unit, grade, range, source and reason.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_DEFAULTS_H
#define SM_CASEFILE_DEFAULTS_H

#include "base/text.h"
#include "casefile/datum.h"

/* What a case says that a default may depend on, one bit each. */
enum {
    SM_FACT_ENERGY_INTEGRATING = 1,
    SM_FACT_PHOTON_COUNTING = 2,
    SM_FACT_SOFT = 4,
    SM_FACT_SHARP = 8,
    SM_FACT_INTERNAL = 16,
    SM_FACT_EXTERNAL = 32,
    SM_FACT_STENTLESS = 64,
    SM_FACT_BALLOON = 128,
    SM_FACT_SELF = 256,
    SM_FACT_FLUOROSCOPY = 512,
    SM_FACT_ECHO = 1024,
    SM_FACT_PHOTON_COUNTING_HIGH = 2048,
    SM_FACT_PLANNING = 4096,
    SM_FACT_AFTER_IMPLANT = 8192,
    SM_FACT_READERS_PLACED = 16384,
    SM_FACT_LEFT = 32768, /* of a coronary that is called so */
    SM_FACT_RIGHT = 65536
};

/* How far a value can be trusted. */
typedef enum { SM_STATED, SM_PUBLISHED, SM_DERIVED, SM_JUDGEMENT, SM_UNCONFIRMED } sm_grade;
const char *sm_grade_name(sm_grade g);

typedef struct {
    const char *group, *key; /* "scan", "blooming_mm"; a quantity's name for its reader SD and bloom_edges */
    unsigned when;           /* all of these facts must hold; 0: always */
    sm_datum value;          /* none if there is no default, only a range */
    const char *unit;
    sm_grade grade;
    struct {
        double low, high;
        const char *words; /* "0.2 to 0.8"; NULL if docs/facts.md gives no range */
    } range;
    const char *source; /* where it comes from */
    const char *reason; /* why it is what it is, for a reader who is not a programmer */
} sm_default;

/* The line for group and key under these facts, or NULL. A line that depends on a fact not known is never chosen. */
const sm_default *sm_defaults_find(const char *group, const char *key, unsigned facts);
size_t sm_defaults_count(void);
const sm_default *sm_defaults_line(size_t i);
/* " (balloon-expanded)": the facts under which a line holds, in words; nothing if it always does. */
void sm_defaults_when_write(unsigned when, sm_text *out);

#endif
