/* explain_terms.h - every word of cases, commands and reports, explained in three sentences each.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_GUIDE_EXPLAIN_TERMS_H
#define SM_REPORT_GUIDE_EXPLAIN_TERMS_H

#include <stddef.h>

/* group, title: the order in which `explain` lists them */
#define SM_TERM_GROUP_LIST(X)                                                                                          \
    X(WORDS, "Words of the reports")                                                                                   \
    X(OUTPUTS, "What is computed")                                                                                     \
    X(COMMANDS, "Commands")                                                                                            \
    X(OPTIONS, "Options")                                                                                              \
    X(CASE, "The case, and the limits")                                                                                \
    X(SCAN, "The scan and the base plane")                                                                             \
    X(VALVE, "The failed surgical valve")                                                                              \
    X(IMPLANT, "The new valve")                                                                                        \
    X(CORONARY, "Readings beside each coronary")                                                                       \
    X(READING, "What belongs to a reading")                                                                            \
    X(ALTERNATIVES, "Alternatives")                                                                                    \
    X(PROFILE, "The site profile, and distributions")

#define SM_TERM_GROUP_ENUM(group, title) SM_TERMS_##group,
typedef enum { SM_TERM_GROUP_LIST(SM_TERM_GROUP_ENUM) SM_TERM_GROUPS } sm_term_group;
#undef SM_TERM_GROUP_ENUM

/* One entry. `names` are parted by '|', the first is the title; capitals, '_', '-' and spaces make no difference. */
typedef struct {
    sm_term_group group;
    const char *names;
    const char *sentences; /* exactly three */
} sm_term;

size_t sm_terms(const sm_term **out);
const char *sm_term_group_title(sm_term_group g);

#endif
