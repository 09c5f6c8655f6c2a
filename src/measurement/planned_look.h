/* planned_look.h - looks that could be made before anyone acts: what they are at, and those that are offered where a
 * case lists none (model.md 6.1).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_MEASUREMENT_PLANNED_LOOK_H
#define SM_MEASUREMENT_PLANNED_LOOK_H

#include "measurement/case.h"
#include "base/text.h"

enum { SM_OF_VALVE = -1 }; /* the side of what the valve has */

/* "left.ostium_gap", "inner_diameter_mm". */
void sm_target_name(const sm_case *c, sm_look_target t, sm_text *out);
/* The quantity that is looked at. */
const sm_quantity *sm_target_quantity(const sm_case *c, sm_look_target t);

/* Whether readers of a scan could read it once more: it was read, with SDs of readers. */
bool sm_target_is_read(const sm_case *c, sm_look_target t);
/* Whether anything is open about it. */
bool sm_target_varies(const sm_case *c, sm_look_target t);

/* Everything that was read, in the order of the case, the valve's last. NULL and *n = 0 if there is nothing, or if
 * memory runs out (*no_memory). */
sm_look_target *sm_targets_read(const sm_case *c, size_t *n, bool *no_memory);

/* Fills c->planned with the standard looks that this case allows; c->picture is known. False if memory runs out. */
bool sm_planned_standard(sm_case *c);

/* A bench value of the inner diameter and an echo of the leaflets, SDs in mm: judgement. */
#define SM_STANDARD_BENCH_SD 0.2
#define SM_STANDARD_ECHO_SD  0.3

#endif
