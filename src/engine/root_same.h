/* root_same.h - which parts of two roots give the same numbers on the same draws, so that they are computed once.
 *
 * Constants are compared, not where they came from: two roots agree in a part where every number and every column that
 * the part uses is equal. Each relation is an equivalence.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_ROOT_SAME_H
#define SM_ENGINE_ROOT_SAME_H

#include "engine/root.h"

/* The draws of blooming and of the cross-checks' scale. */
bool sm_root_same_scan(const sm_root *a, const sm_root *b);
/* The reader's frame. */
bool sm_root_same_frame(const sm_root *a, const sm_root *b);
/* What is drawn of the tube. */
bool sm_root_same_tube(const sm_root *a, const sm_root *b);
/* The five true readings of side k. */
bool sm_root_same_readings(const sm_root *a, const sm_root *b, int k);
/* What the joining of side k's looks rests on: what the pilot of the looks finds is then the same. */
bool sm_root_same_looks(const sm_root *a, const sm_root *b, int k);
/* Side k's landmarks, the other looks taken in. */
bool sm_root_same_landmarks(const sm_root *a, const sm_root *b, int k);
/* All outputs of side k. */
bool sm_root_same_side(const sm_root *a, const sm_root *b, int k);

#endif
