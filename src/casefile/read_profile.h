/* read_profile.h - the check of a site profile; its values are taken later, if the case leaves a key open.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_READ_PROFILE_H
#define SM_CASEFILE_READ_PROFILE_H

#include "casefile/reader.h"

/* Checks every key and value of the profile; nothing if there is none. */
void sm_read_profile(sm_reader *r);
/* The profile's object of that name, NULL if there is none. */
const cJSON *sm_read_profile_section(const sm_reader *r, const char *name);

#endif
