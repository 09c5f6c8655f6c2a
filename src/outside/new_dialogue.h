/* new_dialogue.h - a case by questions, that can be left and gone on with.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_OUTSIDE_NEW_DIALOGUE_H
#define SM_OUTSIDE_NEW_DIALOGUE_H

#include "base/status.h"

/* Asks, and writes the finished case to path. What is answered is kept at path.unfinished all the time, and is taken up
 * from there. SM_INTERRUPTED if it was left before the end, SM_USAGE where nobody can be asked. */
sm_status sm_new_dialogue(const char *path);

#endif
