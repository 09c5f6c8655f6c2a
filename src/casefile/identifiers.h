/* identifiers.h - what looks as if it identified a patient. No file of this program may.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_IDENTIFIERS_H
#define SM_CASEFILE_IDENTIFIERS_H

#include <stdbool.h>

/* True if an unknown key looks like a patient identifier (patient_name, DOB, record no). */
bool sm_identifiers_key(const char *key);

/* NULL, or what a free text seems to contain: "a date" or "a long number". A number that belongs to a citation
 * (doi, PMID, PMC) is passed over. */
const char *sm_identifiers_text(const char *text);

#endif
