/* new_table.h - cases from a table: all of them, or none.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_COMMAND_NEW_TABLE_H
#define SM_COMMAND_NEW_TABLE_H

#include "base/status.h"

/* Reads the table ("-": standard input) and writes one file a row into the folder, which is made if it is missing.
 * Every fault of every row is reported, and if there is one nothing is written. */
sm_status sm_new_table(const char *table, const char *folder);

#endif
