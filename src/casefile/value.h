/* value.h - one value of a case: its type, its domain, and where it is stored.
 *
 * Every function returns true and stores, or returns false after adding its faults.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_VALUE_H
#define SM_CASEFILE_VALUE_H

#include "casefile/reader.h"
#include "sampling/dist.h"

#define SM_DOMAIN_SIZE 160
/* "from 0 to 5 (mm)", "above 0 and below 1", "of 3 or more". Returns out. */
const char *sm_value_domain(const sm_key *key, char out[SM_DOMAIN_SIZE]);

/* A number within the domain of key. */
bool sm_value_number(sm_reader *r, const cJSON *node, const sm_key *key, double *out);
/* A number or a distribution within the domain of key (docs/case-format.md: its 1 % and 99 % quantiles). */
bool sm_value_dist(sm_reader *r, const cJSON *node, const sm_key *key, sm_dist *out);
/* The same where a second look (cross_check) may stand beside the family; the look is left alone. */
bool sm_value_looked_dist(sm_reader *r, const cJSON *node, const sm_key *key, sm_dist *out);
/* True if an object names a family of distributions, or nothing but a name near to one and perhaps a second look. */
bool sm_value_is_dist(const cJSON *node);
/* A text of at most `limit` characters; only the characters of `allowed` beside letters and digits, unless allowed is
 * NULL. */
bool sm_value_text(sm_reader *r, const cJSON *node, const char *allowed, size_t limit, const char **out);
/* Letters, digits and the characters of `allowed` only, 1 to limit of them. */
bool sm_value_is_name(const char *s, const char *allowed, size_t limit);
/* The value of any key but TEXT, QUANTITY, OBJECT and LIST into its field of `object`. */
bool sm_value_read(sm_reader *r, const cJSON *node, const sm_key *key, void *object);
/* Warns if a free text looks as if it held a date of birth or a record number. */
void sm_value_warn_identifier(sm_reader *r, const cJSON *node, const char *text);

#endif
