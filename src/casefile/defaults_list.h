/* defaults_list.h - every built-in default in words, with how far it may be off.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_DEFAULTS_LIST_H
#define SM_CASEFILE_DEFAULTS_LIST_H

#include "base/text.h"

/* One line each: key, value, unit, grade, range, source and reason, and what of it is moved in the settings; at most
 * `width` columns. */
void sm_defaults_write(sm_text *out, size_t width);

#endif
